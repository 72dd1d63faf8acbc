"""Climbers of every pace: `python -m tests.bench.minutes` prints how their minutes are used.

20 to 70 s an easy boulder, 45 to 110 s a middle one; gained minutes taken, or met with silence. For
each length: minutes used, hard tries, and by how much what was left was off from minute 20 on. What
is shown before the go-ahead is her minutes, so it is held against the session in which she takes
what she gained; whoever goes home early is told so there, and from then on her own end counts. The
last column is what no estimate could be under: two climbers whose sessions are the same to the
second until after minute 20, and half of the time between their ends. A second table has whoever
never says a word, from minute 20 on and from when no hard try is to come. And planning again at 40,
100 and 1,000 blocks.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from random import Random
from statistics import median
from typing import Any

from coach.model.plan import StepKind
from coach.model.start import Options
from coach.runtime.rehearsal import TextWorld
from coach.runtime.runner import NoKeeper, Runner
from coach.session.effects import Effect
from coach.session.events import Event, Started
from coach.session.looking import look
from coach.session.step import new_session
from tests.bench.planning import ANSWERS, replanned, row
from tests.climber import ADULT, Pace, english, hall, rehearsed

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
    moments: tuple[float, ...]
    """The second of every event."""


def used(minutes: float, pace: Pace, word: str, taken: float | None = None) -> Used:
    """One session of a climber at a pace, who answers the gained minutes by a word.

    `taken` is when it ends if she takes them, in minutes: what is shown before she decides is
    held against it; None for the end of this one.
    """
    told: list[tuple[float, float, bool]] = []

    def seen(s: Any, now: float) -> None:
        if s.course.planned and s.ended is None:
            open_ = s.questions.asking is not None or s.questions.pending
            # what is asked later is of the tries
            decided = bool(told and told[-1][2]) or (bool(s.day.go) and not open_)
            told.append((now, float(look(s).ends_at or 0.0), decided))

    # nothing that she tells of a try lengthens a rest: that nobody could know before
    day = rehearsed(
        minutes, pace, answers={"time-gained": word, "try-cause": "cause:foot"}, seen=seen
    )
    ended = day.session.ended
    off = {True: [0.0], False: [0.0]}
    for now, at, decided in told:
        if now < FROM * 60:
            continue
        off[decided].append(abs(at - (ended if decided or taken is None else taken * 60.0)) / 60.0)
    moments = tuple(now for now, _, _ in told)
    return Used(ended / 60.0, day.tries, day.first_try, max(off[True]), max(off[False]), moments)


def least(every: Sequence[Used]) -> float:
    """Minutes by which any estimate has to be off for one of them, from minute 20 on.

    Climbers differ in their pace alone, so two of them are the same until an event of one comes at
    another second. Whatever is shown just before is off by half of what parts their ends.
    """
    found = 0.0
    for one, other in combinations(every, 2):
        pairs = zip(one.moments, other.moments, strict=False)
        apart = next((min(pair) for pair in pairs if pair[0] != pair[1]), 0.0)
        if apart > FROM * 60:
            found = max(found, abs(one.minutes - other.minutes) / 2)
    return found


def paces() -> None:
    """The table of lengths."""
    print(
        "minutes  word        used           tries   first try      "
        "left off by, decided  before  no less than"
    )
    every = [Pace(easy, middle) for easy in EASY for middle in MIDDLE]
    for minutes in LENGTHS:
        taken: dict[Pace, float] = {}
        for word in ("more-tries", "silence"):
            found = [used(minutes, pace, word, taken.get(pace)) for pace in every]
            taken = {pace: one.minutes for pace, one in zip(every, found, strict=True)}
            firsts = [one.first for one in found if one.first is not None]
            print(
                f"{minutes:7.0f}  {word:10}  {min(o.minutes for o in found):5.1f} to "
                f"{max(o.minutes for o in found):5.1f}  {min(o.tries for o in found):2} to "
                f"{max(o.tries for o in found):2}  {min(firsts):4.1f} to {max(firsts):4.1f}  "
                f"median {median(o.off for o in found):.1f} most {max(o.off for o in found):.1f}"
                f"  median {median(o.before for o in found):.1f} most "
                f"{max(o.before for o in found):.1f}  {least(found):.1f}",
                flush=True,
            )


def silent_off(minutes: float) -> tuple[float, float, float]:
    """Minutes of a session in which nobody says a word, and by how many what was left was off.

    From minute 20 on, and of that only what was shown once no hard try was to come.
    """
    told: list[tuple[float, bool]] = []

    def watch(s: Any, event: Event, effects: tuple[Effect, ...]) -> None:
        if s.course.planned and s.ended is None and event.at >= FROM * 60:
            ahead = any(step.kind is StepKind.TRY for step in s.course.steps)
            told.append((max(float(look(s).ends_at or 0.0), event.at), ahead))

    world = TextWorld(english(), ())
    session = new_session(hall(), Options(ADULT, minutes, (), True))
    ended = Runner(session, world, NoKeeper(), world.clock.wall, watch).run(Started(0.0)).ended
    assert ended is not None
    off = [(abs(at - ended) / 60.0, ahead) for at, ahead in told] or [(0.0, False)]
    return (
        ended / 60.0,
        max(by for by, _ in off),
        max((by for by, ahead in off if not ahead), default=0.0),
    )


def silence() -> None:
    """The table of whoever never says a word."""
    print("\nminutes, not a word  ended   left off by  once no hard try was to come")
    for minutes in (20.0, 30.0, *LENGTHS):
        ended, off, after = silent_off(minutes)
        print(f"{minutes:19.0f}  {ended:5.1f}  {off:12.1f}  {after:27.1f}", flush=True)


def replanning(sizes: tuple[int, ...] = (40, 100, 1000), repeats: int = 60) -> None:
    """Planning again after an answer, by blocks."""
    print(f"\nplanning again, {repeats} sessions an answer [ms]")
    print(f"{'blocks':20s} {'p50':>7s} {'p99':>7s} {'max':>7s}")
    for blocks in sizes:
        spent = []
        for key in ANSWERS:
            numbers = range(repeats if blocks < 1000 else repeats // 10)
            spent += [replanned(Random(f"{key}-{number}"), blocks, key) for number in numbers]
        row(str(blocks), spent)


if __name__ == "__main__":
    paces()
    silence()
    replanning()
