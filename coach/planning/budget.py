"""The budget: which indivisible pieces of a session fit into the seconds that are left.

Owns the exact optimum. A piece is a set, a batch, or a try with its rest; pieces that must stay
are taken first. Worths are whole numbers, so that equal choices compare equal.
"""

from collections.abc import Sequence
from typing import NamedTuple


class Piece(NamedTuple):
    """Something that is done whole or not at all."""

    name: str
    seconds: int
    worth: int
    must: bool = False


def choose(pieces: Sequence[Piece], seconds: int) -> frozenset[int] | None:
    """Indices of the pieces that fit and are worth most; None where those that must stay do not.

    A dynamic programme over pairs of time and worth that no other pair beats in both (Nemhauser
    and Ullmann 1969, from memory). Of equal choices the shorter wins, then that of earlier pieces.
    """
    taken = frozenset(index for index, piece in enumerate(pieces) if piece.must)
    room = seconds - sum(pieces[index].seconds for index in taken)
    if room < 0:
        return None
    best: list[tuple[int, int, tuple[int, ...]]] = [(0, 0, ())]
    for index, piece in enumerate(pieces):
        if piece.must or piece.worth <= 0 or piece.seconds > room:
            continue
        time, worth = piece.seconds, piece.worth
        grown = [(t + time, w + worth, (*i, index)) for t, w, i in best if t + time <= room]
        best = _unbeaten(best, grown)
    return taken.union(best[-1][2])


def _unbeaten(
    kept: list[tuple[int, int, tuple[int, ...]]], grown: list[tuple[int, int, tuple[int, ...]]]
) -> list[tuple[int, int, tuple[int, ...]]]:
    """Both, the shorter first, without those that take longer than another and are worth no more.

    Python's sort runs through two sorted lists once, and keeps what was there before equals.
    """
    left, top = [], -1
    for state in sorted(kept + grown, key=lambda state: (state[0], -state[1])):
        if state[1] > top:
            left.append(state)
            top = state[1]
    return left
