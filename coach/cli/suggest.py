"""`coach suggest`: what the next session could be, and why; an answer to it; an entry of it."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

import click

from coach.cli import diagnostics, output
from coach.cli.recorded import opened, record, record_options, someone
from coach.errors import UsageError
from coach.files.paths import paths
from coach.journal.kept_aims import all_aims
from coach.journal.wishes import answer
from coach.record.aim_progress import aim_lines
from coach.record.amounts import in_words
from coach.record.proposal import EASIER, NOT_TODAY
from coach.record.suggest import Suggestion
from coach.setup.suggested import LOOKED_BACK, known_of, proposal


@click.command("suggest")
@click.option(
    "--easier", "told", flag_value=EASIER, help="Answer: an easier day; 'coach start' can have it."
)
@click.option("--not-today", "told", flag_value=NOT_TODAY, help="Answer: not today. It waits.")
@click.option(
    "--calendar",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Write the next usual day into a calendar (.ics).",
)
@click.option(
    "--at", type=click.DateTime(["%H:%M"]), metavar="HH:MM", help="When it begins, for --calendar."
)
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
@record_options
def command(
    told: str | None, calendar: Path | None, at: datetime | None, as_json: bool, **asked: Any
) -> None:
    """Suggest what the next session could be, with the reasons.

    From the facts of your latest 1,500 sessions and a few rules, never from load ratios. The
    check-in has the last word.
    'coach start --suggested' starts just this. An answer needs no reason, and nothing counts it.
    """
    now = datetime.now().astimezone()
    today = asked["until"].date() if asked["until"] else now.date()
    if told:
        with opened(asked["file"], write=True) as journal:
            answer(journal, someone(journal, asked["person"]), today, told, now)
    latest = LOOKED_BACK if asked["until"] is None else None
    with record(**asked, latest=latest) as read:
        known = known_of(read.journal, read.person, read.asked, today, paths())
        made = proposal(read.journal, read.person, known, paths())
        if calendar is not None:
            day = made.day or today
            then = proposal(read.journal, read.person, replace(known, today=day), paths())
            _write(calendar, at, then, day, now)
            return
        aims = aim_lines(all_aims(read.journal), known.entries, today)
    if as_json:
        output.document({"suggestion": made, "command": made.command(today), "aims": aims})
    elif made.answered == NOT_TODAY:
        waits = f" Next: {made.day:%A %d %B}." if made.day else ""
        output.line(f"Not today, then.{waits}")
    else:
        output.lines(lines_of(made, today))
        output.lines(f"Aim: {text}" for text in aims)


def lines_of(made: Suggestion, today: date) -> Iterator[str]:
    """The proposal, a line for each thing."""
    length = f" of about {made.minutes} min" if made.minutes else ""
    yield f"{made.kind.capitalize()}{length}."
    if made.routine:
        yield f"Routine: {made.routine}."
    if made.place:
        yield f"Place: {made.place}."
    if made.focus:
        yield f"Focus: {in_words(made.focus)}."
    if made.leave_out:
        yield f"Leave out: {', '.join(dict.fromkeys(made.leave_out))}."
    yield from (f"Watch: {film}." for film in made.watch)
    if made.boulder:
        lesson = f" Last time: {made.lesson}" if made.lesson else ""
        yield f"Boulder: {made.boulder}.{lesson}"
    if made.doses:
        yield f"Still to do: {', '.join(made.doses)}."
    if made.hard_from:
        most = f", {made.most_tries} at most" if made.most_tries else ""
        yield (f"Hard tries: from {made.hard_from:%A %d %B}{most}, if the day's checks say so too.")
    else:
        yield "Hard tries: none this time."
    if made.day:
        yield f"Next usual day for them: {made.day:%A %d %B}."
    yield "To start just this: coach start --suggested"
    yield f"Which is: {made.command(today)}"
    yield from (f"Because: {reason.text} ({reason.sure})" for reason in made.reasons)
    yield from (f"Seen so far: {text}" for text in made.learnt)
    if made.trial:
        yield f"A trial: {made.trial}"
    yield from (f"Not known: {text}" for text in made.unknown)


def _write(to: Path, at: datetime | None, made: Suggestion, day: date, now: datetime) -> None:
    """The proposal of a day as an entry of a calendar."""
    from coach.exports.calendar import Plan, calendar
    from coach.exports.whole import whole_file

    if at is None:
        raise UsageError("when does it begin?", "Such as --calendar next.ics --at 18:30")
    entry = Plan(
        f"suggested-{day:%Y%m%d}",
        made.kind,
        datetime.combine(day, at.time()),
        made.minutes or 90,
        made.place,
        notes="\n".join((f"To start: {made.command(day)}", *(one.text for one in made.reasons))),
    )
    with whole_file(to) as part:
        part.write_bytes(calendar((), (entry,), now))
    diagnostics.note(f"Wrote {to}: {day:%A %d %B}, {at:%H:%M}.")
