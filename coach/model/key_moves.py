"""What a hard boulder can be about, and what a coach has for it: the table of key moves.

The table itself is data (`routines/boulders/*.toml`); these are its shapes.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from coach.model.body import Part

#: How steep it is, or what shape the rock has.
STYLES = ("slab", "wall", "overhang", "roof", "corner", "arete", "traverse")

#: What the hardest move of a boulder can be: each has its line in the table.
KEY_MOVES = (
    "leap",
    "big-span",
    "small-edges",
    "sloping-holds",
    "pinches",
    "undercuts",
    "pressing-out",
    "hooks",
    "balance",
    "squeezing",
    "coordination",
    "top-out",
)

#: Why a try ended.
CAUSES = (
    # the fingers opened
    "grip",
    # a foot slipped, or was not where it was needed
    "foot",
    # the sequence was wrong, or forgotten
    "plan",
    # too far
    "reach",
    # too early or too late
    "timing",
    # held back, or afraid: nobody is talked into it
    "head",
    "skin",
    # simply tired
    "tired",
)

#: In the place of a cause that nobody told.
UNTOLD = "untold"

#: Tiers of a drill, the gentlest first.
TIERS = ("easy", "middle", "hard")


class VariationEffect(StrEnum):
    """What a variation does besides being said before the try."""

    NOTHING = ""
    #: lengthens the rest that runs
    REST = "rest"
    FILM = "film"
    ANOTHER_BOULDER = "another-boulder"


@dataclass(frozen=True, slots=True)
class Variation:
    """One single thing that can be different in the next try."""

    name: str
    title: Mapping[str, str]
    """Language -> how it is offered."""
    cue: Mapping[str, str]
    """Language -> what is said right before the try."""
    fits: tuple[str, ...]
    """The CAUSES that it answers."""
    asks: tuple[Part, ...] = ()
    """Parts that it asks more of than the plain try."""
    does: VariationEffect = VariationEffect.NOTHING


@dataclass(frozen=True, slots=True)
class KeyMove:
    """What a boulder is about, and what prepares for it."""

    name: str
    title: Mapping[str, str]
    middle: Mapping[str, str]
    """Language -> what to look for in the middle boulders."""
    prepare: Mapping[str, str]
    """Language -> the one thing that is said before its first try."""
    drills: Mapping[str, tuple[str, ...]]
    """Tier -> movements that resemble it, the closest first."""
    focus: tuple[str, ...]
    """Focuses for the easy boulders, the best first."""
    board: tuple[str, ...]
    """Movements of the board that it favours."""
    variations: tuple[str, ...]
    """What can be changed after a fall, the best first."""


@dataclass(frozen=True, slots=True)
class KeyMoves:
    """The whole table; empty where a session was recorded before there was one."""

    moves: Mapping[str, KeyMove] = field(default_factory=dict)
    variations: Mapping[str, Variation] = field(default_factory=dict)
    causes: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Cause -> variations where nobody told what the boulder is about, the best first."""
    styles: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Style -> the key moves that it asks for most, which are offered as answers."""


#: No table at all.
NO_KEY_MOVES = KeyMoves()
