"""What a climber is after: boulders or grades, a focus to favour, a dose a week."""

from dataclasses import dataclass
from enum import StrEnum


class AimKind(StrEnum):
    """What an aim is about."""

    #: a boulder, by its name or number
    BOULDER = "boulder"
    #: so many boulders of a grade or circuit
    GRADE = "grade"
    #: a focus that should come up more often, by the name of its movement
    FOCUS = "focus"
    #: minutes or times a week of 'mobility', 'hangs' or 'focus'
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
    """Minutes a week, of a dose; 0 where it is counted in times."""
    count: int = 1
    """How many different boulders, of a grade or circuit."""
    times: int = 0
    """Sessions a week with it, of a dose; 0 where it is counted in minutes."""
    since: str = ""
    """ISO date on which it was set; '' for unknown."""
