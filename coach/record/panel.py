"""A chart as a value: what is drawn on a terminal, on paper and in a page, and said in words.

A panel knows no colour and no size. Every panel has its text, which says the same to whoever
can't see it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from statistics import median


class Shape(StrEnum):
    """How a panel is best drawn."""

    #: amounts of several things, one on the other, per label
    STACK = "stack"
    #: values over time, with lines that stay level and points that stand out
    LINE = "line"
    #: as counts, but from the floor up
    STAIRS = "stairs"
    #: one amount per label, where the labels are things and not times
    COUNTS = "counts"
    #: one mark per label and row, by degree
    GRID = "grid"


#: Units of which there are no halves.
COUNTED = ("times", "boulders")


@dataclass(frozen=True, slots=True)
class Series:
    """Values of one thing, one per label; None where there is nothing to show."""

    name: str
    values: tuple[float | None, ...]


@dataclass(frozen=True, slots=True)
class LevelLine:
    """A line across a panel."""

    name: str
    values: tuple[float | None, ...]


@dataclass(frozen=True, slots=True)
class Panel:
    """One chart."""

    name: str
    title: str
    unit: str
    """What the values are: 'min', 'kg', 'boulders'."""
    shape: Shape
    labels: tuple[str, ...]
    """Periods, days, or treads from the floor up."""
    series: tuple[Series, ...]
    text: tuple[str, ...]
    """The same in words, a sentence each."""
    levels: tuple[LevelLine, ...] = ()
    words: tuple[tuple[float, str], ...] = ()
    """Words that stand for values, where a number would say nothing."""
    marked: tuple[int, ...] = ()
    """Indices of labels that stand out."""
    note: str = ""
    """What the numbers do not say."""
    days: tuple[date, ...] = ()
    """The first day of each label, where labels are times; () where they are things."""
    ends: date | None = None
    """The day after the last period; None where labels are days of their own."""
    unfinished: bool = False
    """Whether the last period is not over."""

    @property
    def counted(self) -> bool:
        """Whether the values are whole numbers of something."""
        return self.unit in COUNTED

    @property
    def empty(self) -> bool:
        """Whether there is nothing to draw."""
        return not any(value for one in self.series for value in one.values)


def thinned(panel: Panel, most: int) -> Panel:
    """For a drawing with no room for twice as many: of days near each other the medians.

    The same panel where its labels are not days, or there is room. The table and the words keep
    every value.
    """
    if not panel.days or panel.ends is not None or len(panel.days) <= 2 * most:
        return panel
    first = panel.days[0]
    length = (panel.days[-1] - first).days / most
    groups: dict[int, list[int]] = {}
    for i, day in enumerate(panel.days):
        groups.setdefault(min(int((day - first).days / length), most - 1), []).append(i)
    bins = list(groups.values())

    def middle(values: Sequence[float | None]) -> tuple[float | None, ...]:
        found = []
        for group in bins:
            known = [value for i in group if (value := values[i]) is not None]
            found.append(float(median(known)) if known else None)
        return tuple(found)

    marked = set(panel.marked)
    return replace(
        panel,
        labels=tuple(panel.labels[group[0]] for group in bins),
        series=tuple(replace(one, values=middle(one.values)) for one in panel.series),
        levels=tuple(replace(one, values=middle(one.values)) for one in panel.levels),
        marked=tuple(
            n for n, group in enumerate(bins) if 2 * len(marked & set(group)) > len(group)
        ),
        days=tuple(panel.days[group[len(group) // 2]] for group in bins),
        unit=f"{panel.unit}; each mark the middle of about {round(len(panel.days) / len(bins))}",
    )
