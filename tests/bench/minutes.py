"""Climbers of every pace: `python -m tests.bench.minutes` prints how their minutes are used.

20 to 70 s an easy boulder, 45 to 110 s a middle one; gained minutes taken, or met with silence. For
each length: minutes used, hard tries, and by how much what was left was off from minute 20 on, the
question of the gained minutes not counted, for until her answer nobody can know. And planning again
at 40, 100 and 1,000 blocks.
"""

import gc
from dataclasses import dataclass, replace
from random import Random
from statistics import median
from typing import Any

from coach.planning import make_plan, open_day
from coach.session.looking import look
from tests.bench.planning import ANSWERS, MINUTES, again, row, timed
from tests.climber import Pace, rehearsed
from tests.planning.budgets import ALONE, routine_of

LENGTHS = (45.0, 60.0, 75.0, 90.0, 120.0)
EASY, MIDDLE = (20, 30, 40, 55, 70), (45, 60, 80, 95, 110)
#: Minute from which on what is left is judged.
FROM = 20


@dataclass
class Used:
    """One session."""

    minutes: float
    tries: int
    first: float | None
    off: float
    """Minutes by which what was left was off at most, once it was decided."""
    before: float
    """And before the go-ahead was answered."""


def used(minutes: float, pace: Pace, word: str) -> Used:
    """One session of a climber at a pace, who answers the gained minutes by a word."""
    told: list[tuple[float, bool]] = []

    def seen(s: Any, now: float) -> None:
        if s.course.planned and s.ended is None and now >= FROM * 60:
            open_ = s.questions.asking is not None or s.questions.pending
            decided = bool(s.day.go) and not open_
            told.append((float(look(s).ends_at or 0.0), decided))

    # nothing that she tells of a try lengthens a rest: that nobody could know before
    day = rehearsed(
        minutes, pace, answers={"time-gained": word, "try-cause": "cause:foot"}, seen=seen
    )
    ended = day.session.ended
    off = {True: [0.0], False: [0.0]}
    for at, decided in told:
        off[decided].append(abs(at - ended) / 60.0)
    return Used(ended / 60.0, day.tries, day.first_try, max(off[True]), max(off[False]))


def paces() -> None:
    """The table of lengths."""
    print("minutes  word        used           tries   first try      left off by, decided  before")
    for minutes in LENGTHS:
        for word in ("more-tries", "silence"):
            found = [used(minutes, Pace(e, m), word) for e in EASY for m in MIDDLE]
            firsts = [one.first for one in found if one.first is not None]
            print(
                f"{minutes:7.0f}  {word:10}  {min(o.minutes for o in found):5.1f} to "
                f"{max(o.minutes for o in found):5.1f}  {min(o.tries for o in found):2} to "
                f"{max(o.tries for o in found):2}  {min(firsts):4.1f} to {max(firsts):4.1f}  "
                f"median {median(o.off for o in found):.1f} most {max(o.off for o in found):.1f}"
                f"  median {median(o.before for o in found):.1f} most "
                f"{max(o.before for o in found):.1f}",
                flush=True,
            )


def replanning(sizes: tuple[int, ...] = (40, 100, 1000), repeats: int = 60) -> None:
    """Planning again after an answer, by blocks."""
    print(f"\nplanning again, {repeats} sessions an answer [ms]")
    print(f"{'blocks':20s} {'p50':>7s} {'p99':>7s} {'max':>7s}")
    gc.collect()
    gc.freeze()
    for blocks in sizes:
        spent = []
        for key in ANSWERS:
            for number in range(repeats if blocks < 1000 else repeats // 10):
                library = routine_of(Random(f"{key}-{number}"), blocks)
                day = replace(open_day(ALONE, 300, library), ends_at=blocks * MINUTES * 60.0)
                steps = make_plan(day, 0.0, library).steps
                spent.append(timed(again(day, steps, key, library)))
        row(str(blocks), spent)
    gc.unfreeze()


if __name__ == "__main__":
    paces()
    replanning()
