"""Runs the tests that call what was changed, in a child, until one fails."""

import ast
import json
import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from enum import StrEnum
from importlib import import_module
from itertools import zip_longest
from pathlib import Path
from types import CodeType, FrameType

import pytest

from tests.bench.mutation.mutants import mutants, mutated
from tests.bench.mutation.packages import ROOT
from tests.bench.mutation.putting import Unputtable, changed_names, put_in

#: Seconds of computing after which a mutant counts as killed: it does not end.
PATIENCE = 60
#: Seconds of computing after which a test is left out: it is too long to be run with every mutant.
LONGEST = 12.0
#: Seconds of computing of tests, the shortest first, that a mutant has to live through.
ENOUGH = 20.0
#: The words of a comment that says why a mutant of its line may live.
MAY_LIVE = "mutant:"
#: What the exit status of a child tells.
LIVES, FAILS, NOT_TRIED = 0, 1, 2


class TooLong(BaseException):
    """A test computes for longer than is worth it."""


class Fate(StrEnum):
    """What became of a mutant."""

    KILLED = "killed"
    ALIVE = "alive"
    UNTRIED = "untried"


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
        return mutated(self.path.read_text(encoding="utf-8"), self.mark, self.number)

    def __str__(self) -> str:
        return f"{self.path.relative_to(ROOT)}:{self.line}: {self.what}"


def mutants_of(path: Path, lines: set[int] | None = None) -> list[Mutant]:
    """Every mutant of a source file, or of some of its lines."""
    source = path.read_text(encoding="utf-8")
    rows = source.splitlines()
    return [
        Mutant(path, line, what, mark, number)
        for line, what, mark, number in mutants(source)
        if (lines is None or line in lines) and MAY_LIVE not in rows[line - 1]
    ]


@dataclass(frozen=True, slots=True)
class Known:
    """What a test calls of the sources, and how long it computes."""

    calls: frozenset[tuple[str, int]]
    seconds: float


def known(items: Sequence[pytest.Item], folder: Path) -> dict[str, Known]:
    """Every test that isn't too long, run once in a child; SystemExit where one fails as is.

    Where what a file's tests share takes too long, all those that lack it are left out.
    """
    source, sink = os.pipe()
    child = os.fork()
    if not child:
        status = 1
        try:
            os.close(source)
            _silence()
            with os.fdopen(sink, "w") as pipe:
                left_out: set[Path] = set()
                for item, following in zip_longest(items, items[1:]):
                    began = time.process_time()
                    with _no_longer() as long:
                        calls = _calls(item, following, str(folder))
                    left_out |= {item.path} if long else set()
                    if long or (item.session.testsfailed and item.path in left_out):
                        item.session.testsfailed = 0
                        continue
                    line = [item.nodeid, calls, time.process_time() - began]
                    pipe.write(json.dumps(line) + "\n")
                    if item.session.testsfailed:
                        break
                else:
                    status = 0
        finally:
            os._exit(status)
    os.close(sink)
    with os.fdopen(source) as pipe:
        told = [json.loads(line) for line in pipe]
    if os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]):
        raise SystemExit(f"a test fails as things are: {told[-1][0] if told else 'the first'}")
    return {
        name: Known(frozenset((path, line) for path, line in calls), seconds)
        for name, calls, seconds in told
    }


@contextmanager
def _no_longer() -> Iterator[list[bool]]:
    """End what computes too long; the list is not empty if something did."""
    long: list[bool] = []

    def end(_: int, __: object) -> None:
        long.append(True)
        raise TooLong

    before = signal.signal(signal.SIGPROF, end)
    signal.setitimer(signal.ITIMER_PROF, LONGEST)
    try:
        yield long
    except TooLong:
        pass  # it came between two tests
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


def _calls(item: pytest.Item, following: pytest.Item | None, root: str) -> list[tuple[str, int]]:
    seen: dict[int, CodeType] = {}

    def note(frame: FrameType, _: str, __: object) -> None:
        """A function begins; nothing more of it is traced, which would take half as long again."""
        seen[id(frame.f_code)] = frame.f_code

    threading.settrace(note)  # what a server answers in a thread of its own is called too
    sys.settrace(note)
    item.ihook.pytest_runtest_protocol(item=item, nextitem=following)
    sys.settrace(None)
    threading.settrace(None)
    calls = {(code.co_filename, code.co_firstlineno) for code in seen.values()}
    return sorted(call for call in calls if call[0].startswith(root))


class Judge:
    """Tries mutants of one package by its tests."""

    def __init__(self, items: Sequence[pytest.Item], folder: Path) -> None:
        self._known = known(items, folder)
        self._items = [item for item in items if item.nodeid in self._known]
        self._last: pytest.Item | None = None

    def fate(self, mutant: Mutant) -> Fate:
        """What becomes of a mutant."""
        module = import_module(".".join(mutant.path.relative_to(ROOT).with_suffix("").parts))
        original = ast.parse(mutant.path.read_text(encoding="utf-8"))
        text = mutant.text
        try:
            names = changed_names(original, text)
        except (Unputtable, ValueError):
            return Fate.UNTRIED
        place = _function(original, mutant.line)
        able = self._able(str(mutant.path), place)
        if self._last in able:
            able.remove(self._last)
            able.insert(0, self._last)
        enough, total = [], 0.0
        for item in able:
            enough.append(item)
            total += self._known[item.nodeid].seconds
            if total > ENOUGH:
                break
        status, index = _in_child(lambda: put_in(module, text, names), enough)
        if status == LIVES:
            return Fate.ALIVE
        if status == NOT_TRIED:
            return Fate.UNTRIED
        self._last = enough[index] if index < len(enough) else None
        return Fate.KILLED

    def _able(self, path: str, place: int) -> list[pytest.Item]:
        """The tests that may see a change in a function, the shortest first; 0 is no function.

        Those of the same files come after those that call it: what is made once for all of them
        is called by the first alone. What stands at the top of a module is run by every test.
        """
        by_time = sorted(self._items, key=lambda item: self._known[item.nodeid].seconds)
        if not place:
            return [item for item in by_time if self._known[item.nodeid].calls]
        able = [item for item in by_time if (path, place) in self._known[item.nodeid].calls]
        files = {item.path for item in able}
        return able + [item for item in by_time if item.path in files and item not in able]


def _function(tree: ast.Module, line: int) -> int:
    """First line of the outermost function or method that a line is in, 0 for none.

    Where it is decorated that is the line of the first decorator, as the interpreter counts.
    """
    inside = [
        *tree.body,
        *(one for node in tree.body if isinstance(node, ast.ClassDef) for one in node.body),
    ]
    for node in inside:
        if isinstance(node, ast.FunctionDef) and node.lineno <= line <= (node.end_lineno or 0):
            return min([node.lineno, *(one.lineno for one in node.decorator_list)])
    return 0


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
        signal.setitimer(signal.ITIMER_PROF, PATIENCE)
        _silence()
        try:
            put()
        except Unputtable:
            status = NOT_TRIED
        else:
            status = LIVES
            for index, (item, following) in enumerate(zip_longest(items, items[1:])):
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
