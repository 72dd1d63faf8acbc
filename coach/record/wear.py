"""What rest was taken, what was sore, which rules spoke."""

from collections import Counter
from collections.abc import Sequence
from datetime import date
from itertools import chain

from coach.model.body import Feel, Part
from coach.record.amounts import count, duration, in_words, listed, median
from coach.record.entry import Entry
from coach.record.panel import LevelLine, Panel, Series, Shape
from coach.record.periods import PeriodLength, grouped, over_time

#: Feels that stand in the grid, by degree.
DEGREES = (Feel.STIFF, Feel.TIRED, Feel.SORE, Feel.HURTING)
_DEGREE: dict[Feel | None, int] = {feel: degree for degree, feel in enumerate(DEGREES, 1)}


def rests(entries: Sequence[Entry], span: PeriodLength, today: date) -> Panel:
    """Median rest between hard tries per period, taken and suggested."""
    groups = grouped(entries, span, today)
    pairs = [[pair for entry in one.entries for pair in entry.digest.rests] for one in groups]
    every = list(chain.from_iterable(pairs))
    text = ["No rest between hard tries was recorded."]
    if every:
        longer = sum(round(taken) > round(suggested) for suggested, taken in every)
        shorter = sum(round(taken) < round(suggested) for suggested, taken in every)
        taken, suggested = (median(pair[i] for pair in every) or 0.0 for i in (1, 0))
        medians = f"medians {duration(taken)} taken, {duration(suggested)} suggested"
        rested = count(len(every), "rest")
        text = [
            (
                f"{rested} between hard tries; {medians}; "
                f"{longer} longer and {shorter} shorter than suggested."
            )
        ]
    return over_time(
        groups,
        today,
        "rests",
        f"Rests between hard tries by {span}",
        "s",
        Shape.LINE,
        (Series("taken", tuple(median(taken for _, taken in group) for group in pairs)),),
        text,
        (LevelLine("suggested", tuple(median(asked for asked, _ in group) for group in pairs)),),
        "From the end of one of your tries to the next, as the session counted it; what others "
        "climb meanwhile is rest too. Whole seconds are compared.",
    )


def soreness(entries: Sequence[Entry], span: PeriodLength, today: date) -> Panel:
    """The worst that each part was told to feel in each period."""
    groups = grouped(entries, span, today)
    parts = [part for part in Part if any(_degree(entry, part) for entry in entries)]
    series = tuple(
        Series(
            part.value,
            tuple(
                float(max((_degree(entry, part) for entry in one.entries), default=0)) or None
                for one in groups
            ),
        )
        for part in parts
    )
    text = [f"{part.capitalize()}: {listed(_told(entries, part))}." for part in parts] or [
        "Nothing was told to be stiff, tired, sore or hurting."
    ]
    signs = Counter(sign for entry in entries for sign in entry.digest.signs)
    text += [f"Warning sign: {sign}, {count(times, 'time')}." for sign, times in signs.items()]
    return over_time(
        groups,
        today,
        "soreness",
        f"How parts felt, the worst by {span}",
        " < ".join(DEGREES),
        Shape.GRID,
        series,
        text,
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
        tuple(in_words(name) for name, _ in ordered),
        (Series("fired", tuple(float(times) for _, times in ordered)),),
        tuple(f"{in_words(name)}: {count(times, 'time')}." for name, times in ordered)
        or ("No rule has fired.",),
    )
