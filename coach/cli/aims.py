"""`coach journal aim`: what the climber is after, and the route to it."""

import uuid
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

import click

from coach.cli import output
from coach.cli.recorded import journal_option, opened
from coach.errors import UsageError
from coach.files.movements import load_movements
from coach.files.names import advice, nearest
from coach.files.paths import paths
from coach.files.places import list_places, load_place
from coach.journal import Journal
from coach.journal.entries import entries
from coach.journal.kept_aims import add_aim, all_aims, drop_aim
from coach.model.aim import Aim, AimKind
from coach.model.doses import DOSES
from coach.model.movement import Family
from coach.model.person import Person
from coach.planning.grades import GRADES, grade
from coach.record.route import Route, route, titled
from coach.setup.routes import looked_of
from coach.setup.typed_boulders import boulders_of


@click.command("aim")
@click.argument("kind", type=click.Choice([kind.value for kind in AimKind]), required=False)
@click.argument("what", required=False)
@click.option(
    "--by",
    type=click.DateTime(["%Y-%m-%d"]),
    metavar="YYYY-MM-DD",
    help="A date for a boulder or grade.",
)
@click.option("--minutes", type=click.FloatRange(1, 10_000), help="Minutes a week, of a dose.")
@click.option("--times", type=click.IntRange(1, 14), help="Or sessions a week with it.")
@click.option("--count", "number", type=click.IntRange(1, 99), help="How many of a circuit.")
@click.option("--routes", is_flag=True, help="The way to each: what lacks, the next four weeks.")
@click.option("--drop", metavar="NUMBER", type=int, help="Forget an aim of the list.")
@journal_option
def command(
    kind: str | None,
    what: str | None,
    by: datetime | None,
    minutes: float | None,
    times: int | None,
    number: int | None,
    routes: bool,
    drop: int | None,
    file: Path | None,
) -> None:
    """List aims, add one, drop one; tell the route to each.

    Such as 'boulder "slate 4" --by 2026-06-01', 'grade slate' (the first of it),
    'grade flint --count 5 --by 2026-07-01', 'focus quiet-feet', 'dose mobility --minutes 40' or
    'dose hangs --times 2'. One that is far off is kept, and you hear what comes first.
    """
    now = datetime.now().astimezone()
    changes = drop is not None or kind is not None
    with opened(file, write=changes) as journal:
        if drop is not None:
            aim = _numbered(all_aims(journal), drop)
            drop_aim(journal, aim.uid, now)
        new = None
        if kind is not None and drop is None:
            new = _aim(AimKind(kind), what, (minutes, times, number), by, now, journal)
            add_aim(journal, new)
        aims = all_aims(journal)
        shown = [aim for aim in aims if routes or (new is not None and aim.uid == new.uid)]
        ways = _ways(journal, shown, now) if shown else []
    output.table((str(n), aim.kind, titled(aim)) for n, aim in enumerate(aims, 1))
    output.lines(line for way in ways for line in way.lines)


def _ways(journal: Journal, aims: Sequence[Aim], now: datetime) -> list[Route]:
    """The routes to aims, by one's own record."""
    person = Person(1)
    looked = looked_of(journal, person, entries(journal, person), now.date())
    return [route(aim, looked) for aim in aims]


def _circuits(journal: Journal) -> list[str]:
    """Circuits of the places that the files or the record know."""
    places = [load_place(name, paths().user_dirs) for name in list_places(paths().user_dirs)]
    names = [circuit.name for place in places for circuit in place.circuits]
    last = journal.last_session()
    if last is not None:
        names += [circuit.name for circuit in journal.circuits_of(last.id)]
    return sorted(set(names))


def _grade(what: str, journal: Journal) -> str:
    """A grade, or a circuit of a place; UsageError for others."""
    circuits = _circuits(journal)
    if what in circuits:
        return what
    try:
        return grade(what).name
    except UsageError:
        meant = nearest(what, [*circuits, *GRADES])
        known = f"The circuits are {', '.join(circuits)}; a grade is such as '6A' or 'V4'."
        raise UsageError(
            f"there is no circuit or grade {what!r}", f"Did you mean {meant!r}?" if meant else known
        ) from None


def _numbered(aims: list[Aim], number: int) -> Aim:
    if not 1 <= number <= len(aims):
        raise UsageError(f"there is no aim {number}", "'coach journal aim' lists them.")
    return aims[number - 1]


def _aim(
    kind: AimKind,
    what: str | None,
    amounts: tuple[float | None, int | None, int | None],
    by: datetime | None,
    now: datetime,
    journal: Journal,
) -> Aim:
    """The aim as it was typed; UsageError for what can't be one."""
    minutes, times, number = amounts
    if not what:
        raise UsageError(f"which {kind}?", f"Such as: coach journal aim {kind} NAME")
    if by is not None and by.date() <= now.date():
        raise UsageError(f"--by {by:%Y-%m-%d}: that day is not to come", f"Today: {now:%Y-%m-%d}")
    if kind is AimKind.GRADE:
        what = _grade(what, journal)
    elif number is not None:
        raise UsageError("--count is for a circuit or grade", "Such as: grade flint --count 5")
    if kind is AimKind.BOULDER:
        ((_, boulder),) = boulders_of((what,), (Person(1),), _circuits(journal))
        what = boulder.name
    if kind is AimKind.FOCUS:
        known = load_movements(paths().user_dirs)
        names = [name for name, one in known.items() if one.family is Family.FOCUS]
        if what not in names:
            raise UsageError(f"no focus is called {what!r}", advice(what, names))
    if kind is AimKind.DOSE and (what not in DOSES or bool(minutes) == bool(times)):
        raise UsageError(
            f"a dose is one of {', '.join(DOSES)}, with --minutes or --times",
            "Such as: coach journal aim dose mobility --minutes 40",
        )
    day = by.date().isoformat() if by else ""
    since = now.date().isoformat()
    return Aim(uuid.uuid4().hex, kind, what, day, minutes or 0.0, number or 1, times or 0, since)
