"""The language pack that a command is about: of a code, or of the voice that is remembered."""

import click

from coach.errors import UsageError
from coach.files.movements import load_movements
from coach.files.names import advice
from coach.files.paths import Paths
from coach.files.settings import load_settings
from coach.files.voices import load_voice
from coach.files.words import list_languages, load_language
from coach.language import Language
from coach.setup.settling import USUAL_VOICE

language_option = click.option(
    "--language", metavar="CODE", help="The language, if not that of your voice."
)


def pack_of(known: Paths, code: str | None) -> Language:
    """The language pack; UsageError where there is none of that code."""
    if code is None:
        voice = load_settings(known.settings).voice or USUAL_VOICE
        code = load_voice(voice, known.user_dirs).language
    there = list_languages(known.user_dirs)
    if code not in there:
        raise UsageError(f"--language: there is no {code!r}", advice(code, there))
    return load_language(code, load_movements(known.user_dirs), known.user_dirs)
