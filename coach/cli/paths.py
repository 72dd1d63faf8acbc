"""`coach paths`: where things are kept."""

import click

from coach.cli import output
from coach.files.paths import paths
from coach.files.words import own_words_file


@click.command("paths")
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
def command(as_json: bool) -> None:
    """Print where things are kept.

    Everything stays on this machine. COACH_HOME, if set, is the folder that holds all of it.
    """
    known = paths()
    places = {
        "settings": known.settings,
        "journal": known.journal,
        "own-routines": known.data / "routines",
        "own-voices": known.data / "voices",
        "own-words": own_words_file(known.data),
        "taught": known.data / "takes",
        "notes": known.notes,
        "models": known.models,
        "log": known.log,
        "sounds": known.cues,
    }
    if as_json:
        output.document(places)
    else:
        output.table((name, str(place)) for name, place in places.items())
