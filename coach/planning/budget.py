"""The budget: which indivisible pieces of a session fit into the seconds that are left.

Owns the exact optimum. A piece is a set, a batch, or a try with its rest; pieces that must stay
are taken first. Worths are whole numbers, so that equal choices compare equal.
"""

from bisect import bisect_right
from collections.abc import Sequence
from typing import NamedTuple

#: Time, worth, and the indices of the pieces.
_State = tuple[int, int, tuple[int, ...]]
#: How often the choices that can't become the best are dropped on the way, and how few may stay.
_LOOKS, _FEW = 64, 8


class Piece(NamedTuple):
    """Something that is done whole or not at all."""

    name: str
    seconds: int
    worth: int
    must: bool = False


def choose(pieces: Sequence[Piece], seconds: int) -> frozenset[int] | None:
    """Indices of the pieces that fit and are worth most; None where those that must stay do not.

    A dynamic programme over pairs of time and worth that no other pair beats in both (Nemhauser
    and Ullmann 1969, from memory), without those that even parts of pieces could not bring to what
    is within reach anyway. Of equal choices the shorter wins, then that of earlier pieces.
    """
    taken = frozenset(index for index, piece in enumerate(pieces) if piece.must)
    room = seconds - sum(pieces[index].seconds for index in taken)
    if room < 0:
        return None
    best: list[_State] = [(0, 0, ())]
    free = [
        (index, piece)
        for index, piece in enumerate(pieces)
        if not piece.must and piece.worth > 0 and piece.seconds <= room
    ]
    dense = sorted(free, key=lambda one: one[1].worth / max(one[1].seconds, 1e-9), reverse=True)
    least, every = _within_reach(dense, room), len(free) // _LOOKS + 1
    for number, (index, piece) in enumerate(free):
        if number % every == 0 and len(best) > _FEW:
            best = _hopeful(best, [one for at, one in dense if at >= index], room, least)
        time, worth = piece.seconds, piece.worth
        grown = [(t + time, w + worth, (*i, index)) for t, w, i in best if t + time <= room]
        best = _unbeaten(best, grown)
    return taken.union(best[-1][2])


def _within_reach(dense: Sequence[tuple[int, Piece]], room: int) -> int:
    """What the densest pieces that fit are worth."""
    worth = 0
    for _, piece in dense:
        if piece.seconds <= room:
            room -= piece.seconds
            worth += piece.worth
    return worth


def _hopeful(
    states: Sequence[_State], dense: Sequence[Piece], room: int, least: int
) -> list[_State]:
    """The states that pieces ahead, the last of them in part, could bring to the least worth."""
    ends, sums = [0], [0]
    for piece in dense:
        ends.append(ends[-1] + piece.seconds)
        sums.append(sums[-1] + piece.worth)
    kept = []
    for state in states:
        left = room - state[0]
        whole = bisect_right(ends, left) - 1
        most = float(state[1] + sums[whole])
        if whole < len(dense):
            most += (left - ends[whole]) * dense[whole].worth / dense[whole].seconds
        if most >= least - 1e-6:
            kept.append(state)
    return kept


def _unbeaten(kept: list[_State], grown: list[_State]) -> list[_State]:
    """Both, the shorter first, without those that take longer than another and are worth no more.

    Python's sort runs through two sorted lists once, and keeps what was there before equals.
    """
    left, top = [], -1
    for state in sorted(kept + grown, key=lambda state: (state[0], -state[1])):
        if state[1] > top:
            left.append(state)
            top = state[1]
    return left
