"""The climber's own minutes per boulder, from the record into what a session begins with."""

from collections.abc import Iterator
from dataclasses import replace

from coach.cli.setup import Setup, check_minutes
from coach.files.paths import Paths
from coach.journal import Journal
from coach.journal.entries import entries
from coach.model.messages import message
from coach.planning.pace import library_of
from coach.record.pace import paces


def at_own_pace(setup: Setup, journal: Journal, paths: Paths) -> Setup:
    """The setup with what a boulder takes the first person at this place.

    UsageError where the minutes that were told are too few for the warm-up at that pace.
    """
    people = setup.options.people
    known = tuple(
        paces(entries(journal, people[0]), setup.library.place.name, with_others=len(people) - 1)
    )
    library = library_of(setup.library, {one.tier: one.seconds for one in known}, people)
    if setup.options.minutes is not None:
        check_minutes(setup.options.minutes, library, paths.user_dirs)
    return replace(setup, library=library, paces=known)


def why(setup: Setup) -> Iterator[str]:
    """What was learnt, in a sentence for each tier."""
    for one in setup.paces:
        minutes = round(one.seconds / 60.0, 1)
        yield setup.language.text(
            message(f"why-pace-{one.tier}", minutes=minutes, sessions=one.sessions)
        )
