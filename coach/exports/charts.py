"""Panels as pictures: PNG, SVG and one page of HTML that needs nothing else.

Owns how a chart looks on paper. Ink is black and grey with hatches and marks of their own, so
that print, a grey screen and any eye can tell things apart. The drawing is matplotlib's.
"""

import html
import io
from collections.abc import Callable, Iterable, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from coach.distribution import add
from coach.errors import CoachError, UsageError
from coach.exports.whole import whole_file
from coach.record.panel import Panel, Shape, thinned
from coach.record.periods import PeriodLength, periods

if TYPE_CHECKING:
    from matplotlib.axes import Axes

SUFFIXES = (".png", ".svg", ".html")

INKS = ("#1a1a1a", "#8c8c8c", "#d9d9d9")
HATCHES = ("", "///", "...")
LINES: tuple[dict[str, Any], ...] = (
    {"marker": "o", "linestyle": "none", "color": "#6b6b6b", "markersize": 4},
    {"marker": "", "linestyle": "-", "color": "#000000", "linewidth": 1.8},
    {"marker": "^", "linestyle": ":", "color": "#333333", "markersize": 5},
)
#: Light to dark, one for each degree of a grid.
DEGREES = ("#e3e3e3", "#b0b0b0", "#6e6e6e", "#111111")
DEGREE_MARKS = ("·", "t", "S", "H")

_STYLE = {
    "font.size": 9,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.titlelocation": "left",
    "hatch.linewidth": 0.6,
    "svg.fonttype": "none",
    "svg.hashsalt": "coach",
}
WIDTH, HEIGHT = 8.0, 2.7
#: Marks of single days that can be told apart on that width.
MOST_MARKS = 60


Shown = Callable[[Iterable[Panel], int], Iterable[Panel]]
"""Lets panels through as they are, of so many, so that somebody sees how far it is."""


def _unseen(panels: Iterable[Panel], number: int) -> Iterable[Panel]:
    return panels


def write_charts(
    panels: Sequence[Panel], to: Path, label: str = "", shown: Shown = _unseen
) -> None:
    """Write panels to a .png, .svg or .html file, with `label` (such as 'invented') on it.

    A picture gets its words beside it, in a file of the same name with '.txt' added. Raises
    UsageError for another suffix, CoachError when matplotlib is missing or a file is there.
    """
    if to.suffix not in SUFFIXES:
        raise UsageError(f"{to.name}: no chart is of that kind", f"Use {', '.join(SUFFIXES)}.")
    panels = [panel for panel in panels if not panel.empty]
    if to.suffix == ".html":
        with whole_file(to) as part:
            part.write_text(page(panels, label, shown), encoding="utf-8")
        return
    with whole_file(to.with_name(to.name + ".txt")) as words, whole_file(to) as part:
        words.write_text(text(panels, label), encoding="utf-8")
        part.write_bytes(picture(panels, to.suffix[1:], label, shown))


def text(panels: Sequence[Panel], label: str = "") -> str:
    """What the pictures show, in words."""
    blocks = [label] if label else []
    for panel in panels:
        note = [panel.note] if panel.note else []
        blocks.append("\n".join([f"{panel.title} ({panel.unit})", *panel.text, *note]))
    return "\n\n".join(blocks) + "\n"


