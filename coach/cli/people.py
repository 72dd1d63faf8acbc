"""`coach people`: who the journal knows, what they are called, and who is one person."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import click

from coach.cli import output
from coach.cli.recorded import journal_option, opened, someone
from coach.cli.standing_lines import ended
from coach.errors import UsageError
from coach.files.paths import paths
from coach.files.settings import load_settings, save_settings
from coach.journal import persons
from coach.journal.body_statements import stands_for
from coach.journal.persons import known_people
from coach.journal.told_ages import state_age
from coach.model.person import AgeBand
from coach.record.amounts import count
from coach.record.people import NAME, OWN, normal
from coach.record.standing import Stands


@click.group("people")
def command() -> None:
    """List who the journal knows, and what stands for them.

    A person is not a name: 'Lena', 'lena' and ' Lena ' are one, and whoever climbs alone is one
    person, with and without a name.
    """


@command.command("list")
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
@journal_option
def list_command(as_json: bool, file: Path | None) -> None:
    """List everybody: id, name, other spellings, sessions, what stands for them."""
    with opened(file) as journal:
        known = known_people(journal).people
        stands = {one.id: stands_for(journal, one) for one in known}
    if as_json:
        output.document([{"person": one, "stands": stands[one.id]} for one in known])
        return
    output.table(
        (
            one.id,
            one.called,
            count(one.sessions, "session"),
            ", ".join(
                [name for name in one.spellings if name != one.name] + list(_told(stands[one.id]))
            ),
        )
        for one in known
    )


def _told(stands: Iterable[Stands]) -> Iterator[str]:
    """What stands in a few words; what was told more than once is told once."""
    every = Counter(f"{item.part or 'body'}: {item.sign or item.feel}" for item in stands)
    for what, times in every.items():
        yield what if times == 1 else f"{what} ({count(times, 'time')})"


@command.command("rename")
@click.argument("person")
@click.argument("name")
@journal_option
def rename_command(person: str, name: str, file: Path | None) -> None:
    """Call PERSON (an id or a name) NAME from now on; who they are stays."""
    if not normal(name):
        raise UsageError("a name is needed", "Such as: coach people rename own Lena")
    with opened(file, write=True) as journal:
        one = someone(journal, person)
        persons.rename(journal, one, name, _now())
    output.line(f"{one.called} is called {name} now.")


@command.command("join")
@click.argument("person")
@click.argument("other")
@journal_option
def join_command(person: str, other: str, file: Path | None) -> None:
    """State that PERSON and OTHER are one person: their sessions count together."""
    with opened(file, write=True) as journal:
        one, two = someone(journal, person), someone(journal, other)
        if one.id == two.id:
            raise UsageError(f"{person!r} and {other!r} are one person already")
        persons.join(journal, one, two, _now())
        joined = known_people(journal).by_key[one.keys[0]]
    output.line(f"One person now: {joined.called}, {count(joined.sessions, 'session')}.")


@command.command("apart")
@click.argument("name")
@journal_option
def apart_command(name: str, file: Path | None) -> None:
    """State that NAME is a person of their own, whoever it was joined with."""
    key = NAME + normal(name)
    with opened(file, write=True) as journal:
        if key not in known_people(journal).by_key:
            raise UsageError(
                f"no session knows {name!r}", "`coach people list` shows who is there."
            )
        persons.apart(journal, key, _now())
    output.line(f"{name} is a person of their own now.")


@command.command("age")
@click.argument("band", type=click.Choice([band.value for band in AgeBand]))
@click.option("--person", metavar="NAME", default="", help="Whose; else your own.")
@journal_option
def age_command(band: str, person: str, file: Path | None) -> None:
    """State the age band of a person: from now on it counts, and is not asked.

    'unknown' forgets it: then the careful rules hold, and it is asked again.
    """
    age = AgeBand(band)
    with opened(file, write=True) as journal:
        one = someone(journal, person)
        state_age(journal, one, age, _now())
    if one.id == OWN and file is None:
        settings = load_settings(paths().settings)
        save_settings(
            paths().settings, replace(settings, age=None if age is AgeBand.UNKNOWN else age)
        )
    output.line(f"{one.called}: {band}.")


def _ending(head: str, does: str) -> None:
    """The command that ends what stands by one of the two claims."""

    @command.command(head, help=does)
    @click.argument("what")
    @click.option("--person", metavar="NAME", default="", help="Whose; else your own.")
    @journal_option
    def ending(what: str, person: str, file: Path | None) -> None:
        with opened(file, write=True) as journal:
            one = someone(journal, person)
            output.line(ended(journal, one, f"{head}:{what.strip().lower()}", _now()))


_ending("well", "State that WHAT, a part that was hurt or an illness, is well again; checks first.")
_ending("cleared", "State that a clinician cleared WHAT: a part, or a sign that has none.")


def _now() -> datetime:
    return datetime.now().astimezone()
