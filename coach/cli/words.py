"""`coach words`: what may be said, for each answer."""

import click

from coach.cli import output
from coach.cli.setup import USUAL_VOICE
from coach.errors import UsageError
from coach.files.movements import load_movements
from coach.files.names import advice
from coach.files.paths import Paths, paths
from coach.files.settings import load_settings
from coach.files.voices import load_voice
from coach.files.words import list_languages, load_language
from coach.language import Language


@click.group("words", invoke_without_command=True)
@click.option("--language", metavar="CODE", help="The language, if not that of your voice.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
@click.pass_context
def command(ctx: click.Context, language: str | None, as_json: bool) -> None:
    """List what may be said for each answer.

    Without a command: every answer with its phrases, the one that is shown first.
    """
    if ctx.invoked_subcommand is not None:
        return
    pack = pack_of(paths(), language)
    if as_json:
        output.document(pack.answers)
    else:
        output.table((key, ", ".join(some)) for key, some in pack.answers.items())


def pack_of(known: Paths, code: str | None) -> Language:
    """The language pack of a code, or of the voice that is remembered; UsageError if none is."""
    if code is None:
        voice = load_settings(known.settings).voice or USUAL_VOICE
        code = load_voice(voice, known.user_dirs).language
    there = list_languages(known.user_dirs)
    if code not in there:
        raise UsageError(f"--language: there is no {code!r}", advice(code, there))
    return load_language(code, load_movements(known.user_dirs), known.user_dirs)
