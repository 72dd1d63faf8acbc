"""The day drawn as its own slope: how heavy each part of it is, its gates, and where we are.

Pure: stretches and a number of columns and rows in, rows out. Height is load (0 to 3), width is
time, a gate is a post that stands on the ground, and what lies behind is hollow ground.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import groupby

from coach.model.body import HIGHEST_LOAD
from coach.screen.rows import EMPTY, Look, Row, Rows, Span, cells
from coach.screen.shapes import Shapes
from coach.session.view import Stretch

#: Share of the whole width over which the ground falls from the highest load to none.
FOOT = 0.06


@dataclass(frozen=True, slots=True)
class SlopeColumn:
    """What one column of the slope shows."""

    load: int
    """The highest of all stretches that touch it."""
    past: bool = False
    here: bool = False
    gate: str = ""
    """The first gate that stands in it."""


def columns_of(slope: Sequence[Stretch], width: int, done: float) -> tuple[SlopeColumn, ...]:
    """The slope in so many columns; `done` is the part of the current stretch gone by, 0 to 1.

    A stretch of no length (a question) lends its gate to the column where it stands.
    """
    total = sum(stretch.seconds for stretch in slope)
    if width < 1 or total <= 0:
        return ()
    loads = [0] * width
    gates = [""] * width
    here: float | None = None
    start = behind = 0.0
    for stretch in slope:
        end = start + stretch.seconds
        first = min(int(start / total * width), width - 1)
        last = min(max(first, -int(-end / total * width // 1) - 1), width - 1)
        if stretch.seconds > 0:
            for column in range(first, last + 1):
                loads[column] = max(loads[column], stretch.load)
        if stretch.gate:
            gates[first] = gates[first] or stretch.gate
        if stretch.state == "past":
            behind = end
        elif stretch.state == "now" and here is None:
            here = start + stretch.seconds * min(max(done, 0.0), 1.0)
        start = end
    at = behind if here is None else here
    mark = min(int(at / total * width), width - 1)
    return tuple(
        SlopeColumn(loads[column], column < mark, column == mark, gates[column])
        for column in range(width)
    )


def draw_slope(columns: Sequence[SlopeColumn], rows: int, shapes: Shapes) -> Rows:
    """The slope in so many rows (2 at least); the top one is kept for what stands on the ground."""
    levels = len(shapes.levels) - 1
    ground = max(rows - 1, 1)
    highest = ground * levels - 1
    heights = [1 + round(load / HIGHEST_LOAD * highest) for load in _hill(columns)]
    return tuple(
        _line(columns, heights, ground - 1 - index, ground, shapes) for index in range(-1, ground)
    )


def _hill(columns: Sequence[SlopeColumn]) -> list[float]:
    """Loads with shoulders: the ground falls away on both sides, further the longer the rest.

    No effort is drawn lower than its load, and no short rest looks like an end.
    """
    loads = [float(column.load) for column in columns]
    fall = HIGHEST_LOAD / max(FOOT * len(loads), 1.0)
    for order in (range(1, len(loads)), range(len(loads) - 2, -1, -1)):
        step = order.step
        for index in order:
            loads[index] = max(loads[index], loads[index - step] - fall)
    return loads


def _line(
    columns: Sequence[SlopeColumn], heights: Sequence[int], above: int, ground: int, shapes: Shapes
) -> Row:
    """The row whose cells lie `above` rows over the bottom one."""
    levels = len(shapes.levels) - 1
    spans: list[Span] = []
    for column, height in zip(columns, heights, strict=True):
        surface = -(-height // levels)
        filled = min(max(height - above * levels, 0), levels)
        look = Look.FAINT if column.past else Look.PLAIN
        if above >= surface:
            spans.append(_standing(column, above - surface, above == ground, shapes))
        elif column.past and filled == levels:
            spans.append(Span(shapes.past, look))
        else:
            spans.append(Span(shapes.levels[filled], look))
    return _joined(spans)


def _standing(column: SlopeColumn, over: int, at_top: bool, shapes: Shapes) -> Span:
    """What stands in the air over a column, `over` rows above its surface."""
    if column.here and over == 0:
        return Span(shapes.here, Look.MARK)
    if not column.gate or column.here:
        return Span(" ")
    if column.past:
        return Span(shapes.post if over == 0 else " ", Look.FAINT)
    return Span(shapes.barred if at_top else shapes.post)


def _joined(spans: Sequence[Span]) -> Row:
    return tuple(
        Span("".join(span.text for span in run), look)
        for look, run in groupby(spans, key=lambda span: span.look)
    )


def block_names(slope: Sequence[Stretch], width: int, name: Callable[[str], str]) -> Row:
    """Names of the blocks under their ground, the current one in brackets.

    What has no room is left out, the current one last of all.
    """
    total = sum(stretch.seconds for stretch in slope)
    if total <= 0:
        return EMPTY
    places: list[tuple[int, str, bool]] = []
    start = 0.0
    for block, run in groupby(slope, key=lambda stretch: stretch.block):
        stretches = list(run)
        now = any(stretch.state == "now" for stretch in stretches)
        text = f"[{name(block)}]" if now else name(block)
        column = min(int(start / total * width), max(width - cells(text), 0))
        places.append((column, text, now))
        start += sum(stretch.seconds for stretch in stretches)
    kept: list[tuple[int, str, bool]] = []
    for place in sorted(places, key=lambda place: (not place[2], place[0])):
        if cells(place[1]) <= width and all(_apart(place, other) for other in kept):
            kept.append(place)
    spans: list[Span] = []
    column = 0
    for at, text, now in sorted(kept):
        spans.append(Span(" " * (at - column)))
        spans.append(Span(text, Look.MARK if now else Look.FAINT))
        column = at + cells(text)
    return tuple(span for span in spans if span.text)


def _apart(one: tuple[int, str, bool], other: tuple[int, str, bool]) -> bool:
    return one[0] > other[0] + cells(other[1]) or other[0] > one[0] + cells(one[1])
