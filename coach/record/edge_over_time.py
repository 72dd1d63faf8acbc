"""The edge check over time: the same hang on the same edge, by feel and by a scale's reading.

Owns which checks may be compared: the same edge, grip and feet as the latest one.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from coach.model.body import Feel
from coach.model.facts import EdgeChecked
from coach.model.usual_edge import EdgeSetup, Usual
from coach.planning.edge_comparison import LEAST_CHECKS, TOGETHER, VARIATION
from coach.record.amounts import count, listed
from coach.record.baseline import (
    HALF_LIFE,
    LATEST,
    Baseline,
    ewma,
    half_width,
    recent,
    weights,
    worth,
)
from coach.record.entry import Entry
from coach.record.panel import LevelLine, Panel, Series, Shape

#: How an edge felt, as steps of a scale that stays inside the record: only its order has meaning.
STEPS = {
    Feel.FRESH: 5.0,
    Feel.FINE: 4.0,
    Feel.STIFF: 3.0,
    Feel.TIRED: 3.0,
    Feel.SORE: 2.0,
    Feel.HURTING: 1.0,
}
#: The least spread of feels: half a step of the scale, so that two sore checks in a row, or three
#: fresh ones, leave the limits of somebody to whom it always felt fine (our choice).
FEEL_FLOOR = 0.5

_NOTE = (
    "The usual is the median of the comparable checks before each; a check of "
    f"{HALF_LIFE:.0f} days earlier weighs half. A check that looks usual never clears pain. Feel "
    "is told, not measured; the limits describe one's own past."
)


@dataclass(frozen=True, slots=True)
class EdgeCheck:
    """One comparable edge check."""

    day: date
    fact: EdgeChecked


def comparable(entries: Sequence[Entry]) -> tuple[list[EdgeCheck], int]:
    """Checks like the latest one, the earliest first, and how many others there are."""
    checks = [EdgeCheck(entry.day, fact) for entry in entries for fact in entry.digest.edges]
    if not checks:
        return [], 0
    setup = _setup(checks[-1].fact)
    like = [check for check in checks if _setup(check.fact) == setup]
    return like, len(checks) - len(like)


def _setup(fact: EdgeChecked) -> EdgeSetup:
    return EdgeSetup(fact.edge, fact.grip, fact.feet)


def setup_in_words(edge: str, grip: str, feet: str) -> str:
    """A hang in words; that it was the edge check is not said twice."""
    hang = "" if grip.startswith("edge-check") else f"{grip.replace('-', ' ')}, "
    return f"{edge or 'usual'} edge, {hang}feet {feet}"


def usual(entries: Sequence[Entry], setup: EdgeSetup, *, by_reading: bool = False) -> Usual:
    """One's own past of one setup, for the planner: by feel (as STEPS) or by reading."""
    like = [(e.day, fact) for e in entries for fact in e.digest.edges if _setup(fact) == setup]
    if by_reading:
        found = [(day, fact.reading) for day, fact in like if fact.reading is not None]
    else:
        found = [(day, STEPS[fact.feel]) for day, fact in like]
    if not found:
        return Usual(setup, 0, 0.0, 0.0)
    days, values = zip(*found, strict=True)
    own = recent(days, values)
    last = len(values) - (TOGETHER - 1)
    earlier = recent(days[:last], values[:last]).centre if last >= LEAST_CHECKS else None
    worths = worth(weights(days))
    return Usual(setup, len(values), own.centre, own.spread, worths, values[-2:], earlier)


def usual_readings(entries: Sequence[Entry]) -> tuple[Usual, ...]:
    """One's own past by reading, of each setup with enough of them for a baseline."""
    setups = dict.fromkeys(
        _setup(fact) for entry in entries for fact in entry.digest.edges if fact.reading is not None
    )
    found = (usual(entries, setup, by_reading=True) for setup in setups)
    return tuple(one for one in found if one.checks >= LEAST_CHECKS)


def feels(entries: Sequence[Entry]) -> Panel:
    """How the same edge felt, against its own median, spread and slow drift."""
    checks, others = comparable(entries)
    values = [STEPS[check.fact.feel] for check in checks]
    limits = _rolling(checks, values, lambda _: FEEL_FLOOR)
    text = _intro(checks, others)
    if checks:
        times = Counter(check.fact.feel for check in checks)
        told = [f"{feel} {count(times[feel], 'time')}" for feel in Feel if times[feel]]
        text.append(f"It felt {listed(told)}; the last time {checks[-1].fact.feel}.")
    own = limits[-1] if limits else None
    if own is not None:
        text.append(f"Usual: {_word(own.centre)}. {_drift_in_words(values, limits)}")
    words = tuple((step, feel.value) for feel, step in STEPS.items() if feel is not Feel.STIFF)
    return _panel("edge", "How the same edge felt", "feel", checks, values, limits, text, words)


