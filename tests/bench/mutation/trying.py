"""Runs the tests that reach what was changed, in a child, until one fails."""

import ast
import json
import os
import signal
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib import import_module
from itertools import groupby, zip_longest
from pathlib import Path

import coverage
import pytest

from tests.bench.mutation.mutants import mutants, mutated
from tests.bench.mutation.packages import DOCUMENTS, KEPT, PACKAGES, ROOT, sources
from tests.bench.mutation.putting import Unputtable, changed_names, put_in

#: Seconds of computing of one test after which a mutant counts as killed: it does not end.
PATIENCE = 30
#: Seconds of computing of the cases of one test, after which no more of them are run; all of what
#: is kept is.
CASES = 2.0
#: Seconds of computing of tests, the shortest first, that a mutant has to live through; and of what
#: is kept.
ENOUGH, ENOUGH_KEPT = 10.0, 15.0
#: The words of a comment that says why a mutant of its line may live.
MAY_LIVE = "mutant:"
#: What the exit status of a child tells.
LIVES, FAILS, NOT_TRIED = 0, 1, 2


#: A line of a source file.
Place = tuple[str, int]


class TooLong(BaseException):
    """A test computes for longer than is worth it."""


class Fate(StrEnum):
    """What became of a mutant."""

    KILLED = "killed"
    ALIVE = "alive"
    UNTRIED = "untried"


@cache
def source_of(path: Path) -> str:
    """A source as it was when it was first looked at: nobody has to stop writing meanwhile."""
    return path.read_text(encoding="utf-8")


@dataclass(frozen=True, slots=True, order=True)
class Mutant:
    """One change of one line."""

    path: Path
    line: int
    what: str
    mark: int
    number: int

    @property
    def text(self) -> str:
        """The whole source with the change."""
        return mutated(source_of(self.path), self.mark, self.number)

    def __str__(self) -> str:
        return f"{self.path.relative_to(ROOT)}:{self.line}: {self.what}"


def mutants_of(path: Path, lines: set[int] | None = None) -> list[Mutant]:
    """Every mutant of a source file, or of some of its lines."""
    source = source_of(path)
    rows = source.splitlines()
    return [
        Mutant(path, line, what, mark, number)
        for line, what, mark, number in mutants(source)
        if (lines is None or line in lines) and MAY_LIVE not in rows[line - 1]
    ]


@dataclass(frozen=True, slots=True)
class Reach:
    """How long each test computes, and which of them reach which line of the sources."""

    seconds: dict[str, float]
    lines: dict[Place, frozenset[str]]


def reach(
    items: Sequence[pytest.Item], folder: Path, places: Collection[Place], until: float
) -> Reach:
    """Every test that isn't too long, run once in a child; SystemExit where that breaks.

    Where what a file's tests share takes too long, all those that lack it are left out; so are
    those that are not begun `until` then, further cases of a test whose cases take long, and what
    fails as things are, which is printed.
    """
    source, sink = os.pipe()
    why, broken = os.pipe()
    child = os.fork()
    if not child:
        status = 1
        try:
            os.close(source)
            _silence()
            with os.fdopen(sink, "w") as pipe:
                left_out: set[Path] = set()
                spent = defaultdict[str, float](float)
                looked_at = sorted({path for path, _ in places})  # the fewer, the sooner
                watch = coverage.Coverage(
                    data_file=None, config_file=False, include=looked_at or ["none"]
                )
                for item, following in zip_longest(items, items[1:]):
                    test = item.nodeid.split("[")[0]
                    if time.monotonic() > until or (spent[test] > CASES and not kept(item)):
                        continue
                    clear_caches(folder.name)
                    # of what is left out nothing stands any more, and how that ends is no matter
                    with suppress(Exception):
                        item.session._setupstate.teardown_exact(item)
                    began = time.process_time()
                    most = PATIENCE if kept(item) else PACKAGES[folder.name].longest
                    with _no_longer(most) as long:
                        watch.start()
                        watch.switch_context(item.nodeid)
                        item.ihook.pytest_runtest_protocol(item=item, nextitem=following)
                    watch.stop()
                    taken = time.process_time() - began
                    spent[test] += taken
                    left_out |= {item.path} if long else set()
                    failed, item.session.testsfailed = item.session.testsfailed, 0
                    if not long and not (failed and item.path in left_out):
                        line = [item.nodeid, -1.0 if failed else taken]
                        pipe.write(json.dumps(line) + "\n")
                for one in _reached(watch.get_data(), places):
                    pipe.write(json.dumps(one) + "\n")
                status = 0
        except BaseException as error:  # noqa: BLE001 - this is a child, and nobody else tells it
            os.write(broken, repr(error).encode())
        finally:
            os._exit(status)
    os.close(sink)
    os.close(broken)
    with os.fdopen(source) as pipe:
        told = [json.loads(line) for line in pipe]
    if os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]):
        with os.fdopen(why) as pipe:
            raise SystemExit(f"it broke after {told[-1][0] if told else 'nothing'}: {pipe.read()}")
    os.close(why)
    seconds = {name: taken for name, taken in told[: len(told) - len(places)] if taken >= 0}
    for name, taken in told[: len(told) - len(places)]:
        if taken < 0:
            print(f"left out, for it fails as things are: {name}")
    lines = {
        (path, line): frozenset(names) & seconds.keys()
        for path, line, names in told[len(told) - len(places) :]
    }
    return Reach(seconds, lines)


