"""The body as the planner sees it: parts, how they feel, what loads them, what caps them.

A load is 0 to 3 per part. What the body does in a movement gives the least of each part
(`coach.model.demands`); how much above 0 is the designers' judgement, tested by its order only
(feet on <= feet off, larger <= smaller edge, two hands <= one, static <= catching).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

#: The most that a movement loads a part: as much as hard climbing (our choice of three steps).
HIGHEST_LOAD = 3


class Part(StrEnum):
    """A body part that a movement can load and a person can name."""

    FINGERS = "fingers"
    WRISTS = "wrists"
    ELBOWS = "elbows"
    SHOULDERS = "shoulders"
    NECK = "neck"
    HEAD = "head"
    CHEST = "chest"
    BACK = "back"
    HIPS = "hips"
    KNEES = "knees"
    ANKLES = "ankles"
    SKIN = "skin"


class Feel(StrEnum):
    """How a part feels, in words, best first (stiff stands beside the scale)."""

    FRESH = "fresh"
    FINE = "fine"
    STIFF = "stiff"
    TIRED = "tired"
    SORE = "sore"
    HURTING = "hurting"


#: What spares a part: told of one, it may be of another too.
COMPLAINTS = frozenset({Feel.SORE, Feel.HURTING})


class Tissue(StrEnum):
    """What 'sore' is asked about, once."""

    SKIN = "skin"
    MUSCLE = "muscle"
    JOINT = "joint"


class CapReason(StrEnum):
    """Why a cap exists; it decides how the cap may end."""

    #: told sore or tired: a repeated check after rest may lift it
    SORE = "sore"
    #: a warning sign or "I'm hurt": stays for the session, and in the journal
    #: until the climber states by key that a clinician cleared it
    SIGN = "sign"
    #: the published cautions for the young: never lifted by an answer
    AGE = "age"
    #: a warm-up that was skipped or cut short: lifted when it is made up
    COLD = "cold"
    #: a gate that has not been answered: lifted by its own answer
    GATE = "gate"


Load = Mapping[Part, int]


@dataclass(frozen=True, slots=True)
class Cap:
    """The most load one part of one person may get now."""

    who: int
    part: Part
    most: int
    reason: CapReason
    rule: str
    """Name of the rule that set it, for 'why'."""


def ceiling(caps: Iterable[Cap], who: int, part: Part) -> int:
    """The lowest cap on a part of a person; HIGHEST_LOAD where there is none."""
    return min(
        (cap.most for cap in caps if cap.who == who and cap.part is part),
        default=HIGHEST_LOAD,
    )


def within(load: Load, caps: Iterable[Cap], who: int) -> bool:
    """Whether every part of a load stays at or below that person's caps."""
    caps = tuple(caps)
    return all(amount <= ceiling(caps, who, part) for part, amount in load.items())
