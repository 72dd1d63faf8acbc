"""Everything that the journal holds of boulders with a name, by boulder and day."""

from collections.abc import Sequence

from coach.journal.earlier_tries import known_boulders, people_in, tries_of
from coach.journal.store import Journal
from coach.model.facts import Filmed, NoteMade
from coach.model.person import Person
from coach.model.tries import Boulder
from coach.record.boulder_page import BoulderDay


def boulders(
    journal: Journal, person: Person, place: str
) -> tuple[tuple[Boulder, tuple[BoulderDay, ...]], ...]:
    """Each boulder at a place that a person tried, with its days; the one tried last comes last."""
    known = {one.name: one for one in known_boulders(journal, (person,), place)}
    found: dict[str, list[BoulderDay]] = {}
    for row in journal.sessions():
        if row.place != place:
            continue
        tries = tuple(tries_of(journal, row.id, (person,)))
        facts = list(journal.facts(row.id, Filmed, NoteMade))
        mine = {one.who for _, one in people_in(journal, row.id, (person,))}
        for name in dict.fromkeys(went.boulder for went in tries):
            told = [fact for fact in facts if fact.who in mine]
            day = BoulderDay(
                row.begun[:10],
                tuple(went for went in tries if went.boulder == name),
                tuple(f.name for f in told if isinstance(f, NoteMade) and f.boulder == name),
                tuple(f.clock for f in told if isinstance(f, Filmed) and f.boulder == name),
            )
            found[name] = [*found.pop(name, []), day]
    return tuple((known.get(name, Boulder(name)), tuple(days)) for name, days in found.items())


def places_of(journal: Journal) -> Sequence[str]:
    """Places of the journal, the one that was last there first."""
    return tuple(dict.fromkeys(row.place for row in reversed(list(journal.sessions()))))
