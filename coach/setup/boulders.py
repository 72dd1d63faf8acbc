"""Hard boulders as they are typed: 'flint 4, overhang, 9 moves'."""

import re
from collections.abc import Sequence

from coach.errors import UsageError
from coach.files.names import advice, nearest
from coach.model.person import Person
from coach.model.tries import STYLES, UNNAMED, Boulder

_MOVES = re.compile(r"(\d{1,2})( moves?)?")
#: Moves that a boulder may have: those that have a phrase of their own.
MOST_MOVES = 12

#: Likeness, 0 to 100, from which on a name is a circuit mistyped: 'flnt', not 'slab' for 'slate'.
NEARLY = 80.0


def boulders_of(
    texts: Sequence[str], people: Sequence[Person], circuits: Sequence[str] = ()
) -> tuple[tuple[int, Boulder], ...]:
    """Who is on which boulder; one text is everybody's. UsageError for what is none.

    A boulder may have any name; one that is nearly a circuit of the place was mistyped.
    """
    if len(texts) > len(people):
        raise UsageError(
            f"--boulder: {len(texts)} boulders for {len(people)} people",
            "Name one for each person, in their order, or one for all.",
        )
    told = [_boulder(text, circuits) for text in texts]
    if len(told) == 1:
        told *= len(people)
    return tuple((person.who, one) for person, one in zip(people, told, strict=False))


def _boulder(text: str, circuits: Sequence[str]) -> Boulder:
    first, *more = (part.strip().lower() for part in text.split(","))
    if not first or first.rpartition(" ")[0] == UNNAMED:
        raise UsageError(
            f"--boulder: {text!r} names none", "Begin with its number or circuit: 'flint 4'."
        )
    circuit, _, number = first.rpartition(" ")
    if number.isdigit() and circuit not in circuits and nearest(circuit, circuits, NEARLY):
        raise UsageError(
            f"--boulder: this place has no circuit {circuit!r}", advice(circuit, circuits)
        )
    boulder = Boulder(f"number {first}" if first.isdigit() else first)
    for part in more:
        moves = _MOVES.fullmatch(part)
        if part in STYLES:
            boulder = Boulder(boulder.name, part, boulder.moves)
        elif moves is not None and 0 < int(moves[1]) <= MOST_MOVES:
            boulder = Boulder(boulder.name, boulder.style, int(moves[1]))
        else:
            raise UsageError(
                f"--boulder: {part!r} is neither a style nor 1 to {MOST_MOVES} moves",
                advice(part, STYLES),
            )
    return boulder
