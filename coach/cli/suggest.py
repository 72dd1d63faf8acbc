"""`coach suggest`: what the next session could be, and why."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any

import click

from coach.cli import output
from coach.cli.recorded import Read, record, record_options
from coach.files.movements import load_movements
from coach.files.paths import paths
from coach.journal import SessionId
from coach.journal.aims import all_aims
from coach.journal.told import signs_of, stands_for
from coach.model.body import Feel
from coach.model.facts import Filmed, SignTold
from coach.model.movement import Family
from coach.record.aims import aim_lines
from coach.record.suggest import Known, Suggestion, suggest


@click.command("suggest")
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
@record_options
def command(as_json: bool, **asked: Any) -> None:
    """Suggest what the next session could be, with the reasons.

    From recorded facts and a few rules, never from load ratios. The check-in has the last word.
    """
    today = datetime.now().astimezone().date()
    with record(**asked) as read:
        movements = load_movements(paths().user_dirs)
        known = Known(
            read.asked,
            asked["until"].date() if asked["until"] else today,
            (*signs_of(read.journal, read.person), *_hurts(read)),
            all_aims(read.journal),
            tuple(name for name, one in movements.items() if one.family is Family.FOCUS),
            _films(read),
        )
    made = suggest(known)
    aims = aim_lines(known.aims, known.entries, known.today)
    if as_json:
        output.document({"suggestion": made, "aims": aims})
    else:
        _show(made, aims)


def _hurts(read: Read) -> Iterator[SignTold]:
    """What was told to hurt and stands: until it is well again it counts as a sign does."""
    for one in stands_for(read.journal, read.person):
        if one.feel is Feel.HURTING:
            yield SignTold(0.0, 1, "hurt", one.part)


def _films(read: Read) -> tuple[Filmed, ...]:
    """The person's filmed tries of the last session that was asked for."""
    return tuple(
        fact
        for entry in read.asked[-1:]
        for fact in read.journal.facts(SessionId(entry.id), Filmed)
        if isinstance(fact, Filmed) and fact.who == entry.who
    )


def _show(made: Suggestion, aims: list[str]) -> None:
    length = f" of about {made.minutes} min" if made.minutes else ""
    output.line(f"{made.kind.capitalize()}{length}.")
    if made.focus:
        output.line(f"Focus: {made.focus}.")
    if made.leave_out:
        output.line(f"Leave out: {', '.join(dict.fromkeys(made.leave_out))}.")
    output.lines(f"Watch: {film}." for film in made.watch)
    if made.boulder:
        output.line(f"Boulder: {made.boulder}.")
    if made.doses:
        output.line(f"Still to do: {', '.join(made.doses)}.")
    if made.hard_from:
        most = f", {made.most_tries} at most" if made.most_tries else ""
        hard = f"from {made.hard_from:%A %d %B}{most}, if the day's checks say so too"
    else:
        hard = "not before it is cleared"
    output.line(f"Hard tries: {hard}.")
    output.line(f"To start: {made.command}")
    output.lines(f"Because: {reason.text} ({reason.sure})" for reason in made.reasons)
    output.lines(f"What helped: {text}" for text in made.learnt)
    output.lines(f"Not known: {text}" for text in made.unknown)
    output.lines(f"Aim: {text}" for text in aims)
