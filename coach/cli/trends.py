"""`coach trends`: the record as charts, in the terminal or in a file, each with its words."""

import shutil
import textwrap
from dataclasses import replace
from datetime import date, datetime
from math import isfinite
from pathlib import Path
from typing import Any

import click

from coach.cli import diagnostics, output
from coach.cli.progress_bar import showing
from coach.cli.recorded import Read, record, record_options
from coach.errors import UsageError
from coach.exports.text_charts import draw
from coach.journal.entries import number_before
from coach.record.amounts import count
from coach.record.baseline import Baseline
from coach.record.panel import Panel
from coach.record.periods import PeriodLength
from coach.record.trends import PANELS, PanelSource, trends

WIDEST = 110
#: Years before this one that are drawn where no days were asked for (our choice).
YEARS = 10


@click.command("trends")
@click.argument("panels", nargs=-1, type=click.Choice(list(PANELS)), metavar="[PANEL]...")
@click.option(
    "--by",
    type=click.Choice([span.value for span in PeriodLength]),
    help="Length of a period; else the one that suits the days there are.",
)
@click.option(
    "--baseline",
    metavar="CENTRE,SPREAD",
    help="A known centre and standard deviation of the readings, instead of your own.",
)
@click.option("--table", is_flag=True, help="The values of each chart, as a table.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Write a picture (.png, .svg) or a page (.html) that needs nothing else.",
)
@click.option("--label", default="", help="A line that stands on the picture, such as 'invented'.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
@record_options
def command(
    panels: tuple[str, ...],
    by: str | None,
    baseline: str | None,
    table: bool,
    out: Path | None,
    label: str,
    as_json: bool,
    **asked: Any,
) -> None:
    """Show how many sessions add up, in charts and words.

    PANEL is one or more of doses, edge, edge-readings, stairs, tops, tries, success,
    tries-per-top, best-try, drop-off, rests, load, monotony, strain, soreness, rules; all of them
    where none is named. Every chart comes in words as well. Without --since they begin ten years
    before this one.
    """
    fixed = _baseline(baseline)
    until = asked["until"]
    today = until.date() if until else _today()
    with record(**asked) as read:
        shown = _lately(read, today).asked
        made = trends(
            PanelSource(shown, PeriodLength(by) if by else None, today, read.circuits(), fixed),
            panels,
        )
    if as_json:
        output.document(made)
    elif out is not None:
        from coach.exports.charts import write_charts

        write_charts(made, out, label, showing("Drawing"))
        diagnostics.note(f"Wrote {out}.")
    else:
        for panel in made:
            _show(panel, table)


def _lately(read: Read, today: date) -> Read:
    """The record from YEARS before this one on, unless days were asked for or none is so late."""
    first = date(max(today.year - YEARS, 1), 1, 1)
    late = replace(read, since=first)
    if read.since is not None or not late.asked:
        return read
    earlier = number_before(read.journal, read.person, first)
    if earlier:
        told = count(earlier, "session")
        diagnostics.note(f"Without {told} before {first.year}: --since draws them too.")
    return late


def _today() -> date:
    return datetime.now().astimezone().date()


def _show(panel: Panel, table: bool) -> None:
    width = min(shutil.get_terminal_size().columns, WIDEST)
    output.lines(draw(panel, width))
    for text in panel.text:
        output.lines(textwrap.wrap(text, width))
    if panel.note and not panel.empty:
        output.lines(textwrap.wrap(f"({panel.note})", width))
    if table:
        output.table(_rows(panel))
    output.line()


def _rows(panel: Panel) -> list[tuple[str, ...]]:
    columns = [(one.name, one.values) for one in panel.series]
    columns += [(one.name, one.values) for one in panel.levels]
    rows = [("", *(name for name, _ in columns))]
    for i, label in enumerate(panel.labels):
        cells = [values[i] for _, values in columns]
        rows.append((label, *("" if cell is None else f"{cell:.2f}" for cell in cells)))
    return rows


def _baseline(given: str | None) -> Baseline | None:
    if given is None:
        return None
    try:
        centre, spread = map(float, given.split(","))
    except ValueError:
        raise UsageError(
            f"--baseline {given}: two numbers are needed", "Such as --baseline 50,2.5"
        ) from None
    if not (isfinite(centre) and isfinite(spread) and spread > 0):
        raise UsageError(
            f"--baseline {given}: the spread must be above 0", "Such as --baseline 50,2.5"
        )
    return Baseline(centre, spread)
