"""`coach journal page`: a page to print of one session: what each person did, left out, and why."""

from datetime import datetime
from pathlib import Path

import click

from coach.cli import diagnostics, output
from coach.errors import UsageError
from coach.exports.session_page import page
from coach.exports.whole import whole_file
from coach.files.paths import paths
from coach.files.words import load_language
from coach.journal import Journal, SessionId


@click.command("page")
@click.argument("session", type=int, required=False)
@click.option(
    "--output",
    "to",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Write it there instead of to the standard output.",
)
@click.option("--pseudonyms", is_flag=True, help="Numbers instead of names.")
def command(session: int | None, to: Path | None, pseudonyms: bool) -> None:
    """Write a page to print: what each person did, left out, and why.

    Of the session with that number ('coach history' lists them), or of the last one.
    """
    with Journal.open(paths().journal, write=False) as journal:
        rows = journal.sessions()
        chosen = [row for row in rows if session in (None, row.id)]
        if not chosen:
            raise UsageError(f"there is no session {session}", "'coach history' lists those.")
        row = chosen[-1]
        start = journal.start_of(SessionId(row.id))
        facts = tuple(journal.facts(row.id))
    language = load_language("en", start.library.movements)
    known = start.library.movements
    made = page(
        start.library.routine.title.get("en", row.routine),
        datetime.fromisoformat(row.begun),
        start.people,
        facts,
        lambda name: language.title(name) if name in known else name,
        pseudonyms,
    )
    if to is None:
        output.line(made.rstrip())
    else:
        with whole_file(to) as part:
            part.write_text(made, encoding="utf-8")
        diagnostics.note(f"{to}: print it from any browser.")