def _reached(
    data: coverage.CoverageData, places: Collection[Place]
) -> Iterator[tuple[str, int, list[str]]]:
    """Each place with the tests that reached it."""
    for path, some in groupby(sorted(places), key=lambda place: place[0]):
        found = data.contexts_by_lineno(path)
        for _, number in some:
            yield path, number, found.get(number, [])


def clear_caches(package: str) -> None:
    """Let what a package keeps be made anew: a test reaches what makes it, whatever ran before."""
    for name, module in [*sys.modules.items()]:
        if name.startswith(f"coach.{package}"):
            for value in [*vars(module).values()]:
                getattr(value, "cache_clear", lambda: None)()


@contextmanager
def _no_longer(seconds: float) -> Iterator[list[bool]]:
    """End what computes too long; the list is not empty if something did."""
    long: list[bool] = []

    def end(_: int, __: object) -> None:
        long.append(True)
        raise TooLong

    before = signal.signal(signal.SIGPROF, end)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield long
    except (TooLong, Exception):
        if not long:
            raise
        # it came between two tests, or a plugin stumbled over it
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


class Judge:
    """Tries mutants of one package by its tests."""

    def __init__(
        self, items: Sequence[pytest.Item], folder: Path, given: list[Mutant], until: float
    ) -> None:
        self._folder = folder
        trees = {path: ast.parse(source_of(path)) for path in sources(folder.name)}
        self._places = {one: places_of(one, trees) for one in given}
        every = frozenset[Place]().union(*self._places.values())
        self._reach = reach(items, folder, every, until)
        known = [item for item in items if item.nodeid in self._reach.seconds]
        self.tests = len(known)
        self._items = sorted(known, key=lambda item: self._reach.seconds[item.nodeid])
        self._last: pytest.Item | None = None

    def fate(self, mutant: Mutant) -> Fate:
        """What becomes of a mutant."""
        module = import_module(".".join(mutant.path.relative_to(ROOT).with_suffix("").parts))
        original = ast.parse(source_of(mutant.path))
        text = mutant.text
        try:
            names = changed_names(original, text)
        except (Unputtable, ValueError):
            return Fate.UNTRIED
        able = self._able(self._places[mutant])
        if self._last in able:
            able.remove(self._last)
            able.insert(0, self._last)
        # what a page shows of the top of a module is read there by no line that ran
        top = not around(original, mutant.line)
        shown = [item for item in self._items if item.path == ROOT / DOCUMENTS and top]
        enough, total = [], 0.0
        for item in able:
            enough.append(item)
            total += self._reach.seconds[item.nodeid]
            if total > (ENOUGH_KEPT if kept(item) else ENOUGH):
                break
        enough += [item for item in shown if item not in enough]

        def put() -> None:
            put_in(module, text, names)
            clear_caches(self._folder.name)

        status, index = _in_child(put, enough)
        if status == LIVES:
            return Fate.ALIVE
        if status == NOT_TRIED:
            return Fate.UNTRIED
        self._last = enough[index] if index < len(enough) else None
        return Fate.KILLED

    def _able(self, places: Collection[Place]) -> list[pytest.Item]:
        """The tests that may see a change of some places, the shortest first; all for no places.

        Those of the same files come after those that reach it: what is made once for all of them
        is reached by the first alone. No place is known of what other packages alone name.
        """
        if not places:
            return [*self._items]
        there = frozenset[str]().union(*(self._reach.lines[place] for place in places))
        able = [item for item in self._items if item.nodeid in there]
        files = {item.path for item in able if not kept(item)}
        return able + [
            item for item in self._items if item.path in files and item.nodeid not in there
        ]


