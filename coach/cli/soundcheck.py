"""`coach soundcheck`: what is there, what is missing, and which way of listening will work here."""

import sys
from dataclasses import replace
from typing import Any

import click

from coach.audio.delay import NONE
from coach.cli import diagnostics, output
from coach.cli.arguments import voice_names
from coach.clock import SystemClock
from coach.errors import AudioError, ExitCode
from coach.files.paths import paths
from coach.files.settings import load_settings, save_settings
from coach.runtime.device_checks import DeviceCheck, every_check
from coach.runtime.listening import Heard, Mode, delay, judged, listen, mode
from coach.setup.choices import Choices
from coach.setup.settling import settle


@click.command("soundcheck")
@click.option("--voice", metavar="NAME", shell_complete=voice_names, help="Voice profile to try.")
@click.option("--silent", is_flag=True, help="Look only: play nothing, record nothing.")
@click.option(
    "--delay", "delayed", is_flag=True, help="Only measure how late a headset is, and remember it."
)
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
@click.pass_context
def command(
    ctx: click.Context, voice: str | None, silent: bool, delayed: bool, as_json: bool
) -> None:
    """Test speaker, microphone, engines and journal.

    Says what to install or change, and which way will work here: the open loudspeaker, the mouth
    within an arm's length, a headset, or keys. Put the laptop where it will be and yourself where
    you will be. Exit code 3 if a session here could not be heard or could not hear.
    """
    if delayed:
        _delay(as_json)
        return
    setup = settle(Choices(voice=voice), paths(), SystemClock().wall())
    checks = every_check(setup, paths())
    heard = None
    if not silent and all(check.good for check in checks if check.name in ("speaker", "voice")):
        heard = _listened(as_json, checks, setup.voice.loudness_lufs)
    checks = judged(checks, heard)
    found = mode(heard, checks)
    if as_json:
        output.document(_document(checks, heard, found))
    else:
        output.table((check.mark, check.name, check.found) for check in checks)
        output.lines(f"  {check.name}: {check.do}" for check in checks if check.do)
        if heard is not None:
            output.lines(heard.sentences())
        output.line(found.sentence)
    if found is Mode.KEYS and not silent:
        ctx.exit(ExitCode.AUDIO)


def _delay(as_json: bool) -> None:
    """Measure the speaker's delay and keep it under its name; AudioError if it was not heard."""
    diagnostics.note("Hold the earpiece to the microphone for eight seconds. It whistles.")
    name, late = delay(paths())
    if late is None:
        raise AudioError(
            f"{name}: the microphone did not hear it well enough",
            "Nearer, louder, or in a quieter place; without a delay everything works as before.",
        )
    known = load_settings(paths().settings)
    delays = {**(known.delays or {}), name: round(late, 3)}
    if late < NONE:
        del delays[name]
    save_settings(paths().settings, replace(known, delays=delays or None))
    if as_json:
        output.document({"speaker": name, "delay": round(late, 3)})
    else:
        output.line(f"{name}: heard {late:.2f} s late. That is kept and reckoned with.")


def _listened(as_json: bool, checks: list[DeviceCheck], level_db: float) -> Heard | None:
    """Play and record; a device that fails now becomes a check of its own."""
    person = sys.stdin.isatty() and not as_json
    try:
        return listen(paths(), diagnostics.note if person else None, level_db)
    except AudioError as error:
        checks.append(DeviceCheck("room", False, error.what, error.do))
        return None


def _document(checks: list[DeviceCheck], heard: Heard | None, found: Mode) -> dict[str, Any]:
    return {
        "checks": [
            {"name": one.name, "good": one.good, "found": one.found, "do": one.do} for one in checks
        ],
        "room": heard,
        "mode": found.value,
        "sentence": found.sentence,
    }
