"""Days, weeks, months and years as the climber has them."""

from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest

from coach.record.entry import Entry
from coach.record.periods import PeriodLength, between, fitting, grouped, label, periods
from tests.record.days import entry


@pytest.mark.parametrize(
    ("day", "span", "name"),
    [
        # ISO 8601: week 1 is the one with the year's first Thursday.
        (date(2024, 12, 30), PeriodLength.WEEK, "2025-W01"),
        (date(2027, 1, 1), PeriodLength.MONTH, "2027-01"),
        (date(2027, 1, 1), PeriodLength.YEAR, "2027"),
        (date(2027, 1, 1), PeriodLength.DAY, "2027-01-01"),
        (date(2027, 1, 1), PeriodLength.QUARTER, "2027-Q1"),
        (date(2027, 10, 1), PeriodLength.QUARTER, "2027-Q4"),
    ],
)
def test_labels(day: date, span: PeriodLength, name: str) -> None:
    assert label(day, span) == name


def test_every_period_is_there_the_empty_ones_too() -> None:
    days = list(periods(date(2025, 12, 31), date(2026, 3, 1), PeriodLength.MONTH))
    assert [day.isoformat() for day in days] == [
        "2025-12-01",
        "2026-01-01",
        "2026-02-01",
        "2026-03-01",
    ]
    assert len(list(periods(date(2024, 2, 29), date(2026, 1, 1), PeriodLength.YEAR))) == 3
    groups = grouped([entry(0), entry(15)], PeriodLength.WEEK)
    assert [(one.label, len(one.entries)) for one in groups] == [
        ("2026-W10", 1),
        ("2026-W11", 0),
        ("2026-W12", 1),
    ]
    last = grouped([entry(0)], PeriodLength.WEEK, date(2026, 3, 20))[-1]
    assert (last.label, last.entries) == ("2026-W12", [])
    assert (last.over(date(2026, 3, 21)), last.over(date(2026, 3, 22))) == (False, True)
    assert grouped([], PeriodLength.WEEK) == []


def test_a_span_suits_the_days_there_are() -> None:
    first = date(2020, 5, 4)
    spans = [
        (7, PeriodLength.DAY),
        (90, PeriodLength.WEEK),
        (365, PeriodLength.MONTH),
        (3650, PeriodLength.QUARTER),
        (9000, PeriodLength.YEAR),
    ]
    for days, span in spans:
        assert fitting(first, first + timedelta(days=days)) is span
        assert 2 < len(list(periods(first, first + timedelta(days=days), span))) < 43


def _begun(when: datetime) -> Entry:
    return replace(entry(0), begun=when)


def test_a_session_belongs_to_the_day_of_the_place() -> None:
    # 23:30 on Saturday in Vienna is Sunday in Tokyo and UTC-wise still Saturday.
    vienna = datetime(2026, 2, 28, 23, 30, tzinfo=ZoneInfo("Europe/Vienna"))
    assert _begun(vienna).day == date(2026, 2, 28)
    assert _begun(vienna.astimezone(timezone(timedelta(hours=9)))).day == date(2026, 3, 1)


def test_days_between() -> None:
    three = [entry(0), entry(1), entry(2)]
    assert list(between(three, None, None)) == three
    assert list(between(three, date(2026, 3, 3), None)) == three[1:]
    assert list(between(three, None, date(2026, 3, 3))) == three[:2]
