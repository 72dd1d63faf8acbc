"""Panels as text for a terminal of any width; readable without colour.

Owns the marks: each thing has a mark of its own, and the legend names it.
"""

import textwrap
from collections.abc import Iterator, Sequence

from coach.record.panel import Panel, Shape, thinned

FILLS = "█▒░"
MARKS = "●~▲"
LEVEL = "─"
#: Degrees of a grid, from the lightest.
DEGREES = " ·tSH"
HEIGHT = 9
#: Periods that are drawn at most; `--since` and `--by` choose others.
MOST = 42


def draw(panel: Panel, width: int) -> list[str]:
    """Lines of at most `width` columns: title, drawing, legend; without drawing when empty."""
    panel = thinned(panel, max(width - 10, 8) // 2)
    lines = textwrap.wrap(f"{panel.title} ({panel.unit})", width)
    if not panel.empty:
        lines += [line[:width].rstrip() for line in _DRAW[panel.shape](panel, width)]
    return lines


def _stack(panel: Panel, width: int) -> Iterator[str]:
    first = max(len(panel.labels) - MOST, 0)
    if first:
        yield f"(the last {MOST} of {len(panel.labels)})"
    totals = [
        sum(series.values[i] or 0.0 for series in panel.series) for i in range(len(panel.labels))
    ]
    name = max(map(len, panel.labels))
    room = max(width - name - 9 - 7 * panel.unfinished, 8)
    most = max(totals) or 1.0
    for i, label in list(enumerate(panel.labels))[first:]:
        bar, done = "", 0.0
        for series, fill in zip(panel.series, _cycled(FILLS, panel), strict=True):
            # Divided first: the share of a most that is near nothing has no finite inverse.
            done += (series.values[i] or 0.0) / most * room
            bar += fill * (round(done) - len(bar))
        so_far = " so far" if panel.unfinished and i == len(panel.labels) - 1 else ""
        yield f"{label:>{name}} {bar} {totals[i]:.0f}{so_far}"
    yield from _legend(panel, FILLS, width)


def _line(panel: Panel, width: int) -> Iterator[str]:
    rows = [one.values for one in panel.series] + [one.values for one in panel.levels]
    known = [value for row in rows for value in row if value is not None]
    where = _columns(panel, max(width - 10, 8))
    low, high = min(known), max(known)
    if low == high:
        low, high = low - 1, high + 1
    columns = max(width - 10, 8)
    grid = [[" "] * columns for _ in range(HEIGHT)]

    def put(values: Sequence[float | None], mark: str, *, over: bool) -> None:
        for i, value in enumerate(values):
            if value is not None:
                row = round((high - value) / (high - low) * (HEIGHT - 1))
                if over or grid[row][where[i]] == " ":
                    grid[row][where[i]] = mark

    for series, mark in reversed(list(zip(panel.series, _cycled(MARKS, panel), strict=True))):
        put(series.values, mark, over=True)
    for i in panel.marked:
        put([None] * i + [panel.series[0].values[i]], "X", over=True)
    for level in panel.levels:
        put(level.values, LEVEL, over=False)
    step = (high - low) / (HEIGHT - 1)
    names = {round((high - value) / step): word for value, word in panel.words}
    for n, cells in enumerate(grid):
        value = names.get(n, "") if names else _number(high - step * n, high - low, n)
        yield f"{value:>8} {''.join(cells)}"
    yield f"{'':9}{panel.labels[0]:<{max(columns - len(panel.labels[-1]), 0)}}{panel.labels[-1]}"
    yield from _legend(panel, MARKS, width)


def _number(value: float, span: float, row: int) -> str:
    """What stands beside a row: every fourth one, as exactly as tells one from the next."""
    if row % 4:
        return ""
    places = 0 if span >= 20 else 1 if span >= 2 else 2
    return f"{value:.{places}f}"


def _columns(panel: Panel, columns: int) -> list[int]:
    """The column of each label: by its day, so that a gap in the record is a gap."""
    if not panel.days:
        return [
            i * (columns - 1) // max(len(panel.labels) - 1, 1) for i in range(len(panel.labels))
        ]
    first = panel.days[0]
    whole = max((panel.days[-1] - first).days, 1)
    return [(day - first).days * (columns - 1) // whole for day in panel.days]


def _stairs(panel: Panel, width: int) -> Iterator[str]:
    """The highest tread first, the floor last."""
    yield from reversed(list(_stack(panel, width)))


def _grid(panel: Panel, width: int) -> Iterator[str]:
    """A column for each period; where they are too many, the worst of some next to each other."""
    name = max(len(series.name) for series in panel.series)
    room = max(width - name - 1, 8)
    each = -(-len(panel.labels) // room)
    for series in panel.series:
        values = [round(value or 0.0) for value in series.values]
        worst = [max(values[i : i + each]) for i in range(0, len(values), each)]
        yield f"{series.name:>{name}} {''.join(DEGREES[degree] for degree in worst)}"
    first, last = panel.labels[0], panel.labels[-1]
    wide = -(-len(panel.labels) // each)
    if wide > len(first) + len(last):
        yield f"{'':{name + 1}}{first:<{wide - len(last)}}{last}"
    else:
        yield f"{'':{name + 1}}{first}" + f" to {last}" * (first != last)
    yield f"{'':{name + 1}}· stiff  t tired  S sore  H hurting"


def _cycled(marks: str, panel: Panel) -> str:
    return "".join(marks[i % len(marks)] for i in range(len(panel.series)))


def _legend(panel: Panel, marks: str, width: int) -> Iterator[str]:
    if len(panel.series) + len(panel.levels) > 1:
        pairs = zip(_cycled(marks, panel), panel.series, strict=True)
        names = [f"{mark} {series.name}" for mark, series in pairs]
        if panel.levels:
            names.append(f"{LEVEL} {', '.join(level.name for level in panel.levels[:2])}")
        if panel.marked:
            names.append("X outside the limits")
        yield from textwrap.wrap(
            "   ".join(names), min(width, 76), initial_indent="  ", subsequent_indent="  "
        )


_DRAW = {
    Shape.STACK: _stack,
    Shape.COUNTS: _stack,
    Shape.LINE: _line,
    Shape.STAIRS: _stairs,
    Shape.GRID: _grid,
}
