"""A session as the record sees it: when, where, and its digest."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from coach.record.digest import Digest


@dataclass(frozen=True, slots=True)
class Entry:
    """One session of one person."""

    id: int
    """Number in this journal: what `coach history NUMBER` takes."""
    uid: str
    """Name in every journal."""
    begun: datetime
    """With the offset from UTC that held there and then."""
    routine: str
    minutes: int
    """Minutes that were planned."""
    place: str
    who: int
    """The person's number in the session."""
    with_others: int
    """How many other people took part."""
    how: str | None
    """How it was closed; None while it runs or after a crash."""
    digest: Digest

    @property
    def day(self) -> date:
        """The day it began, where it began: it belongs to the evening the climber had."""
        return self.begun.date()


def none_after(entries: Sequence[Entry], today: date) -> list[Entry]:
    """The entries; what a clock that stood wrong put after today counts as one of today."""
    return [
        entry if entry.day <= today else replace(entry, begun=_on(entry.begun, today))
        for entry in entries
    ]


def _on(begun: datetime, day: date) -> datetime:
    return begun.replace(year=day.year, month=day.month, day=day.day)
