"""`coach start`: runs a session, with as much sound as there is."""

import os
import sys
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import click

from coach.cli import diagnostics, output
from coach.cli.arguments import choices, day_options, run_options
from coach.cli.first import ask_once
from coach.cli.standing_lines import ask_standing
from coach.errors import CoachError
from coach.files.paths import paths
from coach.runtime.running import RunOptions, run_session
from coach.runtime.sound import Wanted
from coach.screen.terminal import why_plain
from coach.setup.choices import Choices
from coach.setup.settling import going_on, settle

#: What this command begins.
KINDS = ("solo", "pair")


@click.command("start")
@click.option(
    "--suggested", is_flag=True, help="What 'coach suggest' says of today; what you type wins."
)
@day_options
@run_options
def command(
    resume: bool | None,
    screen: bool | None,
    no_sound: bool,
    to_file: Path | None,
    share: int | None,
    share_host: str,
    suggested: bool,
    **day: Any,
) -> None:
    """Run a session.

    Asks at most three questions, says the plan in one sentence, and goes. Without ROUTINE it is
    the full session. Answer by voice, or by the keys that the screen shows; Ctrl-C leaves, and
    what was announced stays on the record.
    """
    told = choices(day)
    if suggested:
        from coach.setup.suggested import chosen

        told = chosen(told, paths(), datetime.now().astimezone().date())
    told = ask_once(told, paths())
    if resume is not True:
        ask_standing(told, paths(), datetime.now().astimezone())
    asked = RunOptions(
        resume, screen_wanted(screen), Wanted(not no_sound, to_file, share, share_host)
    )
    run(told, KINDS, asked)


def run(told: Choices, kinds: tuple[str, ...], asked: RunOptions) -> None:
    """Settle what was told, then run the session to its end; Interrupted where it was left."""
    known = paths()
    setup = settle(told, known, datetime.now().astimezone())
    if setup.kind not in kinds:
        setup = replace(setup, kind=kinds[0])
    output.line(
        run_session(
            kinds,
            lambda start: setup if start is None else going_on(setup, start, known),
            asked,
            known,
            diagnostics.note,
        )
    )


def screen_wanted(screen: bool | None) -> bool:
    """Whether the full screen runs; CoachError if it is asked for and can't."""
    if screen is False:
        return False
    why = why_plain(os.environ, sys.stdin.isatty(), sys.stdout.isatty())
    if why and screen:
        raise CoachError(f"the screen can't run: {why}", "Leave --screen out: plain lines do.")
    return not why
