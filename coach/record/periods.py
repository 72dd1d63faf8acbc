"""Days, weeks, months, quarters and years of the climber's own calendar.

A session belongs to the day it began where it began. Weeks are ISO 8601 weeks (Monday first).
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum

from coach.record.entry import Entry
from coach.record.panel import LevelLine, Panel, Series, Shape


class PeriodLength(StrEnum):
    """How long a period is."""

    DAY = "day"
    WEEK = "week"
    MONTH = "month"
    QUARTER = "quarter"
    YEAR = "year"


#: The most days that are shown by each span where nobody chose one (our choice): each leaves a
#: chart of two to some forty periods.
FITTING = (
    (PeriodLength.DAY, 21),
    (PeriodLength.WEEK, 182),
    (PeriodLength.MONTH, 1096),
    (PeriodLength.QUARTER, 4018),
)


def fitting(first: date, last: date) -> PeriodLength:
    """The span that suits what lies between two days."""
    days = (last - first).days + 1
    return next((span for span, most in FITTING if days <= most), PeriodLength.YEAR)


def first_day(day: date, span: PeriodLength) -> date:
    """The first day of the period that a day is in."""
    if span is PeriodLength.DAY:
        return day
    if span is PeriodLength.WEEK:
        return day - timedelta(days=day.weekday())
    if span is PeriodLength.QUARTER:
        return day.replace(month=day.month - (day.month - 1) % 3, day=1)
    return day.replace(day=1) if span is PeriodLength.MONTH else day.replace(month=1, day=1)


def following(first: date, span: PeriodLength) -> date:
    """The first day of the next period."""
    if span is PeriodLength.DAY:
        return first + timedelta(days=1)
    if span is PeriodLength.WEEK:
        return first + timedelta(days=7)
    if span is PeriodLength.YEAR:
        return first.replace(year=first.year + 1)
    long = 31 if span is PeriodLength.MONTH else 93
    return (first + timedelta(days=long)).replace(day=1)


def label(first: date, span: PeriodLength) -> str:
    """A period by name: '2026-02-09', '2026-W07', '2026-02', '2026-Q1', '2026'."""
    if span is PeriodLength.WEEK:
        year, week, _ = first.isocalendar()
        return f"{year}-W{week:02}"
    if span is PeriodLength.QUARTER:
        return f"{first.year}-Q{first.month // 3 + 1}"
    return first.isoformat()[
        : {PeriodLength.DAY: 10, PeriodLength.MONTH: 7, PeriodLength.YEAR: 4}[span]
    ]


def periods(first: date, last: date, span: PeriodLength) -> Iterator[date]:
    """First days of every period from one day to another, those without a session included."""
    current = first_day(first, span)
    while current <= last:
        yield current
        current = following(current, span)


@dataclass(frozen=True, slots=True)
class Period:
    """One period and what began in it."""

    first: date
    span: PeriodLength
    entries: list[Entry] = field(default_factory=list)

    @property
    def label(self) -> str:
        """Its name."""
        return label(self.first, self.span)

    def over(self, today: date) -> bool:
        """Whether it has ended."""
        return following(self.first, self.span) <= today + timedelta(days=1)


def grouped(
    entries: Sequence[Entry], span: PeriodLength, until: date | None = None
) -> list[Period]:
    """Entries by period, empty periods included, up to the last entry or a later day."""
    if not entries:
        return []
    days = [entry.day for entry in entries]
    last = max([*days, until or min(days)])
    found = {day: Period(day, span) for day in periods(min(days), last, span)}
    for entry, day in zip(entries, days, strict=True):
        found[first_day(day, span)].entries.append(entry)
    return list(found.values())


def between(entries: Iterable[Entry], since: date | None, until: date | None) -> Iterator[Entry]:
    """Entries of some days, both ends included; None is no bound."""
    return (
        entry
        for entry in entries
        if (since is None or entry.day >= since) and (until is None or entry.day <= until)
    )


def over_time(
    groups: Sequence[Period],
    today: date,
    name: str,
    title: str,
    unit: str,
    shape: Shape,
    series: Sequence[Series],
    text: Sequence[str],
    levels: Sequence[LevelLine] = (),
    note: str = "",
) -> Panel:
    """A panel whose labels are these periods; one that is not over is said so."""
    last = groups[-1] if groups else None
    unfinished = last is not None and not last.over(today)
    told = [*text, f"{last.label} is not over."] if last and unfinished else text
    return Panel(
        name,
        title,
        unit,
        shape,
        tuple(one.label for one in groups),
        tuple(series),
        tuple(told),
        tuple(levels),
        note=note,
        days=tuple(one.first for one in groups),
        ends=following(last.first, last.span) if last else None,
        unfinished=unfinished,
    )
