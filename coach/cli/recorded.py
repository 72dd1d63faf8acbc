"""What the commands about the record share: whose record, of which days, from which file."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from pathlib import Path
from typing import Any, TypeVar

import click

from coach.errors import UsageError
from coach.files.paths import paths
from coach.journal import Journal, SessionId
from coach.journal.entries import each_entry, entries, since
from coach.journal.persons import known_people
from coach.model.day import Library
from coach.model.person import Person
from coach.model.place import Circuit
from coach.record.entry import Entry
from coach.record.people import Someone
from coach.record.periods import between

Command = TypeVar("Command", bound=Callable[..., Any])

_DAYS = click.DateTime(["%Y-%m-%d"])


def _named(ctx: click.Context, option: click.Parameter, file: Path | None) -> Path | None:
    """The file, unless its name is empty: that is a folder to Python."""
    if file == Path():
        raise click.BadParameter("a file has a name.", ctx, option)
    return file


#: Names the journal; every command about the record takes it.
journal_option = click.option(
    "--journal",
    "file",
    type=click.Path(path_type=Path, dir_okay=False),
    callback=_named,
    metavar="FILE",
    help="Another journal than your own.",
)

_RECORD = (
    click.option("--person", metavar="NAME", default="", help="Whose record; else your own."),
    click.option("--since", type=_DAYS, metavar="YYYY-MM-DD", help="From this day on."),
    click.option("--until", type=_DAYS, metavar="YYYY-MM-DD", help="Up to this day."),
    journal_option,
)


def record_options(command: Command) -> Command:
    """Add whose record, of which days, from which file; the command takes them as `**asked`."""
    for decorate in reversed(_RECORD):
        command = decorate(command)
    return command


@dataclass(frozen=True)
class Read:
    """A record that is read as far as it is asked for."""

    journal: Journal
    person: Someone
    since: date | None
    until: date | None
    latest: int | None
    named: bool = False
    """Whether the person was asked for by name."""

    @cached_property
    def every(self) -> list[Entry]:
        """Every session of the person, or the latest ones where no more were wanted."""
        return entries(self.journal, self.person, self.latest)

    @cached_property
    def asked(self) -> list[Entry]:
        """Those of the days that were asked for."""
        if self.since is not None and self.latest is None:
            later = since(self.journal, self.person, self.since)
            return list(between(later, None, self.until))
        return list(between(self.every, self.since, self.until))

    def each_asked(self) -> Iterator[Entry]:
        """As `asked`, one after the other, so that never all of them are in memory."""
        every = self.every if self.latest else each_entry(self.journal, self.person)
        return between(every, self.since, self.until)

    def circuits(self) -> tuple[Circuit, ...]:
        """The circuits of the place of the last session, from easiest to hardest."""
        last = entries(self.journal, self.person, 1)
        return self.journal.circuits_of(SessionId(last[-1].id)) if last else ()


@contextmanager
def opened(file: Path | None, *, write: bool = False) -> Iterator[Journal]:
    """The named journal, or one's own."""
    with Journal.open(file or paths().journal, write=write) as journal:
        yield journal


@contextmanager
def record(
    person: str,
    since: datetime | None,
    until: datetime | None,
    file: Path | None,
    latest: int | None = None,
) -> Iterator[Read]:
    """The sessions that the options ask for; UsageError for a person whom nobody knows.

    With `latest` no more than so many are read.
    """
    with opened(file) as journal:
        who = someone(journal, person)
        yield Read(journal, who, _day(since), _day(until), latest, bool(person))


def someone(journal: Journal, name: str) -> Someone:
    """The person of a name or id, the journal's own for ''; UsageError where nobody is."""
    known = known_people(journal)
    found = known.named(name) if name else known.who_is(Person(1))
    if found is None:
        names = ", ".join(one.name for one in known.people if one.name) or "nobody by name"
        raise UsageError(f"no session knows {name!r}", f"The journal knows {names}.")
    return found


def _day(given: datetime | None) -> date | None:
    return None if given is None else given.date()


def titles(library: Library | None) -> dict[str, str]:
    """Movement -> its title in English, or in the first language there is."""
    if library is None:
        return {}
    return {
        name: movement.title.get("en") or next(iter(movement.title.values()), name)
        for name, movement in library.movements.items()
    }
