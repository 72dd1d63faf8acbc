"""`coach rehearse`: a session in seconds, on a clock that jumps, with answers from a file."""

from dataclasses import asdict, replace
from datetime import datetime
from pathlib import Path
from typing import Any

import click

from coach.cli import diagnostics, output
from coach.cli.arguments import choices, day_options
from coach.clock import FakeClock
from coach.files.answers_file import Scripted, read_answers
from coach.files.paths import paths
from coach.runtime.rehearsal import Rehearsed, clock_time, rehearse
from coach.session.state import Session
from coach.session.step import new_session
from coach.setup.settling import Setup, settle


@click.command("rehearse")
@day_options
@click.option(
    "--answers",
    type=click.Path(path_type=Path, allow_dash=True),
    help="File of answers, 'MM:SS [who:] words' a line; '-' reads them from standard input. "
    "Without it nobody answers.",
)
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
def command(answers: Path | None, as_json: bool, **day: Any) -> None:
    """Run a session in seconds, with answers from a file.

    Prints what is said, heard, changed and recorded, and what it cost in speech, questions and
    answers. An answer waits from its time on until a window takes it. Nothing is kept. It begins
    at six in the evening, so that 'until ten past seven' means something.
    """
    today = datetime.now().astimezone()
    setup = settle(choices(day), paths(), today.replace(hour=18, minute=0, second=0, microsecond=0))
    rehearsed = run(setup, answers)
    if as_json:
        output.document(_document(rehearsed))
        return
    output.table(
        (clock_time(entry.at), entry.kind, entry.text) for entry in rehearsed.transcript.entries
    )
    output.line()
    output.table(
        (name.replace("_", " "), f"{value:g}")
        for name, value in asdict(rehearsed.transcript.totals()).items()
    )
    for item in rehearsed.unsaid:
        diagnostics.note(f"{answers}:{item.line}: {item.words!r} was never said: no window took it")


def run(setup: Setup, answers: Path | None) -> Rehearsed[Session]:
    """Rehearse a session that has been set up; FileError for a mistake in the answers."""
    script: tuple[Scripted, ...] = ()
    if answers is not None:
        language = setup.language
        script = read_answers(_readable(answers), language.breath, language.said)
    options = replace(setup.options, wall=f"{FakeClock().wall():%Y-%m-%d %H:%M:%S}")
    return rehearse(new_session(setup.library, options), setup.language, script)


def _readable(answers: Path) -> Path:
    """The file, or standard input as one."""
    return Path("/dev/stdin") if str(answers) == "-" else answers


def _document(rehearsed: Rehearsed[Session]) -> dict[str, Any]:
    """The transcript and its totals as JSON."""
    return {
        "ended": rehearsed.session.how,
        "entries": [asdict(entry) for entry in rehearsed.transcript.entries],
        "totals": asdict(rehearsed.transcript.totals()),
        "unsaid": [
            {"line": item.line, "who": item.who, "words": item.words} for item in rehearsed.unsaid
        ],
    }
