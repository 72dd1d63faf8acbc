"""Chooses the days that are kept: `python -m tests.bench.kept_days [COUNT] [--first SEED]`.

Lives so many days of every sort, and takes day after day the one that reaches most branches of the
pure packages that fewer than two of those taken reach, for its length, until the folder is full.
Days that a judge finds fault with, that stop or that take long are left out, and said. Groups,
plans and pages are chosen by hand.
"""

import argparse
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from time import process_time

import coverage

from tests.days import keeping
from tests.days.living import KINDS

PURE = ("model", "planning", "session", "group", "language", "record")
#: Bytes of all days together, seconds of the processor that one takes while it is watched, and how
#: often a branch is wanted.
MOST, LONGEST, OFTEN = 350_000, 4.0, 2
#: The share of days that each sort has.
SHARES = {"known": 0.65, "plain": 0.23, "faults": 0.07, "german": 0.05}

Branch = tuple[str, int, int]


@dataclass(frozen=True, slots=True)
class Candidate:
    """A day that may be kept."""

    name: str
    text: str
    reached: frozenset[Branch]


def wanted(count: int, first: int, only: str) -> Iterator[str]:
    """The names of the days that are lived."""
    if only:
        yield from (f"known-{only}-{seed}" for seed in range(first, first + count))
        return
    for sort, share in SHARES.items():
        for seed in range(first, first + round(count * share)):
            kind = KINDS[seed % len(KINDS)].replace(" ", "-")
            yield f"{sort}-{kind}-{seed}"


def candidates(names: Iterator[str]) -> Iterator[Candidate]:
    """Those that break no promise, with what they reach."""
    folders = [str(Path(keeping.__file__).parents[2] / "coach" / name) for name in PURE]
    watch = coverage.Coverage(data_file=None, config_file=False, branch=True, source=folders)
    for name in names:
        keeping.forget()
        watch.erase()
        began = process_time()
        watch.start()
        text, day = keeping.relive(name)
        watch.stop()
        seconds = process_time() - began
        wrong = keeping.faults(name, day)
        if wrong:
            print(f"{name}: {wrong}")
        elif seconds > LONGEST:
            print(f"{name}: {seconds:.1f} s")
        else:
            data = watch.get_data()
            arcs = {(f, *arc) for f in data.measured_files() for arc in data.arcs(f) or ()}
            yield Candidate(name, text, frozenset(arcs))


def chosen(days: list[Candidate], room: int) -> list[Candidate]:
    """The most for the least length, as far as there is room."""
    taken: list[Candidate] = []
    times: Counter[Branch] = Counter()
    while days:
        gains = {day.name: sum(times[one] < OFTEN for one in day.reached) for day in days}
        best = max(days, key=lambda day: gains[day.name] / (1000 + len(day.text)))
        days.remove(best)
        if not gains[best.name]:
            break
        if len(best.text) > room:
            continue
        room -= len(best.text)
        taken.append(best)
        times.update(best.reached)
        print(f"{best.name}: {gains[best.name]} of {len(best.reached)}, {len(best.text)} bytes")
    return taken


def main() -> None:
    """Write the chosen days in place of those that are there."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("count", nargs="?", type=int, default=400)
    parser.add_argument("--first", type=int, default=1)
    parser.add_argument("--only", default="", help="this kind, beside the days that are there")
    parser.add_argument("--bytes", type=int, default=MOST)
    told = parser.parse_args()
    days = [*candidates(wanted(told.count, told.first, told.only))]
    everything = frozenset[Branch]().union(*(day.reached for day in days))
    taken = chosen(days, told.bytes)
    for old in keeping.names():
        if old.startswith(tuple(SHARES)) and not told.only:
            (keeping.FOLDER / f"{old}.txt").unlink()
    for day in taken:
        (keeping.FOLDER / f"{day.name}.txt").write_text(day.text, encoding="utf-8")
    reached = frozenset[Branch]().union(*(day.reached for day in taken))
    length = sum(len(day.text) for day in taken)
    print(f"{len(taken)} days, {length} bytes, {len(reached)} of {len(everything)} branches")


if __name__ == "__main__":
    main()
