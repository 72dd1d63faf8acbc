"""`coach year`: a year on one page, in the terminal or as HTML to print."""

from datetime import datetime
from pathlib import Path
from typing import Any

import click

from coach.cli import diagnostics, output
from coach.cli.recorded import record, record_options
from coach.errors import UsageError
from coach.exports.year_page import lines, page
from coach.journal.earlier_tries import drilled
from coach.journal.kept_aims import all_aims
from coach.journal.wishes import trials_of
from coach.model.person import Person
from coach.record.year import year


@click.command("year")
@click.argument("which", type=click.IntRange(1970, 2200), required=False, metavar="[YEAR]")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Write it as one HTML page that needs nothing else, for a browser or for print.",
)
@click.option("--label", default="", help="A line that stands on the page, such as 'invented'.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
@record_options
def command(which: int | None, out: Path | None, label: str, as_json: bool, **asked: Any) -> None:
    """Show a year on one page."""
    with record(**asked) as read:
        until = asked["until"]
        today = until.date() if until else datetime.now().astimezone().date()
        if which is not None and which > today.year:
            raise UsageError(f"{which} is still to come", f"It is {today.year}.")
        trials = trials_of(read.journal, read.person)
        drills = drilled(read.journal, Person(1, read.person.name))
        aims = all_aims(read.journal)
        made = year(read.asked, today, which or today.year, aims, trials, drills)
    if as_json:
        output.document(made)
    elif out is not None:
        from coach.exports.whole import whole_file

        with whole_file(out) as part:
            part.write_text(page(made, label), encoding="utf-8")
        diagnostics.note(f"Wrote {out}.")
    else:
        output.lines(lines(made, label))
