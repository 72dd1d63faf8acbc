"""`coach history fix`: corrections; what was recorded stays on the record."""

from datetime import datetime
from pathlib import Path
from typing import Any

import click

from coach.cli import output
from coach.cli.recorded import journal_option, opened
from coach.errors import UsageError
from coach.journal import Journal, SessionId
from coach.journal.clock_doubts import SLACK
from coach.journal.corrections import RESULTS, fix_all

_CLOCK = ["%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M", "%Y-%m-%d"]


@click.command("fix")
@click.argument("number", type=int)
@click.option("--date", "begun", type=click.DateTime(_CLOCK), help="When it began: day and time.")
@click.option("--place", metavar="NAME", help="Where it was.")
@click.option("--effort", type=click.IntRange(0, 10), help="How hard the whole of it was.")
@click.option("--try", "tries", multiple=True, metavar="N=RESULT", help="How try N ended.")
@click.option("--name", metavar="NAME", help="What the person is called.")
@click.option("--who", type=int, default=1, help="Number of the person, where there are several.")
@journal_option
def command(
    number: int,
    begun: datetime | None,
    place: str | None,
    effort: int | None,
    tries: tuple[str, ...],
    name: str | None,
    who: int,
    file: Path | None,
) -> None:
    """Correct what is on the record of a session.

    The old value is kept, and 'coach history NUMBER' shows what was corrected. RESULT is one of
    start, middle, top, topped, below, untold.
    """
    changes: list[tuple[str, Any]] = []
    if begun is not None:
        changes.append(("begun", begun))
    if place is not None and not place.strip():
        raise UsageError("--place: a name is needed", "Such as --place tarnwick.")
    if place is not None:
        changes.append(("place", place))
    if effort is not None:
        changes.append((f"effort {who}", effort))
    if name is not None:
        changes.append((f"name {who}", name))
    changes += [_try(text, who) for text in tries]
    if not changes:
        raise UsageError("what is to be corrected?", "Such as --date '2026-03-02 18:30'.")
    with opened(file, write=True) as journal:
        session, now = _there(journal, number), datetime.now().astimezone()
        told = [(f, _like(journal, session, v, now) if f == "begun" else v) for f, v in changes]
        fix_all(journal, session, now, told)
    names = (field.split()[0].replace("begun", "date") for field, _ in changes)
    output.line(f"Corrected: {', '.join(names)}.")


def _there(journal: Journal, number: int) -> SessionId:
    if not any(row.id == number for row in journal.sessions()):
        raise UsageError(f"there is no session {number}", "'coach history --all' lists them.")
    return SessionId(number)


def _like(journal: Journal, session: SessionId, told: datetime, now: datetime) -> str:
    """A corrected time, at the offset from UTC of the session; a day alone keeps its clock.

    UsageError for a time to come: no session began then.
    """
    ((begun,),) = journal.rows("SELECT begun FROM session WHERE id = ?", session)
    was = datetime.fromisoformat(begun)
    if (told.hour, told.minute) == (0, 0):
        told = told.replace(hour=was.hour, minute=was.minute, second=was.second)
    told = told.replace(tzinfo=was.tzinfo)
    if told.timestamp() > now.timestamp() + SLACK:
        raise UsageError(
            f"--date: {told:%Y-%m-%d %H:%M} is still to come",
            f"By this clock it is {now:%Y-%m-%d %H:%M}.",
        )
    return told.isoformat()


def _try(text: str, who: int) -> tuple[str, str]:
    number, _, result = text.partition("=")
    if not number.isdigit() or result not in RESULTS:
        raise UsageError(f"--try {text}: it is no result of a try", f"Such as --try 3={RESULTS[3]}")
    return f"try {who} {number}", result
