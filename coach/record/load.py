"""Weekly load, monotony and strain after Foster: a description, never a gate.

Session load is the effort of the whole session (0 to 10) times its minutes: Foster C et al. (2001)
J Strength Cond Res 15(1):109-115. Monotony is the mean of the seven daily loads over their standard
deviation, strain is weekly load times monotony: Foster C (1998) Med Sci Sports Exerc
30(7):1164-1168. The abstract does not say which standard deviation; n - 1 is used here.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import dist, sqrt
from statistics import fmean

from coach.record.amounts import count, median
from coach.record.entry import Entry
from coach.record.panel import Panel, Series, Shape
from coach.record.periods import (
    Period,
    PeriodLength,
    first_day,
    fitting,
    grouped,
    over_time,
    periods,
)

CAVEAT = (
    "Foster's session load: effort told after the session times its minutes. Load, monotony and "
    "strain describe a week; they forecast no injury, and nothing here is decided by them. The "
    "standard deviation is the one with n - 1. A week that is not over, began before the first "
    "session, misses an effort, or has seven equal days has no monotony."
)


@dataclass(frozen=True, slots=True)
class LoadWeek:
    """One ISO week."""

    label: str
    monday: date
    load: float
    """Sum of the session loads whose effort was told, in effort times minutes."""
    monotony: float | None
    strain: float | None
    untold: int
    """Sessions without an effort: the load is that of the others."""


def session_load(entry: Entry) -> float | None:
    """Effort times minutes; None where no effort was told."""
    effort = entry.digest.effort
    return None if effort is None else effort * entry.digest.seconds / 60


def monotony(daily: Sequence[float]) -> float | None:
    """Mean over standard deviation of seven daily loads, rest days as 0.

    None where it is undefined: fewer than seven days, or seven equal ones.
    """
    if len(daily) != 7 or min(daily) == max(daily):
        return None
    mean = fmean(daily)
    return mean / (dist(daily, (mean,) * 7) / sqrt(6.0))


def weeks(entries: Sequence[Entry], today: date) -> list[LoadWeek]:
    """Every week from the first entry's to today's, empty ones included."""
    if not entries:
        return []
    first = min(entry.day for entry in entries)
    found = []
    for period in grouped(entries, PeriodLength.WEEK, today):
        name, group, monday = period.label, period.entries, period.first
        daily = [0.0] * 7
        untold = 0
        for entry in group:
            told = session_load(entry)
            daily[entry.day.weekday()] += told or 0.0
            untold += told is None
        load = sum(daily)
        known = monday >= first and monday + timedelta(days=6) <= today and not untold
        same = monotony(daily) if known and load else None
        found.append(
            LoadWeek(name, monday, load, same, None if same is None else load * same, untold)
        )
    return found


#: Weeks that are shown one by one; of more, the median of each longer period is (our choice).
MOST_WEEKS = 60


def load(every: Sequence[LoadWeek], span: PeriodLength, today: date) -> Panel:
    """Weekly load as a panel."""
    text = ["No session yet."] if not every else []
    told = [week for week in every if week.load]
    if told:
        text.append(f"Last week with a load: {told[-1].label}, {told[-1].load:.0f}.")
    untold = sum(week.untold for week in every)
    if untold:
        text.append(f"{count(untold, 'session')} without an effort: not in the load.")
    return _by_week(
        ("load", "Weekly load (Foster)", "effort x min", Shape.STACK),
        every,
        [round(week.load, 1) for week in every],
        span,
        today,
        text,
        CAVEAT,
    )


def monotony_panel(every: Sequence[LoadWeek], span: PeriodLength, today: date) -> Panel:
    """Monotony of each week that has one, and the latest in words."""
    return _described("monotony", "mean over standard deviation", every, 2, span, today)


def strain_panel(every: Sequence[LoadWeek], span: PeriodLength, today: date) -> Panel:
    """Strain of each week that has one, and the latest in words."""
    return _described("strain", "load times monotony", every, 0, span, today)


def _described(
    name: str, unit: str, every: Sequence[LoadWeek], digits: int, span: PeriodLength, today: date
) -> Panel:
    values = [getattr(week, name) for week in every]
    known = [(week, value) for week, value in zip(every, values, strict=True) if value is not None]
    if known:
        week, value = known[-1]
        text = f"Last week with a {name}: {week.label}, {value:.{digits}f}."
    else:
        text = f"{name.capitalize()}: undefined so far." if every else "No session yet."
    return _by_week(
        (name, f"{name.capitalize()} of the week (Foster)", unit, Shape.LINE),
        every,
        values,
        span,
        today,
        [text],
        f"Foster 1998: {unit}. It describes a week and forecasts no injury.",
    )


def _by_week(
    heading: tuple[str, str, str, Shape],
    every: Sequence[LoadWeek],
    values: Sequence[float | None],
    span: PeriodLength,
    today: date,
    text: Sequence[str],
    note: str,
) -> Panel:
    """One value a week; over years the median week of each month, quarter or year."""
    name, title, unit, shape = heading
    if len(every) <= MOST_WEEKS:
        groups = [Period(week.monday, PeriodLength.WEEK) for week in every]
        series = Series(name, tuple(values))
        return over_time(groups, today, name, title, unit, shape, [series], text, note=note)
    if span in (PeriodLength.DAY, PeriodLength.WEEK):
        span = fitting(every[0].monday, today)
    by_period: dict[date, list[float]] = {
        day: [] for day in periods(every[0].monday, every[-1].monday, span)
    }
    for week, value in zip(every, values, strict=True):
        if value is not None:
            by_period[first_day(week.monday, span)].append(value)
    groups = [Period(day, span) for day in by_period]
    series = Series(f"median {name}", tuple(median(found) for found in by_period.values()))
    title = f"{title}: the median week by {span}"
    return over_time(groups, today, name, title, unit, shape, [series], text, note=note)
