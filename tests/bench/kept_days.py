"""Chooses the days that are kept: `python -m tests.bench.kept_days [COUNT] [--first SEED]`.

Lives some COUNT days of the sorts named with the conditions of the pure packages watched. Day after
day, beside those that are there, it takes the one that shows most of how a condition can go that
fewer than OFTEN of those taken show, for the time that it takes, until the time is spent. A
comparison that was never at its bound, or an operand that never decided alone, is where a wrong one
lives. Days that a judge finds fault with, that stop or that take long are left out, and said.
"""

import argparse
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from time import process_time
from typing import TYPE_CHECKING

from tests.bench.conditions import CONDITIONS, Outcome, watch

if TYPE_CHECKING:
    from types import ModuleType

PURE = ("model", "planning", "session", "group", "language", "record")
#: Seconds of the processor that all further days may take, that one may take while it is watched,
#: and how often an outcome is wanted.
MOST, LONGEST, OFTEN = 25.0, 15.0, 3
#: How much slower a day is while it is watched, on the whole, and seconds that any day takes.
SLOWER, ANY = 4.0, 0.05
#: The share of days that each sort has.
SHARES = {
    "briefly-known": 0.6,
    "briefly-plain": 0.1,
    "briefly-german": 0.02,
    "briefly-group": 0.03,
    "walks": 0.05,
    "planned": 0.2,
}


@dataclass(frozen=True, slots=True)
class Candidate:
    """A day that may be kept."""

    name: str
    text: str
    seconds: float
    shown: frozenset[Outcome]


def wanted(sorts: list[str], count: int, first: int) -> list[str]:
    """The names of the days that are lived, the sorts mixed: there may be no time for all."""
    from tests.days.living import KINDS

    kinds = [*KINDS, "thorough", "thorough", "thorough"]
    whole = sum(SHARES[sort] for sort in sorts)
    found = []
    for sort in sorts:
        many = round(count * SHARES[sort] / whole)
        for seed in range(first, first + many):
            alone = sort in ("briefly-group", "planned", "walks")
            kind = "" if alone else kinds[seed % len(kinds)].replace(" ", "-")
            name = "-".join(one for one in (sort, kind, str(seed)) if one)
            found.append(((seed - first + 0.5) / many, name))
    return [name for _, name in sorted(found)]


def candidates(keeping: "ModuleType", names: list[str], enough: float) -> Iterator[Candidate]:
    """Those that break no promise, with what they show, as many as there is time for."""
    until = process_time() + enough
    for name in names:
        if process_time() > until:
            return
        CONDITIONS.gone.clear()
        began = process_time()
        text, day = keeping.relive(name)
        seconds = process_time() - began
        wrong = keeping.faults(name, day)
        if wrong:
            print(f"{name}: {wrong}")
        elif seconds > LONGEST:
            print(f"{name}: {seconds:.1f} s")
        else:
            yield Candidate(name, text, seconds / SLOWER, frozenset(CONDITIONS.gone))


def chosen(days: list[Candidate], times: Counter[Outcome], most: float) -> Iterator[Candidate]:
    """The most for the least time, as far as there is time; `times` counts what is shown so far."""
    while days:
        gains = {day.name: sum(times[one] < OFTEN for one in day.shown) for day in days}
        best = max(days, key=lambda day: gains[day.name] / (ANY + day.seconds))
        days.remove(best)
        if not gains[best.name]:
            return
        if best.seconds <= most:
            most -= best.seconds
            times.update(best.shown)
            print(f"{best.name}: {gains[best.name]} of {len(best.shown)}, {best.seconds:.2f} s")
            yield best


def main() -> None:
    """Write the chosen days beside those that are there."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("count", nargs="?", type=int, default=500)
    parser.add_argument("--first", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=MOST, help="that the chosen may take")
    parser.add_argument("--sorts", nargs="+", default=[*SHARES], choices=[*SHARES])
    parser.add_argument("--watch", nargs="+", default=PURE, help="conditions of these packages")
    parser.add_argument("--enough", type=float, default=600.0, help="seconds of living days")
    told = parser.parse_args()
    watch(told.watch)  # before anything of them is loaded
    from tests.days import keeping

    kept = keeping.names()
    there = [name for name in kept if f"briefly-{name}".startswith((*told.sorts, "briefly-faults"))]
    there += [name for name in kept if name.startswith(tuple(told.sorts))]
    times = Counter[Outcome]()
    for day in candidates(keeping, there, told.enough):
        times.update(day.shown)
    print(f"{len(there)} days show {len(times)} outcomes", flush=True)
    new = [name for name in wanted(told.sorts, told.count, told.first) if name not in kept]
    days = [*candidates(keeping, new, told.enough)]
    every = frozenset(times).union(*(day.shown for day in days))
    print(f"{len(days)} more days show {len(every)}", flush=True)
    taken = [*chosen(days, times, told.seconds)]
    for day in taken:
        (keeping.FOLDER / f"{day.name}.txt").write_text(day.text, encoding="utf-8")
    print(f"{len(taken)} days more, {len(times)} of {len(every)} outcomes")


if __name__ == "__main__":
    main()
