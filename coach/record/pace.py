"""Minutes per boulder, learnt from earlier sessions at the same place.

One session is one value for each tier, and the median of the latest counts, so that no single
session spoils it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import median

from coach.planning.boulder_time import TIERS
from coach.record.entry import Entry

#: The latest sessions that count (our choice); the first at a place tells already.
LATEST = 7
#: A rule that fires where people queue: such a day tells nothing of the usual one.
_CROWDED = "crowded"


@dataclass(frozen=True, slots=True)
class Pace:
    """How long one boulder of a tier takes."""

    tier: str
    seconds: float
    """Climbing, coming off, walking and waiting."""
    sessions: int
    """How many it is learnt from."""


def paces(entries: Sequence[Entry], place: str, with_others: int = 0) -> Iterator[Pace]:
    """The pace of each tier at a place, among as many other people, where any session tells."""
    like = [
        entry.digest.paces
        for entry in entries
        if entry.place == place
        and entry.with_others == with_others
        and _CROWDED not in entry.digest.rules
    ]
    for tier in TIERS:
        values = [told[tier] for told in like if tier in told][-LATEST:]
        if values:
            yield Pace(tier.value, median(values), len(values))
