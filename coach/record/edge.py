"""The edge check over time: the same hang on the same edge, by feel and by a scale's reading.

Owns which checks may be compared: the same edge, grip and feet as the latest one.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from coach.model.body import Feel
from coach.model.facts import EdgeChecked
from coach.record.baseline import LEAST, Baseline, baseline, ewma, half_width
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
#: The least spread of feels, and of readings as a part of their median (design choices).
FEEL_FLOOR = 1.0
READING_FLOOR = 0.02

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
    like = [check for check in checks if _setup(check.fact) == _setup(checks[-1].fact)]
    return like, len(checks) - len(like)


def _setup(fact: EdgeChecked) -> tuple[str, str, str]:
    return (fact.edge, fact.grip, fact.feet)


def feels(entries: Sequence[Entry]) -> Panel:
    """How the same edge felt, against its own median, spread and slow drift."""
    checks, others = comparable(entries)
    values = [STEPS[check.fact.feel] for check in checks]
    usual = baseline(values, FEEL_FLOOR)
    text = _intro(checks, others)
    if checks:
        times = Counter(check.fact.feel for check in checks)
        told = [f"{feel} {count(times[feel], 'time')}" for feel in Feel if times[feel]]
        text.append(f"It felt {listed(told)}; the last time {checks[-1].fact.feel}.")
    if usual is not None:
        text.append(f"Usual: {_word(usual.centre)}. {_drift_in_words(values, usual)}")
    words = tuple((step, feel.value) for feel, step in STEPS.items() if feel is not Feel.STIFF)
    return _panel("edge", "How the same edge felt", "feel", checks, values, usual, text, words)


def readings(entries: Sequence[Entry], fixed: Baseline | None = None) -> Panel:
    """The scale's readings of the same hang; `fixed` takes the place of one's own baseline."""
    checks, others = comparable(entries)
    told = [check for check in checks if check.fact.reading is not None]
    values = [check.fact.reading or 0.0 for check in told]
    own = baseline(values, 0.0)
    usual = fixed
    if usual is None and own is not None:
        usual = Baseline(own.centre, max(own.spread, abs(own.centre) * READING_FLOOR))
    text = _intro(told, others)
    if values:
        text.append(f"Last reading {values[-1]:g} kg.")
    if own is not None:
        text.append(f"Median {own.centre:g} kg, MAD {own.spread:.4f}.")
    if usual is not None:
        text.append(_drift(values, usual))
    return _panel("edge-readings", "Readings of the same edge", "kg", told, values, usual, text)


def _intro(checks: Sequence[Check], others: int) -> list[str]:
    if not checks:
        return ["No edge check was recorded."]
    fact = checks[-1].fact
    setup = f"{fact.edge or 'usual'} edge, {fact.grip}, feet {fact.feet}"
    text = [f"{count(len(checks), 'check')} of the {setup}."]
    if others:
        text.append(f"{count(others, 'other')} not comparable: edge, grip or feet differed.")
    if len(checks) < LEAST:
        text.append(f"No baseline yet: it needs {LEAST} comparable checks.")
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
