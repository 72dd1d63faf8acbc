"""The budget: which indivisible pieces of a session fit into the seconds that are left.

Owns the exact optimum. A piece is a set, a boulder, or a try with its rest; pieces that
must stay are taken first, and of the others the choice with the highest total worth is
found. Worths are whole numbers, so that equal choices compare equal.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate


@dataclass(frozen=True, slots=True)
class Piece:
    """Something that is done whole or not at all."""

    name: str
    seconds: int
    worth: int
    must: bool = False


def choose(pieces: Sequence[Piece], seconds: int) -> frozenset[int] | None:
    """Indices of the best pieces that fit, or None where those that must stay do not.

    Exact: a dynamic programme over undominated pairs of time and worth, in order of worth
    per second, where a pair is dropped once even the fractional optimum of what is left
    cannot lift it above the best whole choice known (Nemhauser and Ullmann 1969, with the
    bound of Dantzig 1957; both from memory). Among equal choices the shorter wins, then the
    one that takes earlier pieces.
    """
    taken = frozenset(index for index, piece in enumerate(pieces) if piece.must)
    room = seconds - sum(pieces[index].seconds for index in taken)
    if room < 0:
        return None
    free = [i for i, piece in enumerate(pieces) if not piece.must and piece.worth > 0]
    nothing = [i for i in free if pieces[i].seconds == 0]
    order = sorted(
        (i for i in free if 0 < pieces[i].seconds <= room),
        key=lambda i: (-pieces[i].worth / pieces[i].seconds, i),
    )
    best = _knapsack([(pieces[i].seconds, pieces[i].worth) for i in order], room)
    return taken.union(nothing, (order[position] for position in best))


#: (seconds, worth, last piece taken, the state before it)
_State = tuple[int, int, int, "_State | None"]


def _knapsack(items: Sequence[tuple[int, int]], room: int) -> list[int]:
    """Positions of the best items; items come in falling order of worth per second."""
    times = [0, *accumulate(seconds for seconds, _ in items)]
    worths = [0, *accumulate(worth for _, worth in items)]
    count = len(items)

    def bound(position: int, used: int) -> int:
        """Worth that the items from `position` on can add at most, fractions allowed."""
        reach = times[position] + room - used
        last = bisect_right(times, reach, lo=position) - 1
        whole = worths[last] - worths[position]
        if last < count:
            seconds, worth = items[last]
            whole += (reach - times[last]) * worth // seconds
        return whole

    states: list[_State] = [(0, 0, -1, None)]
    known = _greedy(items, room)
    for position, (seconds, worth) in enumerate(items):
        grown: list[_State] = [
            (state[0] + seconds, state[1] + worth, position, state)
            for state in states
            if state[0] + seconds <= room
        ]
        states = _undominated(states, grown)
        known = max(known, states[-1][1])
        nearest = position + 1
        states = [state for state in states if state[1] + bound(nearest, state[0]) >= known]
    best = max(states, key=lambda state: (state[1], -state[0]))
    positions: list[int] = []
    while best[3] is not None:
        positions.append(best[2])
        best = best[3]
    return positions[::-1]


def _greedy(items: Sequence[tuple[int, int]], room: int) -> int:
    """Worth of taking whatever fits, in order: a choice that exists."""
    total = 0
    for seconds, worth in items:
        if seconds <= room:
            room -= seconds
            total += worth
    return total


def _undominated(kept: list[_State], grown: list[_State]) -> list[_State]:
    """Both lists by time, without states that take longer and are worth no more."""
    merged: list[_State] = []
    left = right = 0
    top = -1
    while left < len(kept) or right < len(grown):
        if right == len(grown) or (
            left < len(kept)
            and (kept[left][0], -kept[left][1]) <= (grown[right][0], -grown[right][1])
        ):
            state = kept[left]
            left += 1
        else:
            state = grown[right]
            right += 1
        if state[1] > top:
            merged.append(state)
            top = state[1]
    return merged
