"""Forty groups through the real core, and their rotas beside another solver's.

`python -m tests.bench.rotas`, or `... rotas 8` for the first eight. The other solver is CP-SAT
where OR-tools is installed, which nothing here needs, else HiGHS in SciPy on a grid of 10 s.
"""

import random
import sys
import tempfile
import time
from dataclasses import dataclass
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path

from coach.errors import UsageError
from coach.group import seating
from coach.group.gathering import Act, Group
from coach.group.group_step import new_group
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.planning.stations import Rota, Station, Turn, before
from coach.session.effects import Say
from coach.session.state import Phase
from tests.group.runs import library, run
from tests.group.solvers import proven_by_highs

GROUPS = 40
#: Seconds that the other solver may take for one group.
PATIENCE = 10.0


@dataclass(frozen=True)
class Case:
    """A group and what it has."""

    people: int
    boards: int
    walls: int
    minutes: int


def cases() -> list[Case]:
    """6 to 30 people, 1 to 4 boards, 4 to 12 places at the wall, 10 to 45 minutes; a fixed draw."""
    dice = random.Random(22)
    return [
        Case(
            dice.randint(6, 30),
            dice.randint(1, 4),
            dice.randint(4, 12),
            dice.choice(range(10, 46, 5)),
        )
        for _ in range(GROUPS)
    ]


@dataclass
class Moved:
    """What everybody of a silent session did with their time at the stations, in seconds."""

    at_work: float = 0.0
    kept_warm: float = 0.0
    still: float = 0.0
    longest_still: float = 0.0
    """Longest time before a seat without a station and without a word what to do."""
    longest_gap: float = 0.0
    """Longest time before a seat without a station."""


def watched(given: Group) -> Moved:
    """Run a group through the core, and count."""
    with tempfile.TemporaryDirectory() as folder:
        _, seen = run(given, "", Path(folder))
    moved = Moved()
    told: set[int] = set()
    last, left = given, dict.fromkeys(given.people, 0.0)
    warm_at = dict.fromkeys(given.people, 0.0)
    for now, _, effects in seen.turns:
        span = now.at - last.at
        if last.act is Act.ROTA and last.phase is not Phase.OVER:
            _count(moved, last, now, span, told, left, warm_at)
        elif now.act is Act.ROTA:
            left, warm_at = dict.fromkeys(given.people, now.at), dict.fromkeys(given.people, now.at)
        told &= set(seating.waiting(now))
        keys = [e.what.key for e in effects if isinstance(e, Say)]
        keys += [queued.what.key for queued in now.speech.queue]
        if any(key in ("group-wait", "group-wait-one") for key in keys):
            told = set(seating.waiting(now))
        last = now
    return moved


def _count(
    moved: Moved,
    last: Group,
    now: Group,
    span: float,
    told: set[int],
    left: dict[int, float],
    warm_at: dict[int, float],
) -> None:
    waits = set(seating.waiting(last))
    for who in last.here:
        if who not in waits:
            moved.at_work += span
            left[who] = warm_at[who] = now.at
        elif who in told:
            moved.kept_warm += span
            warm_at[who] = now.at
        else:
            moved.still += span
    for seat in set(now.seated) - set(last.seated):
        for who in now.members(seat):
            moved.longest_gap = max(moved.longest_gap, now.at - left[who])
            moved.longest_still = max(moved.longest_still, now.at - warm_at[who])


def proven(turns: list[Turn], stations: list[Station], most: int) -> tuple[int, bool]:
    """The shortest that another solver finds in its time, and whether it proves it."""
    if find_spec("ortools") is None:
        return proven_by_highs(turns, stations, 10, most), True
    cp_model = import_module("ortools.sat.python.cp_model")

    model = cp_model.CpModel()
    starts = [model.new_int_var(0, most, "") for _ in turns]
    parts = [
        model.new_fixed_size_interval_var(start, turn.seconds, "")
        for start, turn in zip(starts, turns, strict=True)
    ]
    for kind in {turn.kind for turn in turns}:
        of_kind = [part for part, turn in zip(parts, turns, strict=True) if turn.kind == kind]
        places = sum(station.places for station in stations if station.kind == kind)
        model.add_cumulative(of_kind, [1] * len(of_kind), places)
    for who in {turn.who for turn in turns}:
        model.add_no_overlap([p for p, turn in zip(parts, turns, strict=True) if turn.who == who])
    for at, earlier in enumerate(before(turns)):
        for other in earlier:
            model.add(starts[at] >= starts[other] + turns[other].seconds)
    end = model.new_int_var(0, most, "")
    for start, turn in zip(starts, turns, strict=True):
        model.add(end >= start + turn.seconds)
    model.minimize(end)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = PATIENCE
    solver.parameters.num_workers = 2
    found = solver.solve(model)
    return round(solver.objective_value), found == cp_model.OPTIMAL


def main(count: int = GROUPS) -> None:
    """Print the table and what it comes to."""
    print("people boards wall min | length rota proven | waiting still | gap before a seat | CPU")
    shares, ratios, gaps = [], [], []
    for case in cases()[:count]:
        people = tuple(Person(who, age=AgeBand.ADULT) for who in range(1, case.people + 1))
        stations = [Station(f"board {n}", "board", 1) for n in range(1, case.boards + 1)]
        stations.append(Station("wall", "wall", case.walls))
        began = time.process_time()
        try:
            given = new_group(library(), Options(people, float(case.minutes)), tuple(stations))
        except UsageError as error:
            print(f"{case.people:6} {case.boards:6} {case.walls:4} {case.minutes:3} | {error.do}")
            continue
        took = time.process_time() - began
        rota: Rota = given.programme.rota
        turns = [seat.turn for seat in sorted(rota.seats, key=lambda s: (s.turn.who, s.turn.name))]
        best, sure = proven(turns, stations, rota.seconds)
        moved = watched(given)
        every = moved.at_work + moved.kept_warm + moved.still
        waiting = (moved.kept_warm + moved.still) / every
        shares.append(moved.still / every)
        gaps.append(moved.longest_still)
        if sure and case.people <= 12:
            ratios.append(rota.seconds / best)
        print(
            f"{case.people:6} {case.boards:6} {case.walls:4} {case.minutes:3} | "
            f"{given.programme.seconds / 60:6.1f} {rota.seconds:4} {best:5}{'' if sure else '?'} | "
            f"{waiting:7.0%} {moved.still / every:6.1%} | "
            f"{moved.longest_gap:5.0f}, without movement {moved.longest_still:4.0f} | {took:.2f} s"
        )
    print(
        f"{len(shares)} groups: without movement {max(shares):.1%} at most; before a seat "
        f"{max(gaps):.0f} s at most; up to 12 people {max(ratios, default=1.0):.3f} of the proven"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else GROUPS)
