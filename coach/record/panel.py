"""A chart as a value: what is drawn on a terminal, on paper and in a page, and said in words.

A panel knows no colour and no size. Every panel has its text, which says the same to whoever
can't see it.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


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


@dataclass(frozen=True, slots=True)
class Series:
    """Values of one thing, one per label; None where there is nothing to show."""

    name: str
    values: tuple[float | None, ...]


@dataclass(frozen=True, slots=True)
class Level:
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
    levels: tuple[Level, ...] = ()
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
    def empty(self) -> bool:
        """Whether there is nothing to draw."""
        return not any(value for one in self.series for value in one.values)
