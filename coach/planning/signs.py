"""Warning signs by name: which part they are about, and whether the session ends with them.

Fingers: pop or snap and sudden palm-side pain (Schoeffl, as reported in 2016), swelling and
bowstringing (defined in Schweizer A 2001, J Biomech 34(2):217-223); numb, pale, can't bend or
straighten, deformed, open wound (general first-aid text). Head and neck after a fall: the list of
the Concussion Recognition Tool (Echemendia RJ et al. 2023, Br J Sports Med 57:689). Confusion, a
leg that bears no weight, chest pain, faintness and fever: general first aid, from memory,
unconfirmed. Nothing here is a diagnosis.
"""

from dataclasses import dataclass
from enum import StrEnum

from coach.model.body import Part


class After(StrEnum):
    """What a sign means for the rest of the session."""

    #: the part gets no load any more
    PART = "part"
    #: nothing gets load any more, and somebody else has to look at once
    EMERGENCY = "emergency"
    #: nothing gets load any more
    OVER = "over"


@dataclass(frozen=True, slots=True)
class Sign:
    """A warning sign."""

    name: str
    after: After
    part: Part | None = None
    published: bool = False
    """Whether a published list names it as an emergency."""


_FINGERS = (
    "pop",
    "palm-pain",
    "swelling",
    "bowstring",
    "numb",
    "pale",
    "cannot-bend",
    "deformed",
    "wound",
)
_HEAD = (
    "knocked-out",
    "neck-pain",
    "double-vision",
    "weak-limbs",
    "headache",
    "seizure",
    "drowsy",
    "vomiting",
)
_FIRST_AID = ("confused", "cannot-bear-weight", "chest-pain", "faint")

SIGNS: dict[str, Sign] = {
    sign.name: sign
    for sign in (
        *(Sign(name, After.PART, Part.FINGERS) for name in _FINGERS),
        *(Sign(name, After.EMERGENCY, published=True) for name in _HEAD),
        *(Sign(name, After.EMERGENCY) for name in _FIRST_AID),
        Sign("fever", After.OVER),
    )
}


def known(name: str | None) -> Sign:
    """The sign of a name; one that is not listed is about the part it was told of."""
    return SIGNS.get(name or "", Sign(name or "yes", After.PART))
