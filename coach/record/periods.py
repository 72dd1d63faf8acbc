"""Weeks, months and years of the climber's own calendar.

A session belongs to the day it began where it began. Weeks are ISO 8601 weeks (Monday first).
"""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta
from enum import StrEnum

from coach.record.entry import Entry


class Span(StrEnum):
    """How long a period is."""

    WEEK = "week"
    MONTH = "month"
    YEAR = "year"


def first_day(day: date, span: Span) -> date:
    """The first day of the period that a day is in."""
    if span is Span.WEEK:
        return day - timedelta(days=day.weekday())
    return day.replace(day=1) if span is Span.MONTH else day.replace(month=1, day=1)


def following(first: date, span: Span) -> date:
    """The first day of the next period."""
    if span is Span.WEEK:
        return first + timedelta(days=7)
    if span is Span.YEAR:
        return first.replace(year=first.year + 1)
    return (first + timedelta(days=31)).replace(day=1)


def label(first: date, span: Span) -> str:
    """A period by name: '2026-W07', '2026-02', '2026'."""
    if span is Span.WEEK:
        year, week, _ = first.isocalendar()
        return f"{year}-W{week:02}"
    return first.isoformat()[: 7 if span is Span.MONTH else 4]


def periods(first: date, last: date, span: Span) -> Iterator[date]:
    """First days of every period from one day to another, those without a session included."""
    current = first_day(first, span)
    while current <= last:
        yield current
        current = following(current, span)


def grouped(
    entries: Sequence[Entry], span: Span, until: date | None = None
) -> list[tuple[str, list[Entry]]]:
    """Entries by period, empty periods included, up to the last entry or a later day."""
    if not entries:
        return []
    days = [entry.day for entry in entries]
    last = max([*days, until or min(days)])
    found: dict[date, list[Entry]] = {day: [] for day in periods(min(days), last, span)}
    for entry, day in zip(entries, days, strict=True):
        found[first_day(day, span)].append(entry)
    return [(label(day, span), group) for day, group in found.items()]


def between(entries: Iterable[Entry], since: date | None, until: date | None) -> Iterator[Entry]:
    """Entries of some days, both ends included; None is no bound."""
    return (
        entry
        for entry in entries
        if (since is None or entry.day >= since) and (until is None or entry.day <= until)
    )
