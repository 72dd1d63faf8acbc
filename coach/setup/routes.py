"""The route to an aim of one person, from what the journal holds of boulders, circuits, body."""

from collections.abc import Sequence
from datetime import date

from coach.files.paths import paths
from coach.files.settings import load_settings
from coach.journal import Journal, SessionId
from coach.journal.body_statements import stands_for
from coach.journal.earlier_tries import earlier_tries, known_boulders
from coach.journal.persons import person_of
from coach.model.aim import Aim
from coach.model.body import Feel
from coach.model.person import AgeBand, Person
from coach.record.entry import Entry
from coach.record.route import Looked, Route, route
from coach.record.weeks import BUILD


def build_weeks() -> int | None:
    """Weeks that are built up before an easier one; None for never by counting."""
    chosen = load_settings(paths().settings).build_weeks
    return BUILD if chosen is None else chosen or None


def looked_of(journal: Journal, person: Person, entries: Sequence[Entry], today: date) -> Looked:
    """All that a route is made from."""
    last = entries[-1] if entries else None
    place = last.place if last else ""
    stands = stands_for(journal, person_of(journal, person))
    age = person.age
    if age is AgeBand.UNKNOWN:
        age = load_settings(paths().settings).age or age
    circuits = journal.circuits_of(SessionId(last.id)) if last else ()
    return Looked(
        entries,
        today,
        tuple(circuit.name for circuit in circuits),
        {one.name: one for one in known_boulders(journal, (person,), place)},
        earlier_tries(journal, (person,), place),
        age,
        tuple(one.part for one in stands if one.part and (one.sign or one.feel is Feel.HURTING)),
        build_weeks(),
    )


def route_of(
    journal: Journal, person: Person, entries: Sequence[Entry], today: date, aim: Aim
) -> Route:
    """The route to one aim."""
    return route(aim, looked_of(journal, person, entries, today))
