"""What a climber is after: a boulder or grade, a focus to favour, a dose a week."""

from dataclasses import dataclass
from enum import StrEnum


class AimKind(StrEnum):
    """What an aim is about."""

    #: a boulder, by its name or number
    BOULDER = "boulder"
    #: a grade or circuit
    GRADE = "grade"
    #: a focus that should come up more often, by the name of its movement
    FOCUS = "focus"
    #: minutes a week of 'mobility', 'hangs' or 'focus'
    DOSE = "dose"


@dataclass(frozen=True, slots=True)
class Aim:
    """One aim; it is never scored, and a week without it is only a week."""

    uid: str
    kind: AimKind
    what: str
    by: str = ""
    """ISO date; '' for no date."""
    minutes: float = 0.0
    """Minutes a week, of a dose."""
