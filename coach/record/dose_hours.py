"""Small doses: minutes of mobility, hangs and focuses that became hours."""

from collections.abc import Sequence
from datetime import date

from coach.model.doses import DOSES, FOCUS, HANGS, MOBILITY
from coach.record.amounts import count, duration, in_words, listed
from coach.record.entry import Entry
from coach.record.panel import Panel, Series, Shape
from coach.record.periods import PeriodLength, grouped, over_time

#: What hours are told of.
_OF = {MOBILITY: "mobility", HANGS: "hangs", FOCUS: "technique"}


def seconds_of(entries: Sequence[Entry], dose: str) -> float:
    """Seconds of one dose in some sessions."""
    return sum(entry.digest.doses.get(dose, 0.0) for entry in entries)


def doses(entries: Sequence[Entry], span: PeriodLength, today: date) -> Panel:
    """Minutes of each dose per period."""
    groups = grouped(entries, span, today)
    series = tuple(
        Series(dose, tuple(round(seconds_of(one.entries, dose) / 60, 1) for one in groups))
        for dose in DOSES
    )
    totals = [f"{duration(seconds_of(entries, dose))} of {_OF[dose]}" for dose in DOSES]
    text = [
        f"{count(len(entries), 'session')} since {groups[0].label}: {listed(totals)}."
        if groups
        else "No session yet."
    ]
    focuses = _focuses(entries)
    if focuses:
        most = [f"{in_words(name)} {duration(seconds)}" for name, seconds in focuses[:5]]
        text.append(f"Focuses, the most practised first: {', '.join(most)}.")
    return over_time(
        groups,
        today,
        "doses",
        f"Small doses by {span}",
        "min",
        Shape.STACK,
        series,
        text,
        note="Time of work as it was recorded; rests are not counted.",
    )


def practised(entries: Sequence[Entry]) -> tuple[str, ...]:
    """Every focus that was practised, the one practised last comes last."""
    last = {name: at for at, entry in enumerate(entries) for name in entry.digest.focuses}
    return tuple(sorted(last, key=lambda name: (last[name], name)))


def _focuses(entries: Sequence[Entry]) -> list[tuple[str, float]]:
    totals: dict[str, float] = {}
    for entry in entries:
        for name, seconds in entry.digest.focuses.items():
            totals[name] = totals.get(name, 0.0) + seconds
    return sorted(totals.items(), key=lambda item: (-item[1], item[0]))
