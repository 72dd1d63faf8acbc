"""The budget: which indivisible pieces of a session fit into the seconds that are left.

Owns the exact optimum. A piece is a set, a boulder, or a try with its rest; pieces that
must stay are taken first, and of the others the choice with the highest total worth is
found. Worths are whole numbers, so that equal choices compare equal.
"""

from bisect import bisect_right
from collections.abc import Sequence
from itertools import accumulate
from typing import NamedTuple


class Piece(NamedTuple):
    """Something that is done whole or not at all."""

    name: str
    seconds: int
    worth: int
    must: bool = False


def choose(pieces: Sequence[Piece], seconds: int) -> frozenset[int] | None:
    """Indices of the best pieces that fit, or None where those that must stay do not.

    Exact: pieces that no best choice leaves out or takes are settled first (the bound of Dembo
    and Hammer 1980), and the few others by a dynamic programme over undominated pairs of time and
    worth, in order of worth per second, where a pair is dropped once even the fractional optimum
    of what is left cannot lift it above the best whole choice known (Nemhauser and Ullmann 1969,
    with the bound of Dantzig 1957; all from memory). Among equal choices the shorter wins, then
    the one that takes earlier pieces.
    """
    taken = [index for index, piece in enumerate(pieces) if piece.must]
    room = seconds - sum([pieces[index].seconds for index in taken])
    if room < 0:
        return None
    order = []
    for index, (_, time, worth, must) in enumerate(pieces):
        if must or worth <= 0:
            continue
        if time == 0:
            taken.append(index)
        elif time <= room:
            order.append((-worth / time, index, time, worth))
    order.sort()
    items = [(time, worth) for _, _, time, worth in order]
    return frozenset(taken).union([order[position][1] for position in _knapsack(items, room)])


#: (seconds, worth, last piece taken, the state before it)
_State = tuple[int, int, int, "_State | None"]


def _knapsack(items: Sequence[tuple[int, int]], room: int) -> list[int]:
    """Positions of the best items; items come in falling order of worth per second."""
    certain, open_, room, known = _settled(items, room)
    if not open_:
        return certain
    left = [items[position] for position in open_]
    return certain + [open_[position] for position in _search(left, room, known)]


def _settled(items: Sequence[tuple[int, int]], room: int) -> tuple[list[int], list[int], int, int]:
    """What every best choice takes, what is open, and the room and least worth left for that.

    With time at the price of the first item that does not fit whole, no choice is worth more than
    the fractional optimum less what an item adds to it or falls short of it: where that is below a
    choice that exists, the item is certain.
    """
    times, worths, first = 0, 0, len(items)
    for position, (seconds, worth) in enumerate(items):
        if times + seconds > room:
            first = position
            break
        times += seconds
        worths += worth
    if first == len(items):
        return list(range(first)), [], 0, 0
    price, per = items[first][1], items[first][0]
    known = worths + _greedy(items[first:], room - times)
    # in parts of `per`, so that everything stays whole
    slack = (worths - known) * per + (room - times) * price
    certain, left = [], []
    for position, (seconds, worth) in enumerate(items):
        over = worth * per - seconds * price
        if -slack <= over <= slack:
            left.append(position)
        elif position < first:
            certain.append(position)
            room -= seconds
            known -= worth
    return certain, left, room, known


def _search(items: Sequence[tuple[int, int]], room: int, known: int) -> list[int]:
    """Positions of the best items, of which some choice is worth what is known."""
    times = [0, *accumulate([seconds for seconds, _ in items])]
    worths = [0, *accumulate([worth for _, worth in items])]
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
