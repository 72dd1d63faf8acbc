"""The command line of the mutation test."""

import random
import subprocess
import sys
import time
from argparse import ArgumentParser, Namespace
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

import pytest

from coach.record.evidence import wilson
from tests.bench.mutation.packages import KEPT, PACKAGES, ROOT, changed, package_of, sources
from tests.bench.mutation.trying import Fate, Judge, Mutant, kept, mutants_of

#: What a sample is drawn by where no other seed is told.
SEED = 7


#: Examples that a test draws while it is found out what it reaches, and with a mutant.
REACHING, TRYING = 3, 15


def _drawing(examples: int) -> None:
    """Let tests draw so many examples, the same each time."""
    from hypothesis import HealthCheck, settings  # after pytest has looked at its plugins

    profile = settings(max_examples=examples, deadline=None, derandomize=True, database=None,
                       suppress_health_check=list(HealthCheck))  # fmt: skip
    settings.register_profile("mutation", profile)
    settings.load_profile("mutation")


class Mutation:
    """Takes the place of running the tests: tries every mutant with them."""

    def __init__(self, name: str, given: list[Mutant], until: float) -> None:
        self.name, self.given, self.until = name, given, until
        self.alive: list[Mutant] = []
        self.counts: Counter[Fate] = Counter()

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Try them, and print the line of the package."""
        PACKAGES[self.name].ready()
        nets = [item for item in session.items if kept(item)]
        others = [item for item in session.items if not kept(item)]
        self.alive, tests = self.given, 0
        for items in (nets, others):  # what is kept sees most of them, and soon
            if items and self.alive:
                half = (time.monotonic() + self.until) / 2
                _drawing(REACHING)
                judge = Judge(items, ROOT / "coach" / self.name, self.alive, half)
                _drawing(TRYING)
                tests += judge.tests
                self.alive = self._tried(judge)
                print(f"{self.name:9s} {len(self.alive)} live {judge.tests} tests", flush=True)
        self.counts[Fate.ALIVE] = len(self.alive)
        killed = self.counts[Fate.KILLED]
        tried = killed + self.counts[Fate.ALIVE]
        low, high = wilson(killed, tried)
        left = len(self.given) - self.counts.total()
        print(
            f"{self.name:9s} killed {killed} of {tried} ({killed / max(tried, 1):.3f}, 95 % bounds "
            f"{low:.3f} to {high:.3f}, goal {PACKAGES[self.name].goal:.2f}); "
            f"{self.counts[Fate.UNTRIED]} can't be put in place, {left} left for want of time; by "
            f"{tests} of {len(session.items)} tests",
            flush=True,
        )
        for mutant in sorted(self.alive):
            print(f"    {mutant}", flush=True)
        return True

    def _tried(self, judge: Judge) -> list[Mutant]:
        """Those that live, as far as there is time; what else became of them is counted."""
        alive = []
        for mutant in self.alive:
            if time.monotonic() > self.until:
                break
            fate = judge.fate(mutant)
            if fate is Fate.ALIVE:
                alive.append(mutant)
            else:
                self.counts[fate] += 1
        return alive


def wanted(told: Namespace) -> dict[str, list[Mutant]]:
    """The mutants to try, by package."""
    if told.changed:
        found: dict[str, list[Mutant]] = {}
        for path, lines in changed(told.changed).items():
            found.setdefault(str(package_of(path)), []).extend(mutants_of(path, lines))
    else:
        names = told.names or list(PACKAGES)
        found = {}
        for name in names:
            package, _, module = name.partition("/")
            if told.one not in (None, package):
                continue
            for path in sources(package):
                if module in ("", path.stem):
                    found.setdefault(package, []).extend(mutants_of(path))
    if told.again is not None:
        these = {line.strip() for line in told.again.read_text(encoding="utf-8").splitlines()}
        found = {name: [one for one in some if str(one) in these] for name, some in found.items()}
        return {name: some for name, some in found.items() if some}
    for some in found.values():
        random.Random(told.seed).shuffle(some)
        del some[told.sample or len(some) :]
    return found


def one(name: str, given: list[Mutant], until: float, by: str) -> Mutation:
    """Try the mutants of one package."""
    package = PACKAGES[name]
    options = [
        "-q",
        "-s",
        "-o",
        "timeout=0",
        "-o",
        "faulthandler_timeout=0",
        "-p",
        "no:cacheprovider",
        "-n0",
    ]
    options += ["-m", "not sound and not no_cover"]
    skipped = [f"--ignore-glob=*/{test}" for test in package.without]
    plugin = Mutation(name, given, until)
    own = tuple(test for test in package.tests if test != KEPT)
    tests = {"kept": (KEPT,), "own": own}.get(by, package.tests)
    pytest.main([*options, *skipped, *tests], plugins=[plugin])
    return plugin


def main(arguments: Sequence[str]) -> int:
    """Try what is asked for; 1 where fewer are killed than is the goal."""
    parser = ArgumentParser(prog="python -m tests.bench.mutation")
    parser.add_argument("names", nargs="*", metavar="PACKAGE[/MODULE]")
    parser.add_argument("--changed", metavar="BASE", help="only lines that differ from a commit")
    parser.add_argument("--minutes", type=float, default=0.0, help="end after so many minutes")
    parser.add_argument("--sample", type=int, default=0, help="so many of each package")
    parser.add_argument("--seed", type=int, default=SEED, help="draws another sample")
    parser.add_argument("--survivors", type=Path, help="write those that live to this file")
    parser.add_argument("--kept", dest="by", action="store_const", const="kept", default="",
                        help="only by the kept days: the least")  # fmt: skip
    parser.add_argument("--own", dest="by", action="store_const", const="own",
                        help="only by the other tests: for what kept days let live")  # fmt: skip
    parser.add_argument("--again", type=Path, help="those that a file of survivors names")
    parser.add_argument("--one", help="only this package, in this process")
    told = parser.parse_args(arguments)
    given = wanted(told)
    if told.one is None and len(given) > 1:  # each in a process of its own: pytest runs once
        end = time.monotonic() + 60 * told.minutes
        codes = []
        for left, name in zip(range(len(given), 0, -1), given, strict=True):
            share = max(end - time.monotonic(), 1.0) / 60 / left if told.minutes else 0.0
            line = [sys.executable, "-m", "tests.bench.mutation", *arguments, "--one", name]
            ran = subprocess.run([*line, "--minutes", f"{share:.2f}"], check=False)
            codes.append(ran.returncode)
        return int(any(codes))
    name = told.one or next(iter(given), "")
    if not name:
        print("Nothing that is tried was changed.")
        return 0
    until = time.monotonic() + 60 * told.minutes if told.minutes else float("inf")
    done = one(name, given[name], until, told.by)
    if told.survivors is not None:
        with told.survivors.open("a", encoding="utf-8") as file:
            file.writelines(f"{mutant}\n" for mutant in sorted(done.alive))
    tried = done.counts[Fate.KILLED] + done.counts[Fate.ALIVE]
    return int(done.counts[Fate.KILLED] < PACKAGES[name].goal * tried)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
