"""`coach learnt`: what was learnt of somebody; seen, changed, forgotten."""

from datetime import datetime
from pathlib import Path

import click

from coach.cli import output
from coach.cli.recorded import journal_option, opened
from coach.errors import UsageError
from coach.files.paths import paths
from coach.files.settings import load_settings, save_settings
from coach.journal.entries import entries
from coach.model.person import Person
from coach.setup.learnt import NAMES, changed, every, forgot


@click.command("learnt")
@click.argument("name", type=click.Choice(NAMES), required=False)
@click.argument("value", nargs=-1)
@click.option("--forget", is_flag=True, help="Forget it, and learn it anew from today on.")
@click.option("--place", metavar="NAME", help="Whose pace; else that of the last session's place.")
@journal_option
def command(
    name: str | None, value: tuple[str, ...], forget: bool, place: str | None, file: Path | None
) -> None:
    """Show what was learnt of you, change it, forget it.

    Your rest between hard tries, hard tries of a day, a longer warm-up, minutes per boulder, weeks
    before an easier one, words. Such as 'rest 4:00', 'tries 5', 'warm-up long',
    'pace easy 1:30', 'weeks 4', 'weeks off', 'rest --forget'. What you choose counts first.
    """
    known = paths()
    settings = load_settings(known.settings)
    words = len(list(known.takes("en").glob("*"))) if known.takes("en").exists() else 0
    with opened(file) as journal:
        sessions = entries(journal, Person(1))
        if forget:
            if name is None:
                raise UsageError("what is to be forgotten?", f"One of {', '.join(NAMES)}.")
            settings = forgot(settings, name, datetime.now().astimezone().date())
        elif value and name is not None:
            where = place or (sessions[-1].place if sessions else "")
            settings = changed(settings, name, " ".join(value), where)
        if forget or value:
            save_settings(known.settings, settings)
        found = list(every(journal, Person(1), sessions, settings, words))
    output.table((one.name, one.value, one.whence) for one in found if name in (None, one.name))
