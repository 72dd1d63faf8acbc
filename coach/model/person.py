"""A person in a session. Alone is 1, a pair is 1 and 2, a group is up to 30."""

from dataclasses import dataclass
from enum import StrEnum


class AgeBand(StrEnum):
    """Age as far as the published cautions ask; unknown counts as under 18."""

    UNDER_16 = "under-16"
    UNDER_18 = "under-18"
    ADULT = "adult"
    UNKNOWN = "unknown"


#: For how long somebody has climbed, as they say it -> the months that this counts as: the least
#: that it can mean.
CLIMBED = {"months": 0, "a-year": 6, "years": 24}


@dataclass(frozen=True, slots=True)
class Person:
    """Who climbs, by number from 1; a name is optional and never needed to answer."""

    who: int
    name: str = ""
    age: AgeBand = AgeBand.UNKNOWN
    comfortable: str = ""
    """The circuit that is comfortable at this place."""
    edge: str = ""
    """The usual edge for the edge check, by its name on the board."""
    best: str = ""
    """Best boulder so far, as a grade or circuit."""
    months: int | None = None
    """Months of climbing; None where untold."""
