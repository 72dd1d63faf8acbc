"""What rest was taken, what was sore, which rules spoke."""

from collections import Counter
from collections.abc import Sequence
from itertools import chain

from coach.model.body import Feel, Part
from coach.record.entry import Entry
from coach.record.panel import Level, Panel, Series, Shape
from coach.record.periods import Span, grouped
from coach.record.words import count, duration, listed, median

#: Feels that stand in the grid, by degree.
DEGREES = (Feel.STIFF, Feel.TIRED, Feel.SORE, Feel.HURTING)
_DEGREE: dict[Feel | None, int] = {feel: degree for degree, feel in enumerate(DEGREES, 1)}


def rests(entries: Sequence[Entry], span: Span) -> Panel:
    """Median rest between hard tries per period, taken and suggested."""
    groups = grouped(entries, span)
    pairs = [[pair for entry in group for pair in entry.digest.rests] for _, group in groups]
    every = list(chain.from_iterable(pairs))
    text = ["No rest between hard tries was recorded."]
    if every:
        longer = sum(taken > suggested for suggested, taken in every)
        taken, suggested = (median(pair[i] for pair in every) or 0.0 for i in (1, 0))
        medians = f"medians {duration(taken)} taken, {duration(suggested)} suggested"
        rested = count(len(every), "rest")
        text = [f"{rested} between hard tries; {medians}; {longer} longer than suggested."]
    return Panel(
        "rests",
        f"Rests between hard tries by {span}",
        "s",
        Shape.LINE,
        tuple(name for name, _ in groups),
        (Series("taken", tuple(median(taken for _, taken in group) for group in pairs)),),
        tuple(text),
        levels=(Level("suggested", tuple(median(asked for asked, _ in group) for group in pairs)),),
    )


def soreness(entries: Sequence[Entry], span: Span) -> Panel:
    """The worst that each part was told to feel in each period."""
    groups = grouped(entries, span)
    parts = [part for part in Part if any(_degree(entry, part) for entry in entries)]
    series = tuple(
        Series(
            part.value,
            tuple(
                float(max((_degree(entry, part) for entry in group), default=0)) or None
                for _, group in groups
            ),
        )
        for part in parts
    )
    text = [f"{part.capitalize()}: {listed(_told(entries, part))}." for part in parts] or [
        "Nothing was told to be stiff, tired, sore or hurting."
    ]
    signs = Counter(sign for entry in entries for sign in entry.digest.signs)
    text += [f"Warning sign: {sign}, {count(times, 'time')}." for sign, times in signs.items()]
    return Panel(
        "soreness",
        f"How parts felt, the worst by {span}",
        " < ".join(DEGREES),
        Shape.GRID,
        tuple(name for name, _ in groups),
        series,
        tuple(text),
        note="As it was told. It is no diagnosis, and what was not told is not here.",
    )


def _degree(entry: Entry, part: Part) -> int:
    """1 to 4 as in DEGREES; 0 when fine, fresh or not told."""
    return _DEGREE.get(entry.digest.felt.get(part), 0)


def _told(entries: Sequence[Entry], part: Part) -> list[str]:
    times = Counter(entry.digest.felt.get(part) for entry in entries)
    return [
        f"{feel} in {count(times[feel], 'session')}" for feel in reversed(DEGREES) if times[feel]
    ]


def rules(entries: Sequence[Entry]) -> Panel:
    """How often each rule changed a plan."""
    fired = Counter[str]()
    for entry in entries:
        fired.update(entry.digest.rules)
    ordered = fired.most_common()
    return Panel(
        "rules",
        "Rules that fired",
        "times",
        Shape.COUNTS,
        tuple(name for name, _ in ordered),
        (Series("fired", tuple(float(times) for _, times in ordered)),),
        tuple(f"{name}: {count(times, 'time')}." for name, times in ordered)
        or ("No rule has fired.",),
    )
