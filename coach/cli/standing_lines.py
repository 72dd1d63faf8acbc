"""What stands for a person, told as lines, and ended by key: once its checks are passed."""

import sys
from datetime import date, datetime

import click

from coach.cli import diagnostics, output
from coach.errors import CoachError, UsageError
from coach.files.names import advice
from coach.files.paths import Paths
from coach.journal import Journal
from coach.journal.body_statements import end
from coach.journal.persons import person_of
from coach.model.person import Person
from coach.record.ending import AFTER_BIRTH, check_of, opens, refused
from coach.record.people import Someone
from coach.record.standing import CLEARED, WELL, Stands
from coach.screen.terminal import usable
from coach.setup.choices import Choices
from coach.setup.standing_at_start import of_someone


class Stays(CoachError):
    """A check was not passed: what stands stays."""


def lines(stands: tuple[Stands, ...]) -> list[str]:
    """What stands, a line each, with the command that ends it."""
    return [f"{one.told}. {one.until}" for one in stands]


def found(stands: tuple[Stands, ...], what: str) -> Stands:
    """The thing that stands of that part or sign; UsageError where there is none."""
    named = {one.what: one for one in stands}
    if what not in named:
        raise UsageError(
            f"nothing stands that is called {what!r}",
            advice(what, list(named)) if named else "Nothing stands at all.",
        )
    return named[what]


def ended(journal: Journal, someone: Someone, claim: str, now: datetime) -> str:
    """Ask what a claim has to pass, then put it on the record; what opens and what stays careful.

    Stays where a check was not passed. UsageError where nothing ends by the claim.
    """
    head, _, what = claim.partition(":")
    standing = of_someone(journal, someone, now.date())
    one = found((*standing.stands, *standing.sore), what)
    why = refused(one, claim)
    if why:
        raise UsageError(f"{what}: {why}", f"Then: coach people {CLEARED.replace(':', '')} {what}")
    if journal.unfinished() is not None:
        raise UsageError(
            "a session waits to go on", "Go on with it, or begin anew; then say it once more."
        )
    born = _born(now.date()) if one.sign == AFTER_BIRTH else None
    check = check_of(one, f"{head}:", born)
    if check.not_before is not None and now.date() < check.not_before:
        raise Stays(f"{one.told}: not before {check.not_before:%d %B %Y}", "It stays as it is.")
    if check.do:
        diagnostics.note(check.do)
    for question in check.none_of:
        if _typed(f"{question} (no, or yes)") != "no":
            raise Stays(f"{one.told}: it stays as it is", "If in doubt, have a clinician look.")
    end(journal, someone, claim, now)
    return opens(one, claim)


def _born(today: date) -> date:
    told = _typed("When was the birth (YYYY-MM-DD)?")
    try:
        born = date.fromisoformat(told)
    except ValueError:
        raise Stays(f"{told!r} is no day: it stays as it is", "Such as 2026-01-31.") from None
    if born > today:
        raise Stays(f"{told} is still to come: it stays as it is")
    return born


def _typed(question: str) -> str:
    """What was typed; '' where nobody types."""
    try:
        return str(click.prompt(question, default="", show_default=False, err=True)).strip().lower()
    except click.Abort:
        return ""


def ask_standing(choices: Choices, paths: Paths, now: datetime) -> None:
    """At a terminal: tell what stands of whoever is going to climb, and let a key end it."""
    if not (sys.stdin.isatty() and sys.stderr.isatty()) or not paths.journal.exists():
        return
    with Journal.open(paths.journal, write=False) as journal:
        someone = person_of(journal, Person(1, choices.called or ""))
        stands = of_someone(journal, someone, now.date()).stands
        waits = journal.unfinished() is not None
    if not stands or waits:
        return
    for line in lines(stands):
        diagnostics.note(line)
    usable()
    ways = ", ".join(f"'{one.typed}'" for one in stands)
    while told := _typed(f"Enter leaves it so. To end it: {ways}"):
        head, _, what = told.partition(" ")
        if f"{head}:" not in (CLEARED, WELL):
            diagnostics.note(f"{told!r} is not one of these.")
            continue
        try:
            with Journal.open(paths.journal, write=True) as journal:
                output.line(ended(journal, someone, f"{head}:{what.strip()}", now))
        except (Stays, UsageError) as error:
            diagnostics.note(str(error))
        with Journal.open(paths.journal, write=False) as journal:
            if not of_someone(journal, someone, now.date()).stands:
                return
