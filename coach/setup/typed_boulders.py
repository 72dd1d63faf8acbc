"""Hard boulders as they are typed: 'flint 4, overhang, 9 moves, leap at 5, left hand'.

What comes after 'plan:' is the climber's own plan, to be shown before each try.
"""

import re
from collections.abc import Sequence
from dataclasses import replace

from coach.errors import UsageError
from coach.files.names import advice, nearest
from coach.model.key_moves import KEY_MOVES, STYLES
from coach.model.person import Person
from coach.model.tries import HANDS, MOST_MOVES, UNNAMED, Boulder

_MOVES = re.compile(r"(\d{1,2})( moves?)?")
#: 'leap at 5', 'move 5': which move is the hardest.
_AT = re.compile(r"(?:(?P<what>\D+?) at|move) (?P<number>\d{1,2})")
_PLAN = "plan:"
_HAND = re.compile(rf"({'|'.join(HANDS)})( hand)?")
#: What climbers call a key move for short.
_SHORT = {
    "edges": "small-edges",
    "span": "big-span",
    "reach": "big-span",
    "slopers": "sloping-holds",
    "mantle": "pressing-out",
    "press": "pressing-out",
    "heel-hook": "hooks",
    "toe-hook": "hooks",
    "hook": "hooks",
    "rock-over": "balance",
    "undercut": "undercuts",
    "pinch": "pinches",
    "squeeze": "squeezing",
}

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
    plan = next((at for at, part in enumerate(more) if part.startswith(_PLAN)), len(more))
    if plan < len(more):
        # her own words may hold commas
        boulder = replace(boulder, plan=", ".join(more[plan:]).removeprefix(_PLAN).strip())
    for part in more[:plan]:
        boulder = _told(boulder, part)
    if boulder.moves and boulder.key_at > boulder.moves:
        raise UsageError(
            f"--boulder: move {boulder.key_at} of {boulder.moves}",
            "Say how many moves it has, and which of them is the hardest.",
        )
    return boulder


def _told(boulder: Boulder, part: str) -> Boulder:
    """The boulder with one more thing that was told of it."""
    moves, at, hand = (form.fullmatch(part) for form in (_MOVES, _AT, _HAND))
    if part in STYLES:
        return replace(boulder, style=part)
    if hand is not None:
        return replace(boulder, hand=hand[1])
    if moves is not None and 0 < int(moves[1]) <= MOST_MOVES:
        return replace(boulder, moves=int(moves[1]))
    if at is not None and 0 < int(at["number"]) <= MOST_MOVES:
        told = replace(boulder, key_at=int(at["number"]))
        return _told(told, at["what"]) if at["what"] else told
    name = part.replace(" ", "-")
    about = name if name in KEY_MOVES else _SHORT.get(name, "")
    if about:
        return replace(boulder, about=about)
    raise UsageError(
        f"--boulder: {part!r} is neither a style, a key move, a hand, nor 1 to {MOST_MOVES} moves",
        advice(part, (*STYLES, *_SHORT, *(one.replace("-", " ") for one in KEY_MOVES))),
    )
