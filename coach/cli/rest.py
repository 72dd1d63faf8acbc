"""`coach rest`: only the time between hard tries is looked after, for one to three people."""

from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import click

from coach.cli.arguments import choices, few_day_options, run_options
from coach.cli.standing_lines import ask_standing
from coach.cli.start import run, screen_wanted
from coach.files.paths import paths
from coach.runtime.running import RunOptions
from coach.runtime.sound import Wanted

#: What this command begins.
KINDS = ("rests",)
#: The routine that holds hard tries and nothing else.
ROUTINE = "rests"
#: Minutes where none are told: long enough that no round of tries is left out for time.
LONG = 120


@few_day_options(
    "minutes",
    "until",
    "hurting",
    "companions",
    "called",
    "boulder",
    "rest",
    "ask",
    "age",
    "voice",
    "call",
)
@click.command("rest")
@run_options
def command(
    resume: bool | None,
    screen: bool | None,
    no_sound: bool,
    to_file: Path | None,
    share: int | None,
    share_host: str,
    **day: Any,
) -> None:
    """Time the rests between hard tries, and nothing else.

    For one to three people who have warmed up. Say 'down' when a try is over: the rest runs, and
    the result is asked when the breath is back. No plan is made, and nothing is asked but whether
    anybody is hurting, and before the first try for a go-ahead. 'More time' makes a rest longer,
    'I'm ready' ends it.
    """
    told = replace(choices(day), routine=ROUTINE, same_place=True)
    if told.minutes is None and told.until is None:
        told = replace(told, minutes=LONG, open_end=True)
    if resume is not True:
        ask_standing(told, paths(), datetime.now().astimezone())
    asked = RunOptions(
        resume, screen_wanted(screen), Wanted(not no_sound, to_file, share, share_host)
    )
    run(told, KINDS, asked)