def readings(entries: Sequence[Entry], fixed: Baseline | None = None) -> Panel:
    """The scale's readings of the same hang; `fixed` takes the place of one's own baseline."""
    checks, others = comparable(entries)
    told = [check for check in checks if check.fact.reading is not None]
    values = [check.fact.reading or 0.0 for check in told]
    if fixed is None:
        limits = _rolling(told, values, lambda centre: abs(centre) * VARIATION)
    else:
        limits = [fixed] * len(values)
    text = _intro(told, others)
    if values:
        text.append(f"Last reading {values[-1]:g} kg.")
    if len(values) >= LEAST_CHECKS:
        own = recent([check.day for check in told], values)
        text.append(f"Usual now: median {own.centre:g} kg, MAD {own.spread:.4f}.")
    if values and limits[-1] is not None:
        text.append(_drift(values, limits))
    return _panel("edge-readings", "Readings of the same edge", "kg", told, values, limits, text)


def _rolling(
    checks: Sequence[EdgeCheck], values: Sequence[float], floor: Callable[[float], float]
) -> list[Baseline | None]:
    """One's own usual at each check, from those before it; None where there are too few.

    A year ago's usual is no measure of today's, and a check is no part of what it is held against.
    """
    days = [check.day for check in checks]
    found: list[Baseline | None] = [None] * min(len(values), LEAST_CHECKS)
    for number in range(len(found), len(values)):
        before = slice(max(number - LATEST, 0), number)
        own = recent(days[before], values[before])
        found.append(Baseline(own.centre, max(own.spread, floor(own.centre))))
    return found


def _intro(checks: Sequence[EdgeCheck], others: int) -> list[str]:
    if not checks:
        return ["No edge check was recorded."]
    fact = checks[-1].fact
    setup = setup_in_words(fact.edge, fact.grip, fact.feet)
    text = [f"{count(len(checks), 'check')} of the {setup}."]
    if others:
        text.append(f"{count(others, 'other')} not comparable: edge, grip or feet differed.")
    if len(checks) < LEAST_CHECKS:
        text.append(f"No baseline yet: it needs {LEAST_CHECKS} comparable checks.")
    return text


def _drift(values: Sequence[float], limits: Sequence[Baseline | None]) -> str:
    """Where the moving average stands against its limits."""
    last = _averages(values, limits)[-1] or 0.0
    out, width = outside(values, limits), _widths(limits)[-1] or 0.0
    centre = limits[-1].centre if limits[-1] is not None else 0.0
    side = "inside" if len(values) - 1 not in out else "outside"
    return (
        f"Moving average {last:.2f}, {side} {centre - width:.2f} to "
        f"{centre + width:.2f}; outside {count(len(out), 'time')} in all."
    )


def _drift_in_words(values: Sequence[float], limits: Sequence[Baseline | None]) -> str:
    """As `_drift`, for a scale whose numbers say nothing to a reader."""
    last = _averages(values, limits)[-1] or 0.0
    out = outside(values, limits)
    side = "inside" if len(values) - 1 not in out else "outside"
    return f"Lately {_word(last)}, {side} the limits; outside {count(len(out), 'time')} in all."


def _averages(values: Sequence[float], limits: Sequence[Baseline | None]) -> list[float | None]:
    """The moving average from the first check that has a usual, which it begins at."""
    known = next((n for n, one in enumerate(limits) if one is not None), len(values))
    if known == len(values):
        return [None] * len(values)
    first = limits[known]
    assert first is not None
    return [None] * known + list(ewma(values[known:], first.centre))


def _widths(limits: Sequence[Baseline | None]) -> list[float | None]:
    found: list[float | None] = []
    number = 0
    for one in limits:
        number += one is not None
        found.append(None if one is None else half_width(number, one.spread))
    return found


def outside(values: Sequence[float], limits: Sequence[Baseline | None]) -> list[int]:
    """Indices at which the moving average is beyond its limits."""
    return [
        index
        for index, (average, one, width) in enumerate(
            zip(_averages(values, limits), limits, _widths(limits), strict=True)
        )
        if average is not None
        and one is not None
        and width is not None
        and abs(average - one.centre) > width
    ]


def _word(value: float) -> str:
    """The feel whose step is nearest, the lower one of two."""
    words = {step: feel.value for feel, step in reversed(STEPS.items()) if feel is not Feel.STIFF}
    return words[min(words, key=lambda step: abs(step - value))]


def _panel(
    name: str,
    title: str,
    unit: str,
    checks: Sequence[EdgeCheck],
    values: Sequence[float],
    limits: Sequence[Baseline | None],
    text: Sequence[str],
    words: tuple[tuple[float, str], ...] = (),
) -> Panel:
    series = [Series("check", tuple(values))]
    levels: list[LevelLine] = []
    if any(limits):
        series.append(Series("moving average", tuple(_averages(values, limits))))
        centres = [one.centre if one else None for one in limits]
        pairs = list(zip(centres, _widths(limits), strict=True))
        above = [None if c is None or w is None else c + w for c, w in pairs]
        below = [None if c is None or w is None else c - w for c, w in pairs]
        levels = [
            LevelLine("usual", tuple(centres)),
            LevelLine("limits", tuple(above)),
            LevelLine("lower limit", tuple(below)),
        ]
    return Panel(
        name,
        title,
        unit,
        Shape.LINE,
        tuple(check.day.isoformat() for check in checks),
        tuple(series),
        tuple(text),
        tuple(levels),
        words,
        tuple(outside(values, limits)),
        _NOTE,
        days=tuple(check.day for check in checks),
    )
