"""`coach trial`: one change for four sessions, and how it went."""

from datetime import datetime
from pathlib import Path

import click

from coach.cli import output
from coach.cli.recorded import journal_option, opened, someone
from coach.errors import UsageError
from coach.files.movements import load_movements
from coach.files.names import advice
from coach.files.paths import paths
from coach.journal.entries import entries
from coach.journal.wishes import begin_trial, end_trial, trials_of
from coach.model.movement import Family
from coach.record.amounts import count
from coach.record.trial import FOCUS, LENGTH, WHAT, outcomes, running, since, trial


@click.command("trial")
@click.argument("what", type=click.Choice(WHAT), required=False)
@click.argument("value", required=False)
@click.option("--end", is_flag=True, help="Give up the trial that runs.")
@click.option("--person", metavar="NAME", default="", help="Whose trial; else your own.")
@journal_option
def command(what: str | None, value: str | None, end: bool, person: str, file: Path | None) -> None:
    """Try one change for four sessions; without WHAT, show how earlier trials went.

    Such as 'rest 4:00', 'tries 5' (hard tries at most), 'focus quiet-feet'. One at a time. After
    four sessions the next one says what shows, also where nothing does.
    """
    now = datetime.now().astimezone()
    with opened(file, write=bool(what) or end) as journal:
        who = someone(journal, person)
        sessions = entries(journal, who)
        trials = trials_of(journal, who)
        number = len(since(trials[-1], sessions)) if trials else 0
        if end:
            if running(trials, number) is None:
                raise UsageError("no trial runs", "'coach trial rest 4:00' begins one.")
            output.line(f"Given up: {trials[-1].text}.")
            end_trial(journal, who, now)
        elif what is not None:
            if what == FOCUS:
                _check_focus(value or "")
            begin_trial(journal, who, trial(what, value or "", now), number)
        trials = trials_of(journal, who)
        number = len(since(trials[-1], sessions)) if trials else 0
    output.lines(one.text for one in outcomes(trials, sessions))
    now_on = running(trials, number)
    if now_on is not None:
        output.line(f"Runs: {now_on.text}; {number} of {count(LENGTH, 'session')}.")
    elif not end and not outcomes(trials, sessions):
        output.line("No trial yet; 'coach suggest' proposes one where the record allows it.")


def _check_focus(name: str) -> None:
    known = load_movements(paths().user_dirs)
    names = [one for one, movement in known.items() if movement.family is Family.FOCUS]
    if name not in names:
        raise UsageError(f"no focus is called {name!r}", advice(name, names))
