"""`coach export`: the record for other programs."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import click

from coach.cli import diagnostics
from coach.cli.progress_bar import shown
from coach.cli.recorded import Read, record, record_options
from coach.errors import UsageError
from coach.exports.tables import ExportedSession
from coach.exports.whole import whole_file
from coach.journal.digests import Maker
from coach.journal.entries import number_of
from coach.record.amounts import count
from coach.record.entry import Entry
from coach.record.suggest import Grounds, suggest

_FORMATS = ("jsonl", "csv", "parquet", "ics")


@dataclass(frozen=True, slots=True)
class TableNotes:
    """What goes with the tables."""

    pseudonym: str
    consent: str
    plans: tuple[datetime, ...]
    """When sessions to come begin, at the time of the wall."""
    weeks: int


@click.command("export")
@click.argument("out", type=click.Path(path_type=Path))
@click.option(
    "--format",
    "kind",
    type=click.Choice(_FORMATS),
    help="The format, if the ending of OUT does not say it.",
)
@click.option(
    "--pseudonym",
    default="",
    help="What stands for the climber's name, in csv and parquet.",
)
@click.option(
    "--consent",
    default="",
    metavar="TEXT",
    help="What the climber agreed to, kept inside the Parquet files.",
)
@click.option(
    "--plan",
    type=click.DateTime(["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"]),
    multiple=True,
    metavar="WHEN",
    help="In ics: a session to come, such as 2026-03-10T18:30; more than once for more.",
)
@click.option(
    "--weeks",
    type=click.IntRange(1, 52),
    default=1,
    help="Repeat each plan weekly, this many times.",
)
@record_options
def command(
    out: Path,
    kind: str | None,
    pseudonym: str,
    consent: str,
    plan: tuple[datetime, ...],
    weeks: int,
    **asked: Any,
) -> None:
    """Write the record to OUT for other programs.

    jsonl: everything, everybody's; 'coach journal import' takes it back. csv, parquet: a folder of
    tables of one person. ics: a calendar of past sessions and of plans. Nothing is overwritten;
    docs/journal.md lists the columns.
    """
    kind = kind or out.suffix.removeprefix(".")
    if kind not in _FORMATS:
        raise UsageError(f"{out}: which format?", f"--format {'|'.join(_FORMATS)}")
    with record(**asked) as read:
        said = _WRITERS[kind](read, out, TableNotes(pseudonym, consent, plan, weeks))
    diagnostics.note(f"Wrote {out}: {said}.")


def _jsonl(read: Read, out: Path, told: TableNotes) -> str:
    from coach.journal import lines

    sessions = [row.id for row in read.journal.sessions()]
    numbers = {entry.id for entry in read.each_asked()}
    if read.named or len(numbers) < number_of(read.journal, read.person):
        sessions = [session for session in sessions if session in numbers]
    with whole_file(out) as part, part.open("w", encoding="utf-8", newline="\n") as to:
        lines.write(read.journal, shown(sessions, len(sessions), "Writing"), to)
    return count(len(sessions), "session")


def _csv(read: Read, out: Path, told: TableNotes) -> str:
    from coach.exports.csv_files import write_csv

    return _counted(write_csv(_sessions(read, told), out))


def _parquet(read: Read, out: Path, told: TableNotes) -> str:
    from coach.exports.parquet import write_parquet

    notes = {"consent": told.consent} if told.consent else {}
    return _counted(write_parquet(_sessions(read, told), out, notes))


def _ics(read: Read, out: Path, told: TableNotes) -> str:
    from coach.exports.calendar import Plan, calendar

    usual = suggest(Grounds(read.every, datetime.now().astimezone().date()))
    last = read.every[-1] if read.every else None
    plans = [
        Plan(
            f"plan-{when:%Y%m%dT%H%M}-{told.weeks}",
            last.routine if last else "session",
            when,
            usual.minutes or (last.minutes if last else 90),
            last.place if last else "",
            told.weeks,
        )
        for when in told.plans
    ]
    made = calendar(read.asked, plans, datetime.now().astimezone())
    with whole_file(out) as part:
        part.write_bytes(made)
    return f"{count(len(read.asked), 'session')}, {count(len(plans), 'plan')}"


_WRITERS: dict[str, Callable[[Read, Path, TableNotes], str]] = {
    "jsonl": _jsonl,
    "csv": _csv,
    "parquet": _parquet,
    "ics": _ics,
}


def _counted(rows: dict[str, int]) -> str:
    return ", ".join(f"{number} {table}" for table, number in rows.items()) or "no rows"


def _sessions(read: Read, told: TableNotes) -> Iterator[ExportedSession]:
    """The rows of tables: the person's own facts, and those of everybody."""
    climber = told.pseudonym or read.person.name
    maker = Maker(read.journal.db)
    number = number_of(read.journal, read.person)
    for entry in shown(read.each_asked(), number, "Writing"):
        facts = tuple(fact for fact in maker.facts(entry.id) if fact.who in (0, entry.who))
        yield _session(climber, entry, facts)


def _session(climber: str, entry: Entry, facts: tuple[Any, ...]) -> ExportedSession:
    return ExportedSession(
        climber,
        entry.uid,
        entry.begun,
        entry.routine,
        entry.place,
        entry.minutes,
        entry.digest.seconds,
        entry.digest.effort,
        entry.how or "",
        facts,
    )
