"""Calendars that a library other than the one that wrote them accepts."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from coach.exports.calendar import Plan, calendar
from coach.model.facts import Climbed, Tried
from coach.record.entry import Entry
from tests.record.days import ended, entry

vobject = pytest.importorskip("vobject")

WRITTEN = datetime(2026, 3, 4, 9, 0, tzinfo=timezone(timedelta(hours=1)))


def read(entries: list[Entry], *plans: Plan) -> list[Any]:
    """The events, as another library reads them."""
    made = calendar(entries, plans, WRITTEN).decode()
    assert all(len(line.encode()) <= 75 for line in made.split("\r\n"))  # RFC 5545, 3.1
    return list(vobject.readOne(made).contents.get("vevent", []))


def test_a_past_session_is_an_instant() -> None:
    begun = datetime(2026, 10, 25, 2, 30, tzinfo=ZoneInfo("Europe/Vienna"), fold=1)
    facts = [Climbed(1.0, 1, "easy", 12, 60.0), Tried(1.0, 1, "a", 1, "topped", 9.0), ended(87)]
    (event,) = read([replace(entry(0, *facts), begun=begun, place='Old "Sluice", 🪨; north')])
    assert event.dtstart.value == datetime(2026, 10, 25, 1, 30, tzinfo=UTC)
    assert event.dtend.value - event.dtstart.value == timedelta(minutes=87)
    assert event.dtstamp.value == datetime(2026, 3, 4, 8, 0, tzinfo=UTC)
    assert event.summary.value == "Bouldering: full"
    assert event.location.value == 'Old "Sluice", 🪨; north'
    assert event.description.value == "easy: 12 boulders\nhard: 1 try, 1 top"
    assert event.status.value == "CONFIRMED"


def test_names_in_a_calendar_are_unique_and_stay() -> None:
    entries = [entry(0), entry(1)]
    uids = [event.uid.value for event in read(entries)]
    assert uids == [one.uid for one in entries]


def test_a_plan_is_a_time_on_the_wall() -> None:
    evening = datetime(2026, 3, 24, 18, 30, tzinfo=UTC)
    plan = Plan("p1", "full", evening, 90, "Old Sluice", weeks=3, notes="bring tape")
    (event,) = read([], plan)
    assert event.dtstart.value == datetime(2026, 3, 24, 18, 30)  # noqa: DTZ001 - no zone: floating
    assert event.duration.value == timedelta(minutes=90)
    assert event.status.value == "TENTATIVE"
    assert event.description.value == "bring tape"
    # Half past six before and after the clocks change on 29 March.
    hours = {when.hour for when in event.getrruleset()}
    assert hours == {18}
    assert len(list(event.getrruleset())) == 3


def test_what_is_not_known_is_left_out() -> None:
    (event,) = read([], Plan("p1", "full", WRITTEN, 90))
    assert not {"location", "description", "rrule"} & set(event.contents)
    (past,) = read([replace(entry(0), place="")])
    assert "location" not in past.contents


def test_an_empty_calendar_is_a_calendar() -> None:
    assert read([]) == []
