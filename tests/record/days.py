"""Small records for tests: entries made of facts, and journals that hold them."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

from coach.journal import Journal
from coach.journal.codec import Recorded
from coach.journal.transfer import Whole, put
from coach.model.body import Feel
from coach.model.facts import EdgeChecked, Fact, Finished
from coach.model.person import Person
from coach.record.digest import digest
from coach.record.entry import Entry
from coach.session.events import TimePassed
from tests.journal.made import start

MONDAY = datetime(2026, 3, 2, 18, 0, tzinfo=UTC)


def on(days: float) -> datetime:
    """A time so many days after a Monday evening."""
    return MONDAY + timedelta(days=days)


def entry(days: float, *facts: Fact, how: str | None = "done", others: int = 0) -> Entry:
    """A session of person 1, so many days after a Monday."""
    made = digest(facts, 1, {})
    number = round(days * 100)
    name = f"{number:08}"
    return Entry(number, name, on(days), "full", 90, "Old Sluice", 1, others, how, made)


def ended(minutes: float, effort: int | None = 5) -> Finished:
    """The end of a session."""
    return Finished(minutes * 60, 0, minutes * 60, effort, "done")


def check(
    feel: Feel = Feel.FINE, reading: float | None = None, edge: str = "medium"
) -> EdgeChecked:
    """An edge check."""
    return EdgeChecked(600.0, 1, edge, "edge-check", "off", feel, reading)


def write(path: Path, days: Sequence[tuple[datetime, Sequence[Fact]]]) -> None:
    """A journal with a session on each day."""
    with Journal.open(path, write=True) as journal:
        for n, (begun, facts) in enumerate(days):
            began = start(begun.isoformat(), (Person(1),))
            one = Recorded(1, begun.isoformat(), TimePassed(1.0), tuple(facts))
            put(journal, Whole(f"{n:08}", "", began, "done", (one,)))