def picture(panels: Sequence[Panel], kind: str, label: str = "", shown: Shown = _unseen) -> bytes:
    """One picture of all panels, one under the other; `kind` is 'png' or 'svg'."""
    pyplot, style = _matplotlib()
    with style.context(["default", _STYLE]):
        heights = [_height(panel) for panel in panels] or [1.0]
        figure = pyplot.figure(figsize=(WIDTH, sum(heights) + 0.4), layout="constrained")
        figure.get_layout_engine().set(w_pad=0.12, h_pad=0.08)
        try:
            parts = figure.subfigures(len(heights), 1, squeeze=False, height_ratios=heights)
            for panel, (part,) in zip(shown(panels, len(panels)), parts, strict=False):
                _draw(panel, part.subplots())
            if label:
                figure.text(0.99, 0.004, label, ha="right", va="bottom", style="italic")
            told = text(panels, label)
            made = io.BytesIO()
            metadata: dict[str, str | None] = {"Title": label or "Record", "Description": told}
            if kind == "svg":
                metadata["Date"] = None
            figure.savefig(made, format=kind, dpi=150, metadata=metadata)
        finally:
            pyplot.close(figure)
    return _named(made.getvalue(), label, told) if kind == "svg" else made.getvalue()


def _named(svg: bytes, label: str, told: str) -> bytes:
    """Give an SVG the title and description that a screen reader says."""
    head, tag, rest = svg.partition(b"<svg ")
    opening, close, body = rest.partition(b">")
    names = f"<title>{html.escape(label or 'Record')}</title><desc>{html.escape(told)}</desc>"
    return head + tag + b'role="img" ' + opening + close + b"\n " + names.encode() + body


def page(panels: Sequence[Panel], label: str = "", shown: Shown = _unseen) -> str:
    """A page with every panel as a picture, in words and as a table."""
    figures = []
    for panel in shown(panels, len(panels)):
        svg = picture([panel], "svg").decode()
        words = "".join(f"<p>{html.escape(line)}</p>" for line in panel.text)
        note = f"<p><small>{html.escape(panel.note)}</small></p>" if panel.note else ""
        figures.append(
            f"<figure>{svg[svg.index('<svg') :]}<figcaption>{words}{note}"
            f"<details><summary>Values</summary>{_values(panel)}</details></figcaption></figure>"
        )
    title = html.escape(label or "Record")
    return _PAGE.format(title=title, figures="\n".join(figures))


_PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>{title}</title>
<style>
body {{ font: 16px/1.5 serif; max-width: 46rem; margin: 2rem auto; padding: 0 1rem;
  color: #111; background: #fff; }}
figure {{ margin: 0 0 3rem; }}
svg {{ width: 100%; height: auto; }}
table {{ border-collapse: collapse; font-size: 0.85rem; }}
th, td {{ padding: 0.1rem 0.6rem; text-align: right; border-bottom: 1px solid #ccc; }}
</style>
</head>
<body>
<h1>{title}</h1>
{figures}
</body>
</html>
"""


def _values(panel: Panel) -> str:
    rows = [("", *(one.name for one in panel.series), *(one.name for one in panel.levels))]
    columns = [one.values for one in panel.series] + [one.values for one in panel.levels]
    for i, label in enumerate(panel.labels):
        cells = ("" if column[i] is None else f"{column[i]:.6g}" for column in columns)
        rows.append((label, *cells))
    head, *body = [
        "".join(f"<{tag}>{html.escape(cell)}</{tag}>" for cell in row)
        for tag, row in zip(["th"] + ["td"] * len(panel.labels), rows, strict=True)
    ]
    return f"<table><tr>{head}</tr>{''.join(f'<tr>{row}</tr>' for row in body)}</table>"


def _matplotlib() -> tuple[Any, Any]:
    try:
        import matplotlib as mpl
    except ImportError as error:
        raise CoachError("charts as files need the library matplotlib", add("exports")) from error
    mpl.use("agg")
    import matplotlib.pyplot as plt
    from matplotlib import style

    return plt, style


def _height(panel: Panel) -> float:
    if panel.shape in (Shape.GRID, Shape.STAIRS, Shape.COUNTS):
        # the title, the axis and its names take as much as some rows
        if panel.shape is Shape.GRID:
            return 1.5 + 0.28 * len(panel.series)
        return 1.0 + 0.28 * len(panel.labels)
    return HEIGHT


def _draw(panel: Panel, ax: "Axes") -> None:
    {
        Shape.STACK: _stack,
        Shape.COUNTS: _counts,
        Shape.LINE: _line,
        Shape.STAIRS: _stairs,
        Shape.GRID: _grid,
    }[panel.shape](panel, ax)
    ax.set_title(panel.title)


def _places(panel: Panel) -> "tuple[list[float], list[float]]":
    """Where each label stands on the axis and how wide it is: in days where labels are times."""
    if not panel.days:
        return [float(n) for n in range(len(panel.labels))], [0.8] * len(panel.labels)
    starts = [float(day.toordinal()) for day in panel.days]
    if panel.ends is None:
        return starts, [1.0] * len(starts)
    following = [*starts[1:], float(panel.ends.toordinal())]
    widths = [end - start for start, end in zip(starts, following, strict=True)]
    middles = [start + width / 2 for start, width in zip(starts, widths, strict=True)]
    return middles, widths


def _time_axis(panel: Panel, ax: "Axes") -> None:
    """An axis on which a day is as long as any other: a gap in the record is a gap."""
    if not panel.days:
        step = -(-len(panel.labels) // 12) or 1
        shown = range(0, len(panel.labels), step)
        ax.set_xticks(list(shown), [panel.labels[i] for i in shown], rotation=30, ha="right")
        return
    from matplotlib.ticker import FixedLocator, FuncFormatter

    first = panel.days[0]
    last = panel.ends or panel.days[-1]
    span, step = _tick_span(first, last)
    days = [day for day in periods(first, last, span) if first <= day <= last][::step]
    # a day is named below its middle, where its mark stands; what is longer, where it begins
    middle = 0.5 if span is PeriodLength.DAY and panel.ends else 0.0
    ax.xaxis.set_major_locator(FixedLocator([day.toordinal() + middle for day in days]))
    form = {
        PeriodLength.DAY: "%d %b %Y",
        PeriodLength.WEEK: "%d %b %Y",
        PeriodLength.YEAR: "%Y",
    }.get(span, "%b %Y")
    ax.xaxis.set_major_formatter(
        FuncFormatter(lambda value, _: f"{date.fromordinal(int(value)):{form}}")
    )
    ax.tick_params(axis="x", rotation=30)
    for name in ax.get_xticklabels():
        name.set_horizontalalignment("right")
    edge = max((last - first).days * 0.01, 0.6)
    ax.set_xlim(first.toordinal() - edge, last.toordinal() + edge)


def _tick_span(first: date, last: date) -> tuple[PeriodLength, int]:
    """Which first days are named on an axis, and every how manieth: at most fourteen."""
    days = (last - first).days + 1
    for span, length in (
        (PeriodLength.DAY, 1),
        (PeriodLength.WEEK, 7),
        (PeriodLength.MONTH, 30),
        (PeriodLength.QUARTER, 91),
    ):
        if days / length <= 14:
            return span, 1
    return PeriodLength.YEAR, max(1, -(-days // (14 * 365)))


def _stack(panel: Panel, ax: "Axes") -> None:
    floor = [0.0] * len(panel.labels)
    places, widths = _places(panel)
    crowded = len(panel.labels) > 60
    for n, series in enumerate(panel.series):
        values = [value or 0.0 for value in series.values]
        bars = ax.bar(
            places,
            values,
            [width * (1.0 if crowded else 0.8) for width in widths],
            bottom=floor,
            color=INKS[n % 3] if len(panel.series) > 1 else INKS[1],
            hatch=HATCHES[n % 3],
            edgecolor="#000000",
            linewidth=0.0 if crowded else 0.5,
            label=series.name,
        )
        if panel.unfinished:
            bars[-1].set_alpha(0.45)
            bars[-1].set_linestyle("--")
        floor = [low + value for low, value in zip(floor, values, strict=True)]
    ax.set_ylabel(panel.unit)
    _time_axis(panel, ax)
    _so_far(panel, ax)
    if len(panel.series) > 1:
        ax.legend(frameon=False, ncols=3, loc="upper left", bbox_to_anchor=(0, -0.35))


def _so_far(panel: Panel, ax: "Axes") -> None:
    """Say of the last period that it is not over."""
    if panel.unfinished:
        places, _ = _places(panel)
        at = ("data", "axes fraction")
        ax.annotate("so far", (places[-1], 1.0), xycoords=at, ha="center", fontsize=8)


def _line(panel: Panel, ax: "Axes") -> None:
    panel = thinned(panel, MOST_MARKS)
    places, _ = _places(panel)
    for n, level in enumerate(panel.levels):
        values = [float("nan") if value is None else value for value in level.values]
        dashes = "--" if n == 0 else ":"
        name = level.name if n < 2 else None  # the lower limit looks like the upper one
        ax.plot(places, values, color="#555555", linestyle=dashes, linewidth=1, label=name)
    for n, series in enumerate(panel.series):
        values = [float("nan") if value is None else value for value in series.values]
        ax.plot(places, values, label=series.name, **LINES[n % 3])
    if panel.marked:
        marked = [panel.series[0].values[i] or 0.0 for i in panel.marked]
        ax.plot(
            [places[i] for i in panel.marked],
            marked,
            "x",
            color="#000000",
            markersize=9,
            label="average outside",
        )
    ax.set_ylabel(panel.unit.replace("; ", "\n"))
    if panel.counted:
        ax.locator_params(axis="y", integer=True)
    if panel.words:
        ax.set_yticks([value for value, _ in panel.words], [word for _, word in panel.words])
    elif all((value or 0.0) >= 0.0 for one in panel.series for value in one.values):
        ax.set_ylim(bottom=min(0.0, ax.get_ylim()[0]) if panel.ends else None)
    _time_axis(panel, ax)
    _so_far(panel, ax)
    ax.legend(frameon=False, ncols=5, loc="upper left", bbox_to_anchor=(0, -0.35))


def _bars(panel: Panel, ax: "Axes", names: Sequence[str], values: Sequence[float]) -> None:
    """A bar for each thing, the first at the floor, each with its number."""
    drawn = ax.barh(range(len(values)), values, color=INKS[1], edgecolor="#000000", linewidth=0.5)
    ax.bar_label(drawn, [f"{value:g}" for value in values], padding=3)
    ax.set_yticks(range(len(values)), list(names))
    ax.margins(x=0.1)
    if panel.counted:
        ax.locator_params(axis="x", integer=True)
    ax.set_xlabel(panel.unit)


def _stairs(panel: Panel, ax: "Axes") -> None:
    _bars(panel, ax, panel.labels, [value or 0.0 for value in panel.series[0].values])


def _counts(panel: Panel, ax: "Axes") -> None:
    values = [value or 0.0 for value in reversed(panel.series[0].values)]
    _bars(panel, ax, list(reversed(panel.labels)), values)


def _grid(panel: Panel, ax: "Axes") -> None:
    places, widths = _places(panel)
    crowded = len(panel.labels) > 45
    for row, series in enumerate(reversed(panel.series)):
        for i, value in enumerate(series.values):
            if value:
                degree = round(value) - 1
                ink = "#ffffff" if degree > 1 else "#000000"
                bottom = row - 0.4
                color = DEGREES[degree]
                ax.bar(places[i], 0.8, bottom=bottom, width=0.9 * widths[i], color=color)
                if not crowded:
                    mark = DEGREE_MARKS[degree]
                    ax.text(places[i], row, mark, ha="center", va="center", color=ink)
    ax.set_yticks(range(len(panel.series)), [one.name for one in reversed(panel.series)])
    _time_axis(panel, ax)
    ax.set_ylim(-0.6, len(panel.series) - 0.4)
    ax.set_xlabel("· stiff   t tired   S sore   H hurting")
    _so_far(panel, ax)