def kept(item: pytest.Item) -> bool:
    """Whether a test lives a kept day again, or prints a page: each of them by itself."""
    return item.path == ROOT / KEPT


def places_of(mutant: Mutant, trees: Mapping[Path, ast.Module]) -> frozenset[Place]:
    """The lines of which one has to run for a test to see a change.

    In a function those of the innermost statement without the body under it, and all of it for its
    head; else those that name what is changed, in its package.
    """
    tree, line = trees[mutant.path], mutant.line
    called = around(tree, line)
    if called:
        inside = [
            _head(one)
            for one in ast.walk(max(called, key=lambda one: one.lineno))
            if isinstance(one, ast.stmt | ast.excepthandler | ast.match_case | ast.Lambda)
        ]
        lines = min((one for one in inside if line in one), key=len)
        return frozenset((str(mutant.path), number) for number in lines)
    try:
        names = changed_names(tree, mutant.text)
    except (Unputtable, ValueError):
        return frozenset()
    return frozenset(
        (str(path), one.lineno)
        for path, other in trees.items()
        for function in ast.walk(other)
        if isinstance(function, _CALLED)
        for one in ast.walk(function)
        if (isinstance(one, ast.Name) and one.id in names)
        or (isinstance(one, ast.Attribute) and one.attr in names)
    )


_CALLED = (ast.FunctionDef, ast.Lambda)


def around(tree: ast.Module, line: int) -> list[ast.FunctionDef | ast.Lambda]:
    """The functions that a line is in."""
    return [one for one in ast.walk(tree) if isinstance(one, _CALLED) and line in _span(one)]


def _span(node: ast.FunctionDef | ast.Lambda) -> range:
    marks = [one.lineno for one in getattr(node, "decorator_list", ())]
    return range(min([node.lineno, *marks]), (node.end_lineno or 0) + 1)


def _head(node: ast.stmt | ast.excepthandler | ast.match_case | ast.Lambda) -> range:
    if isinstance(node, _CALLED):
        return _span(node)
    if isinstance(node, ast.match_case):
        return range(node.pattern.lineno, node.body[0].lineno)
    body = getattr(node, "body", None)
    return range(node.lineno, body[0].lineno if body else (node.end_lineno or node.lineno) + 1)


def _in_child(put: Callable[[], None], items: Sequence[pytest.Item]) -> tuple[int, int]:
    """How a child with the change ends, and the index of the test that failed."""
    source, sink = os.pipe()
    child = os.fork()
    if child:
        os.close(sink)
        with os.fdopen(source) as pipe:
            told = pipe.read()
        status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        return (status if status in (LIVES, NOT_TRIED) else FAILS), int(told or 0)
    status = FAILS
    try:
        _silence()
        try:
            put()
        except Unputtable:
            status = NOT_TRIED
        else:
            status = LIVES
            for index, (item, following) in enumerate(zip_longest(items, items[1:])):
                signal.setitimer(signal.ITIMER_PROF, PATIENCE)
                item.ihook.pytest_runtest_protocol(item=item, nextitem=following)
                if item.session.testsfailed:
                    os.write(sink, str(index).encode())
                    status = FAILS
                    break
    except BaseException:  # noqa: BLE001 - a change that breaks the module itself is seen at once
        status = FAILS
    finally:
        os._exit(status)


def _silence() -> None:
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
