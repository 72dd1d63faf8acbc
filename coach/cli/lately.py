"""What the record tells of today, into what a session begins with."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from coach.cli import diagnostics
from coach.cli.pace import at_own_pace
from coach.cli.setup import Setup
from coach.errors import JournalError
from coach.files.paths import Paths
from coach.journal import Journal
from coach.journal.aims import all_aims
from coach.journal.entries import entries
from coach.model.start import Options
from coach.record.aims import at_check_in
from coach.record.edge import usual_readings
from coach.record.lately import lately


def of_record(options: Options, journal: Journal, today: date) -> Options:
    """The options with what the sessions of each person tell.

    That is a break, a hard session yesterday, and what a scale read at edge checks.

    What was typed of a break is not asked again. The aims are those of the first person.
    """
    told, away, usual = list(options.told), [], []
    every = [entries(journal, person) for person in options.people]
    for person, earlier in zip(options.people, every, strict=True):
        found = lately(earlier, today)
        usual += [(person.who, one) for one in usual_readings(earlier)]
        if found.hard and (person.who, "hard-yesterday") not in told:
            told.append((person.who, "hard-yesterday"))
        if found.away and not _told_of_a_break(options.told, person.who):
            away.append(person.who)
    aim = at_check_in(all_aims(journal), every[0], today)
    return replace(options, told=tuple(told), away=tuple(away), aim=aim, usual=tuple(usual))


def _told_of_a_break(told: Sequence[tuple[int, str]], who: int) -> bool:
    return any(number == who and tag.startswith("break") for number, tag in told)


def recorded(setup: Setup, paths: Paths, today: date) -> Setup:
    """The setup with what the record tells, the pace included, where there is one to be read."""
    if not paths.journal.exists():
        return setup
    try:
        with Journal.open(paths.journal, write=False) as journal:
            setup = at_own_pace(setup, journal, paths)
            return replace(setup, options=of_record(setup.options, journal, today))
    except JournalError as error:
        diagnostics.note(
            f"{error}\nThe plan takes the usual minutes per boulder, and no earlier day counts."
        )
        return setup
