"""Turns at hard tries: one board, one landing, and everybody's own rest is a promise.

Nobody is called before whoever tried last has said that the landing is clear, nor before their
own rest is over. Where the next one has to rest longer than somebody else, turns are swapped;
no rest is ever shortened.
"""

from collections.abc import Mapping, Sequence
from typing import NamedTuple


class Call(NamedTuple):
    """Who comes next, and how many seconds they still rest before that."""

    who: int
    wait: float


def next_call(
    waiting: Sequence[int], ready_at: Mapping[int, float], now: float, soonest: float = 0.0
) -> Call | None:
    """Who is called next of those that wait, in their order; None where nobody waits.

    `ready_at` says when each one's rest is over; whoever has not tried yet is not in it.
    `soonest` is how much earlier, in seconds, somebody has to be ready to go before their turn:
    the order is not changed for a moment.
    """
    if not waiting:
        return None
    first = waiting[0]
    earliest = min(waiting, key=lambda who: (_left(who, ready_at, now), waiting.index(who)))
    if _left(first, ready_at, now) <= _left(earliest, ready_at, now) + soonest:
        earliest = first
    return Call(earliest, _left(earliest, ready_at, now))


def _left(who: int, ready_at: Mapping[int, float], now: float) -> float:
    return max(ready_at.get(who, now) - now, 0.0)
