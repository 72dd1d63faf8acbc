"""`coach start`: runs a session, with as much sound as there is."""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from threading import Timer
from typing import Any

import click

from coach.cli import diagnostics, output
from coach.cli.arguments import choices, day_options, run_options
from coach.cli.first import ask_once
from coach.errors import CoachError, ExitCode
from coach.files.paths import Paths, paths
from coach.journal import Journal
from coach.runtime.ahead import likely
from coach.runtime.awake import awake
from coach.runtime.beginning import Begun, begin, take_up
from coach.runtime.faces import Left, run
from coach.runtime.sharing import check_sharing
from coach.runtime.sound import Live, Wanted, opened
from coach.screen.terminal import why_plain
from coach.session.state import Session
from coach.setup.choices import Choices
from coach.setup.earlier_days import at_own_pace
from coach.setup.settling import Setup, remember, settle

#: Seconds that the first sentence has to itself before those to come are made ready.
FIRST = 1.0


class Interrupted(CoachError):
    """The person left a session that can go on."""

    code = ExitCode.INTERRUPTED


@click.command("start")
@day_options
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
    """Run a session.

    Asks at most three questions, says the plan in one sentence, and goes. Without ROUTINE it is
    the full session. Answer by voice, or by the keys that the screen shows; Ctrl-C leaves, and
    what was announced stays on the record.
    """
    told = ask_once(choices(day), paths())
    run_session(told, resume, screen, Wanted(not no_sound, to_file, share, share_host))


def run_session(told: Choices, resume: bool | None, screen: bool | None, wanted: Wanted) -> None:
    """Settle what was told, then run the session to its end; Interrupted where it was left."""
    known = paths()
    now = datetime.now().astimezone()
    setup = settle(told, known, now)
    full = screen_wanted(screen)
    with Journal.open(known.journal, write=True) as journal:
        remember(known, setup.settings)
        _run(setup, known, journal, resume, full, wanted, now)


def screen_wanted(screen: bool | None) -> bool:
    """Whether the full screen runs; CoachError if it is asked for and can't."""
    if screen is False:
        return False
    why = why_plain(os.environ, sys.stdin.isatty(), sys.stdout.isatty())
    if why and screen:
        raise CoachError(f"the screen can't run: {why}", "Leave --screen out: plain lines do.")
    return not why


def _run(
    setup: Setup,
    known: Paths,
    journal: Journal,
    resume: bool | None,
    full: bool,
    wanted: Wanted,
    now: datetime,
) -> None:
    """Run the session to its end, or to Ctrl-C."""
    check_sharing(wanted)
    begun = take_up(journal, setup, resume, now, diagnostics.note)
    if begun is None:
        begun = begin(journal, at_own_pace(setup, journal, known), now, diagnostics.note)
    diagnostics.log_to(known.log)
    with awake(), opened(setup, known, wanted) as live:
        for missing in live.missing:
            diagnostics.note(f"{missing}")
        try:
            with _warming(begun, live):
                ended = run(begun, live, journal, known, full, wanted, diagnostics.note)
        except Left:
            diagnostics.note("Leaving. What was announced is saved.")
            raise Interrupted("left", "'coach start --resume' goes on with it.") from None
    journal.close_session(begun.id, ended.how)
    output.line(_summary(ended))


@contextmanager
def _warming(begun: Begun[Session], live: Live) -> Iterator[None]:
    """Have what will probably be said made ready while the session runs."""
    ahead = Timer(FIRST, lambda: live.warm(likely(begun.session, begun.language)))
    ahead.start()
    try:
        yield
    finally:
        ahead.cancel()
        ahead.join()


def _summary(ended: Session) -> str:
    """What the session came to, in one line."""
    tries = sum(count for _, count in ended.tries)
    return (
        f"On the record: {ended.recorded_seconds / 60:.0f} min, {ended.boulders} boulders, "
        f"{tries} hard tries, {ended.tops} tops."
    )
