"""Sessions as iCalendar (RFC 5545), through the library icalendar.

A past session is an instant, written in UTC. A plan is a time on the wall, written without a zone
(a floating time), so that six in the evening stays six in the evening.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from coach.distribution import add
from coach.errors import CoachError
from coach.model.doses import DOSES
from coach.record.amounts import count, duration
from coach.record.entry import Entry

PRODUCT = "-//climbing session journal//EN"


@dataclass(frozen=True, slots=True)
class Plan:
    """A session to come."""

    uid: str
    title: str
    begins: datetime
    """Local time, without a zone."""
    minutes: int
    place: str = ""
    weeks: int = 1
    """How many times, a week apart."""
    notes: str = ""


def calendar(entries: Sequence[Entry], plans: Sequence[Plan], written: datetime) -> bytes:
    """The calendar as a file; `written` is when (RFC 5545, DTSTAMP).

    CoachError when icalendar is missing.
    """
    try:
        from icalendar import Calendar, Event
    except ImportError as error:
        raise CoachError("a calendar needs the library icalendar", add("exports")) from error
    made = Calendar()
    made.add("prodid", PRODUCT)
    made.add("version", "2.0")
    stamp = written.astimezone(UTC)
    for entry in entries:
        event = Event()
        begun = entry.begun.astimezone(UTC)
        event.add("uid", entry.uid)
        event.add("dtstamp", stamp)
        event.add("dtstart", begun)
        event.add("dtend", begun + timedelta(seconds=round(entry.digest.seconds)))
        event.add("summary", f"Bouldering: {entry.routine}")
        event.add("description", describe(entry))
        event.add("status", "CONFIRMED")
        if entry.place:
            event.add("location", entry.place)
        made.add_component(event)
    for plan in plans:
        event = Event()
        event.add("uid", plan.uid)
        event.add("dtstamp", stamp)
        event.add("dtstart", plan.begins.replace(tzinfo=None))
        event.add("duration", timedelta(minutes=plan.minutes))
        event.add("summary", f"Bouldering: {plan.title}")
        event.add("status", "TENTATIVE")
        if plan.weeks > 1:
            event.add("rrule", {"freq": "weekly", "count": plan.weeks})
        if plan.place:
            event.add("location", plan.place)
        if plan.notes:
            event.add("description", plan.notes)
        made.add_component(event)
    return bytes(made.to_ical())


def describe(entry: Entry) -> str:
    """What was done, a line each."""
    digest = entry.digest
    lines = [f"{dose}: {duration(digest.doses[dose])}" for dose in DOSES if dose in digest.doses]
    lines += [f"{tier}: {count(number, 'boulder')}" for tier, number in digest.boulders.items()]
    if digest.hard_tries:
        tries = count(digest.hard_tries, "try", "tries")
        lines.append(f"hard: {tries}, {count(len(digest.tops), 'top')}")
    return "\n".join(lines)
