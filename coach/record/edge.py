"""The edge check over time: the same hang on the same edge, by feel and by a scale's reading.

Owns which checks may be compared: the same edge, grip and feet as the latest one.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from statistics import median

from coach.model.body import Feel
from coach.model.edge import Setup, Usual
from coach.model.facts import EdgeChecked
from coach.planning.edge import CUT_OFF, LEAST_CHECKS, NOISE
from coach.record.baseline import Baseline, baseline, ewma, half_width, mad
from coach.record.entry import Entry
from coach.record.panel import Level, Panel, Series, Shape
from coach.record.words import count, listed

#: How an edge felt, as steps of a scale that stays inside the record: only its order has meaning.
STEPS = {
    Feel.FRESH: 5.0,
    Feel.FINE: 4.0,
    Feel.STIFF: 3.0,
    Feel.TIRED: 3.0,
    Feel.SORE: 2.0,
    Feel.HURTING: 1.0,
}
#: The least spread of feels: one step of the scale (a design choice).
FEEL_FLOOR = 1.0
#: The least spread of readings, as a part of their median: what noise makes of it.
READING_FLOOR = NOISE / CUT_OFF

_NOTE = (
    "A check that looks usual never clears pain. Feel is told, not measured; the limits are a "
    "description of one's own past."
)


@dataclass(frozen=True, slots=True)
class Check:
    """One comparable edge check."""

    day: date
    fact: EdgeChecked


def comparable(entries: Sequence[Entry]) -> tuple[list[Check], int]:
    """Checks like the latest one, the earliest first, and how many others there are."""
    checks = [Check(entry.day, fact) for entry in entries for fact in entry.digest.edges]
    if not checks:
        return [], 0
    setup = _setup(checks[-1].fact)
    like = [check for check in checks if _setup(check.fact) == setup]
    return like, len(checks) - len(like)


def _setup(fact: EdgeChecked) -> Setup:
    return Setup(fact.edge, fact.grip, fact.feet)


def usual(entries: Sequence[Entry], setup: Setup, *, by_reading: bool = False) -> Usual:
    """One's own past of one setup, for the planner: by feel (as STEPS) or by reading."""
    like = [fact for entry in entries for fact in entry.digest.edges if _setup(fact) == setup]
    if by_reading:
        values = [fact.reading for fact in like if fact.reading is not None]
    else:
        values = [STEPS[fact.feel] for fact in like]
    if not values:
        return Usual(setup, 0, 0.0, 0.0)
    return Usual(setup, len(values), median(values), mad(values))


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
    own = baseline(values, FEEL_FLOOR)
    text = _intro(checks, others)
    if checks:
        times = Counter(check.fact.feel for check in checks)
        told = [f"{feel} {count(times[feel], 'time')}" for feel in Feel if times[feel]]
        text.append(f"It felt {listed(told)}; the last time {checks[-1].fact.feel}.")
    if own is not None:
        text.append(f"Usual: {_word(own.centre)}. {_drift_in_words(values, own)}")
    words = tuple((step, feel.value) for feel, step in STEPS.items() if feel is not Feel.STIFF)
    return _panel("edge", "How the same edge felt", "feel", checks, values, own, text, words)


def readings(entries: Sequence[Entry], fixed: Baseline | None = None) -> Panel:
    """The scale's readings of the same hang; `fixed` takes the place of one's own baseline."""
    checks, others = comparable(entries)
    told = [check for check in checks if check.fact.reading is not None]
    values = [check.fact.reading or 0.0 for check in told]
    own = baseline(values, 0.0)
    limits = fixed
    if limits is None and own is not None:
        limits = Baseline(own.centre, max(own.spread, abs(own.centre) * READING_FLOOR))
    text = _intro(told, others)
    if values:
        text.append(f"Last reading {values[-1]:g} kg.")
    if own is not None:
        text.append(f"Median {own.centre:g} kg, MAD {own.spread:.4f}.")
    if limits is not None and values:
        text.append(_drift(values, limits))
    return _panel("edge-readings", "Readings of the same edge", "kg", told, values, limits, text)


def _intro(checks: Sequence[Check], others: int) -> list[str]:
    if not checks:
        return ["No edge check was recorded."]
    fact = checks[-1].fact
    setup = f"{fact.edge or 'usual'} edge, {fact.grip}, feet {fact.feet}"
    text = [f"{count(len(checks), 'check')} of the {setup}."]
    if others:
        text.append(f"{count(others, 'other')} not comparable: edge, grip or feet differed.")
    if len(checks) < LEAST_CHECKS:
        text.append(f"No baseline yet: it needs {LEAST_CHECKS} comparable checks.")
    return text


def _drift(values: Sequence[float], usual: Baseline) -> str:
    """Where the moving average stands against its limits."""
    last = ewma(values, usual.centre)[-1]
    out = outside(values, usual)
    width = half_width(len(values), usual.spread)
    side = "inside" if len(values) - 1 not in out else "outside"
    return (
        f"Moving average {last:.2f}, {side} {usual.centre - width:.2f} to "
        f"{usual.centre + width:.2f}; outside {count(len(out), 'time')} in all."
    )


def _drift_in_words(values: Sequence[float], usual: Baseline) -> str:
    """As `_drift`, for a scale whose numbers say nothing to a reader."""
    last = ewma(values, usual.centre)[-1]
    out = outside(values, usual)
    side = "inside" if len(values) - 1 not in out else "outside"
    return f"Lately {_word(last)}, {side} the limits; outside {count(len(out), 'time')} in all."


def outside(values: Sequence[float], usual: Baseline) -> list[int]:
    """Indices at which the moving average is beyond its limits."""
    return [
        index
        for index, average in enumerate(ewma(values, usual.centre))
        if abs(average - usual.centre) > half_width(index + 1, usual.spread)
    ]


def _word(value: float) -> str:
    """The feel whose step is nearest, the lower one of two."""
    words = {step: feel.value for feel, step in reversed(STEPS.items()) if feel is not Feel.STIFF}
    return words[min(words, key=lambda step: abs(step - value))]


def _panel(
    name: str,
    title: str,
    unit: str,
    checks: Sequence[Check],
    values: Sequence[float],
    usual: Baseline | None,
    text: Sequence[str],
    words: tuple[tuple[float, str], ...] = (),
) -> Panel:
    series = [Series("check", tuple(values))]
    levels: list[Level] = []
    if usual is not None:
        series.append(Series("moving average", tuple(ewma(values, usual.centre))))
        widths = [half_width(number, usual.spread) for number in range(1, len(values) + 1)]
        levels = [
            Level("usual", (usual.centre,) * len(values)),
            Level("limits", tuple(usual.centre + width for width in widths)),
            Level("lower limit", tuple(usual.centre - width for width in widths)),
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
        tuple(outside(values, usual)) if usual is not None else (),
        _NOTE,
    )
