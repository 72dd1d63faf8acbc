"""Warning signs by name: which part they are about, and whether the session ends with them.

Fingers: pop or snap, sudden palm-side pain, swelling and bowstringing (Schoeffl V et al. 2003,
Wilderness Environ Med 14(2):94-100, and later); numb, pale, can't bend or straighten, deformed,
open wound (general first-aid text). Head and neck after a fall: the list of the Concussion
Recognition Tool (Echemendia RJ et al. 2023, Br J Sports Med 57:689). Chest pain, faintness and
fever: general first aid, from memory, unconfirmed. Nothing here is a diagnosis.
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
    "confused",
)

SIGNS: dict[str, Sign] = {
    sign.name: sign
    for sign in (
        *(Sign(name, After.PART, Part.FINGERS) for name in _FINGERS),
        *(Sign(name, After.EMERGENCY) for name in _HEAD),
        Sign("cannot-bear-weight", After.EMERGENCY),
        Sign("chest-pain", After.EMERGENCY),
        Sign("faint", After.EMERGENCY),
        Sign("fever", After.OVER),
    )
}


def known(name: str | None) -> Sign:
    """The sign of a name; one that is not listed is about the part it was told of."""
    return SIGNS.get(name or "", Sign(name or "yes", After.PART))
