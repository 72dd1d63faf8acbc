"""The level of who climbs: what was typed or told before, and what is still to be asked by voice.

Of somebody alone one question a day is asked at most, each once: the months of climbing, and on
another day the comfortable circuit of a place that was described. `--climbing` and
`--comfortable` tell them at any time, and count before what was told aloud.
"""

from dataclasses import replace
from datetime import date

from coach.files.places import ANY_PLACE
from coach.journal import Journal
from coach.journal.persons import person_of
from coach.journal.told_levels import ToldLevel, level_of
from coach.model.day import Library
from coach.model.person import Person
from coach.model.routine import BlockKind
from coach.model.start import Options


def with_levels(options: Options, journal: Journal, library: Library, today: date) -> Options:
    """The options with what people told of their level, and the question that is open."""
    told = [_told(journal, one, options, library, today) for one in options.people]
    pairs = zip(options.people, told, strict=True)
    people = tuple(_with(one, level, library) for one, level in pairs)
    asked = _open(people[0], told[0].asked, library) if len(people) == 1 else ""
    return replace(options, people=people, level_asked=asked)


def _told(
    journal: Journal, person: Person, options: Options, library: Library, today: date
) -> ToldLevel:
    someone = person_of(journal, person, len(options.people))
    return level_of(journal, someone, library.place.name, today)


def _with(person: Person, told: ToldLevel, library: Library) -> Person:
    there = [circuit.name for circuit in library.place.circuits]
    comfortable = told.comfortable if told.comfortable in there else ""
    return replace(
        person,
        months=person.months if person.months is not None else told.months,
        comfortable=person.comfortable or comfortable,
    )


def _open(person: Person, asked: frozenset[str], library: Library) -> str:
    """The question of today: only where hard tries are planned, for there it changes most."""
    kinds = {block.kind for block in library.routine.blocks}
    if not {BlockKind.EASY, BlockKind.HARD} <= kinds:
        return ""
    if person.months is None and "climbed" not in asked:
        return "climbed"
    named = library.place.name != ANY_PLACE and _heard(library)
    return "comfortable" if named and not person.comfortable and "comfortable" not in asked else ""


def _heard(library: Library) -> bool:
    """Whether a circuit of the place can be told by voice."""
    return any(f"circuit:{circuit.name}" in library.words for circuit in library.place.circuits)
