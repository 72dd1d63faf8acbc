"""Forty groups through the real core, and their rotas beside another solver's.

`python -m tests.bench.rotas`, or `... rotas 8` for the first eight; `... rotas 40 FILE` writes the
table of `docs/figures/rotas.md`. The other solver is CP-SAT where OR-tools is installed, which
nothing here needs, else HiGHS in SciPy on a grid of 10 s. What an earlier version of the program
made of the same groups is run from git, where git has it.
"""

import json
import os
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any

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
#: Seconds that the other solver may take for one group: up to twelve people, and more.
PATIENCE, PATIENCE_OF_MANY = 20.0, 3.0
#: The earlier version, and the two packages of it that are run.
FORMER = "b347677"
#: Up to so many people the length is held against the proven optimum.
FEW = 12


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
    few = len({turn.who for turn in turns}) <= FEW
    solver.parameters.max_time_in_seconds = PATIENCE if few else PATIENCE_OF_MANY
    solver.parameters.num_workers = 1
    found = solver.solve(model)
    return round(solver.objective_value), found == cp_model.OPTIMAL


@dataclass(frozen=True)
class Row:
    """One group: its plan, what another solver finds, what everybody did, and the former way."""

    case: Case
    minutes: float
    """Of the whole plan."""
    length: int
    best: int
    sure: bool
    waiting: float
    """Share of the rota's time without a station."""
    still: float
    """Share of it without movement."""
    moved: Moved
    cpu: float
    turns: tuple[Turn, ...]
    stations: tuple[Station, ...]


def rows(count: int) -> Iterator[Row]:
    """Each group that has a rota, run through the real core."""
    for case in cases()[:count]:
        people = tuple(Person(who, age=AgeBand.ADULT) for who in range(1, case.people + 1))
        stations = [Station(f"board {n}", "board", 1) for n in range(1, case.boards + 1)]
        stations.append(Station("wall", "wall", case.walls))
        began = time.process_time()
        given = new_group(library(), Options(people, float(case.minutes)), tuple(stations))
        took = time.process_time() - began
        rota: Rota = given.programme.rota
        turns = [seat.turn for seat in sorted(rota.seats, key=lambda s: (s.turn.who, s.turn.name))]
        best, sure = proven(turns, stations, rota.seconds) if turns else (0, True)
        moved = watched(given)
        every = (moved.at_work + moved.kept_warm + moved.still) or 1.0
        waiting, still = (moved.kept_warm + moved.still) / every, moved.still / every
        minutes = given.programme.seconds / 60
        yield Row(case, minutes, rota.seconds, best, sure, waiting, still, moved, took,
                  tuple(turns), tuple(stations))  # fmt: skip


def former(made: list[Row]) -> Iterator[dict[str, Any]]:
    """What the earlier version made of the same groups, and of the turns of now."""
    root = Path(__file__).parents[2]
    with tempfile.TemporaryDirectory() as folder:
        packed = subprocess.run(
            ["git", "archive", FORMER, "coach", "routines", "voices"],
            cwd=root, capture_output=True, check=True,
        ).stdout  # fmt: skip
        subprocess.run(["tar", "-x", "-C", folder], input=packed, check=True)
        lines = "\n".join(
            json.dumps(
                {
                    **asdict(row.case),
                    "stations": [(s.name, s.kind, s.places) for s in row.stations],
                    "turns": [(t.who, t.name, t.kind, t.seconds, t.rank) for t in row.turns],
                }
            )
            for row in made
        )
        told = subprocess.run(
            [sys.executable, str(root / "tests" / "bench" / "former_rotas.py")],
            cwd=folder, env={**os.environ, "PYTHONPATH": folder}, input=lines, text=True,
            capture_output=True, check=True,
        ).stdout  # fmt: skip
    yield from map(json.loads, told.splitlines())


HEAD = (
    "people", "boards", "wall", "min", "rota, s", "other solver, s", "without movement",
    "longest without movement before a seat, s", "without a station",
    "former rota of these turns, s", "former plan, min", "there without a station",
    "longest of it before a seat, s",
)  # fmt: skip


def table(made: list[Row]) -> Iterator[str]:
    """The groups as a table, and what it comes to."""
    yield f"| {' | '.join(HEAD)} |"
    yield "| ---: " * len(HEAD) + "|"
    fell = list(former(made))
    for row, was in zip(made, fell, strict=True):
        case = row.case
        best = f"{row.best}{'' if row.sure else ', not proven'}"
        plan = f"refused; {was['minutes'] or 'none'}" if was["refused"] else f"{was['minutes']}"
        none = was["minutes"] is None
        cells = (
            case.people, case.boards, case.walls, case.minutes, row.length or "no stations", best,
            f"{row.still:.1%}", f"{row.moved.longest_still:.0f}", f"{row.waiting:.0%}",
            was["length"], plan, "" if none else f"{was['idle']:.0%}",
            "" if none else f"{was['gap']:.0f}",
        )  # fmt: skip
        yield f"| {' | '.join(map(str, cells))} |"
    yield ""
    yield from total(made, fell)


def total(made: list[Row], fell: list[dict[str, Any]] | None = None) -> Iterator[str]:
    """What the groups come to."""
    went = [row for row in made if row.length]
    few = [row for row in went if row.case.people <= FEW]
    worst = max(row.length / row.best for row in few)
    sure = sum(row.sure for row in few)
    stood = sorted(row.still for row in went)
    yield (
        f"{len(made)} groups, {len(went)} with a rota. Without movement {max(stood):.1%} of the "
        f"time at most, {stood[len(stood) // 2]:.1%} in the median; before a seat "
        f"{max(row.moved.longest_still for row in went):.0f} s at most. The {len(few)} groups of "
        f"up to {FEW} people are at most {worst:.3f} times as long as what the other solver finds, "
        f"which it proves for {sure} of them. Processor: {max(row.cpu for row in made):.2f} s a "
        "plan at most."
    )
    if fell is not None:
        there = sorted(was["idle"] for was in fell if was["minutes"] is not None)
        longer = [row.length / was["length"] for row, was in zip(made, fell, strict=True)
                  if row.length]  # fmt: skip
        yield (
            f"The former way refused {sum(bool(was['refused']) for was in fell)} of these groups "
            f"in their minutes; with those that it asked for nobody was told anything at "
            f"{there[len(there) // 2]:.0%} of the time (median; {there[-1]:.0%} at most), and "
            f"waited {max(was.get('gap', 0) for was in fell):.0f} s before a seat at most. Of the "
            f"same turns our rota takes {min(longer):.2f} to {max(longer):.2f} times as long as "
            "the former one."
        )


def main(count: int = GROUPS, file: str = "") -> None:
    """Print what it comes to, or write the table."""
    made = list(rows(count))
    if not file:
        for row in made:
            print(row.case, row.length, row.best, row.sure, f"{row.still:.1%} {row.waiting:.0%}")
        print(*total(made))
        return
    text = Path(file).read_text("utf-8").partition("<!-- table -->")[0]
    lines = "\n".join(table(made))
    Path(file).write_text(f"{text}<!-- table -->\n{lines}\n", "utf-8")


if __name__ == "__main__":
    main(*(int(one) if one.isdigit() else one for one in sys.argv[1:]))  # type: ignore[arg-type]
