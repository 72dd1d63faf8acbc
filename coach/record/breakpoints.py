"""Where a line bends: the rest that is long enough, and the try after which results fall.

A bent line through what lies within sessions: on one side of the bend a try loses height step by
step, on the other nothing. The bend with the least squares is the estimate; its range holds every
bend whose squares are within the F ratio of 95 % (profile likelihood). It is told only where the
bent line beats a flat one, and after SESSIONS sessions.

Nobody's results are known to bend so: it is the simplest picture in which there is a best rest, or
a try after which it gets worse, at all.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from coach.planning.day_tags import MOST_TRIES
from coach.planning.recovery import OWN
from coach.record.digest import HEIGHTS
from coach.record.entry import Entry

#: Seconds between the bends of rest that are looked at (our choice).
STEP = 15
#: Sessions that it needs (our choice), and F of 1 and many degrees of freedom at 95 % and 99.99 %:
#: the second is asked of any claim, since the bend was looked for and is looked for every session.
SESSIONS, F_RANGE, F_CLAIM = 12, 3.84, 15.14
#: The latest sessions that are looked at: nobody stays the same for ten years (our choice).
LATEST = 200


@dataclass(frozen=True, slots=True)
class Bend:
    """Where it bends."""

    at: int
    low: int
    high: int
    """The 95 % range."""
    loss: float
    """Steps of height that one beyond it costs: a second of rest, a try."""
    tries: int
    sessions: int


def best_rest(entries: Sequence[Entry]) -> Bend | None:
    """The shortest rest in seconds that costs no height; None where the record tells none."""
    days = [[(r, h) for _, r, h in _tries(entry) if r is not None] for entry in entries]
    return _bent(days, range(int(OWN[0]), int(OWN[1]) + 1, STEP), lambda bend, r: bend - r)


def drop_off(entries: Sequence[Entry]) -> Bend | None:
    """The number of the last try of a day before they fall; None where the record tells none."""
    days = [[(float(n), h) for n, _, h in _tries(entry)] for entry in entries]
    return _bent(days, range(1, MOST_TRIES + 1), lambda bend, number: number - bend)


def rest_text(bend: Bend) -> str:
    """The best rest in one sentence."""
    return (
        f"More rest than about {clock(bend.at)} ({clock(bend.low)} to {clock(bend.high)}) took "
        f"your tries no higher; {bend.tries} tries, {bend.sessions} sessions."
    )


def tries_text(bend: Bend) -> str:
    """The try after which they fall, in one sentence."""
    return (
        f"Your tries fell after number {bend.at} of the day ({bend.low} to {bend.high}); "
        f"{bend.tries} tries, {bend.sessions} sessions."
    )


def clock(seconds: float) -> str:
    """'3:45'."""
    return f"{round(seconds) // 60}:{round(seconds) % 60:02}"


def _tries(entry: Entry) -> list[tuple[int, float | None, float]]:
    """Number, rest before it in seconds, and height of each try whose end was told."""
    rests = [None, *(taken for _, taken in entry.digest.rests)]
    rests += [None] * len(entry.digest.tried)
    return [
        (number, rest, float(HEIGHTS.index(result)))
        for number, ((_, result), rest) in enumerate(
            zip(entry.digest.tried, rests, strict=False), 1
        )
        if result in HEIGHTS
    ]


def _bent(
    every: Sequence[Sequence[tuple[float, float]]],
    bends: Sequence[int],
    beyond: Callable[[float, float], float],
) -> Bend | None:
    """The bend of heights over something, by how far beyond a bend each of it lies."""
    days = [day for day in every if len(day) > 1][-LATEST:]
    tries = sum(map(len, days))
    left = tries - len(days) - 2
    if len(days) < SESSIONS or left < 1:
        return None
    heights = [one for day in days for one in _less_their_mean([height for _, height in day])]
    flat = sum(one * one for one in heights)
    fits: list[tuple[float, float, int]] = []
    for bend in bends:
        over = [
            one
            for day in days
            for one in _less_their_mean([max(beyond(bend, x), 0.0) for x, _ in day])
        ]
        square = sum(one * one for one in over)
        slope = sum(a * b for a, b in zip(over, heights, strict=True)) / square if square else 0.0
        # what gets better beyond a bend is no loss
        slope = min(slope, 0.0)
        fits.append((flat - slope * slope * square, -slope, bend))
    least, loss, bend = min(fits)
    if not least or (flat - least) / (least / left) < F_CLAIM:
        return None
    near = [b for squares, _, b in fits if (squares - least) / (least / left) <= F_RANGE]
    return Bend(bend, min(near), max(near), loss, tries, len(days))


def _less_their_mean(values: Sequence[float]) -> list[float]:
    mean = sum(values) / len(values)
    return [one - mean for one in values]
