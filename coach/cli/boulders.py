"""`coach boulders`: hard boulders with a name, and the page of one."""

from pathlib import Path

import click

from coach.cli import diagnostics, output
from coach.cli.recorded import journal_option, opened
from coach.errors import UsageError
from coach.files.movements import load_movements
from coach.files.names import advice
from coach.files.paths import paths
from coach.files.words import load_language
from coach.journal.named_boulders import boulders, places_of
from coach.model.person import Person
from coach.record.boulder_page import overview, page


@click.command("boulders")
@click.argument("name", nargs=-1)
@click.option("--place", metavar="NAME", help="Where; else where you were last.")
@click.option("--person", metavar="NAME", default="", help="Whose tries; else your own.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
@journal_option
def command(
    name: tuple[str, ...], place: str | None, person: str, as_json: bool, file: Path | None
) -> None:
    """List your hard boulders, or show all about one.

    Without a name: every boulder with a name that you tried at a place. With one: its tries over
    days, how high they went, what ended them, what a change gave, notes, films, and what is next.
    """
    wanted = " ".join(name).lower()
    with opened(file) as journal:
        where = place or next(iter(places_of(journal)), "")
        found = boulders(journal, Person(1, person), where)
    if not wanted:
        if as_json:
            output.document([{"boulder": one, "days": days} for one, days in found])
        elif found:
            output.table(overview(found))
        else:
            diagnostics.note("No boulder with a name yet: --boulder 'flint 4, leap' names one.")
        return
    known = {one.name: (one, days) for one, days in found}
    wanted = wanted if wanted in known else f"number {wanted}" if wanted.isdigit() else wanted
    if wanted not in known:
        raise UsageError(f"no try on {wanted!r} is on the record", advice(wanted, known))
    boulder, days = known[wanted]
    if as_json:
        output.document({"boulder": boulder, "days": days})
        return
    language = load_language("en", load_movements(paths().user_dirs), paths().user_dirs)
    output.lines(page(boulder, days, language.word))
