"""The proposal of `coach suggest` for a day, and the options of a session that is just that."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from functools import partial

from coach.errors import UsageError
from coach.files.movements import load_movements
from coach.files.paths import Paths
from coach.files.places import list_places
from coach.files.routines import list_routines
from coach.files.words import load_language
from coach.journal import Journal, SessionId
from coach.journal.earlier_tries import tries_of
from coach.journal.entries import entries
from coach.journal.kept_aims import all_aims
from coach.journal.persons import person_of
from coach.journal.wishes import answer_of, trials_of
from coach.model.facts import Filmed
from coach.model.movement import Family
from coach.model.person import Person
from coach.planning.day_tags import MOST_TRIES
from coach.record.boulder_page import plan
from coach.record.entry import Entry
from coach.record.people import Someone
from coach.record.proposal import Beside, propose
from coach.record.suggest import Grounds, Suggestion
from coach.setup.choices import Choices
from coach.setup.routes import build_weeks
from coach.setup.standing_at_start import of_someone

#: Sessions that a proposal is made from, the latest: ten years of three a week (our choice).
LOOKED_BACK = 1_500
#: Days on a boulder that are looked back on for its lesson (our choice).
DAYS = 8


def known_of(
    journal: Journal, person: Someone, sessions: Sequence[Entry], today: date, paths: Paths
) -> Grounds:
    """What a proposal is made from: a person's record up to a day."""
    movements = load_movements(paths.user_dirs)
    standing = of_someone(journal, person, today)
    return Grounds(
        sessions,
        today,
        standing.stands,
        standing.eased,
        all_aims(journal),
        tuple(name for name, one in movements.items() if one.family is Family.FOCUS),
        _films(journal, sessions),
        build_weeks(),
    )


def proposal(journal: Journal, person: Someone, known: Grounds, paths: Paths) -> Suggestion:
    """The proposal, with the lesson of its boulder and what was answered that day."""
    return propose(
        known,
        Beside(
            answer_of(journal, person, known.today),
            partial(_lesson, journal, person, known.entries, paths),
            frozenset(list_routines(paths.user_dirs)),
            frozenset(list_places(paths.user_dirs)),
            trials_of(journal, person),
            known.entries[-1].begun if known.entries else None,
        ),
    )


def chosen(choices: Choices, paths: Paths, today: date) -> Choices:
    """The choices with the proposal of today for everything that was not typed.

    UsageError where there is no session yet to propose anything from.
    """
    if not paths.journal.exists():
        raise UsageError("nothing can be suggested yet", "'coach start' begins the first session.")
    with Journal.open(paths.journal, write=False) as journal:
        person = person_of(journal, Person(1, choices.called or ""))
        known = known_of(journal, person, entries(journal, person, LOOKED_BACK), today, paths)
        made = proposal(journal, person, known, paths)
    return as_choices(choices, made, today)


def as_choices(choices: Choices, made: Suggestion, today: date) -> Choices:
    """The choices with a proposal for what was not typed; what it leaves out is added."""
    most = made.tries(today)
    told = choices.today
    if most is not None:
        told = ", ".join(filter(None, (told, f"tries: {min(most, MOST_TRIES)}")))
    minutes = made.minutes if choices.until is None else None
    boulder = (made.boulder,) if made.boulder and most != 0 else ()
    return replace(
        choices,
        routine=choices.routine or made.routine or None,
        minutes=choices.minutes or minutes,
        place=choices.place or made.place or None,
        boulder=choices.boulder or boulder,
        today=told or None,
    )


def _films(journal: Journal, sessions: Sequence[Entry]) -> tuple[Filmed, ...]:
    """The person's filmed tries of the last session."""
    return tuple(
        fact
        for entry in sessions[-1:]
        for fact in journal.facts(SessionId(entry.id), Filmed)
        if isinstance(fact, Filmed) and fact.who == entry.who
    )


def _lesson(
    journal: Journal, person: Someone, sessions: Sequence[Entry], paths: Paths, boulder: str
) -> str:
    """What the next day on a boulder begins with, from the last days on it."""
    days = [SessionId(entry.id) for entry in sessions if boulder in entry.digest.tries]
    me = (Person(1, person.name),)
    told = (went for day in days[-DAYS:] for went in tries_of(journal, day, me))
    tries = [one for one in told if one.boulder == boulder]

    def called(name: str) -> str:
        language = load_language("en", load_movements(paths.user_dirs), paths.user_dirs)
        return language.word(name)

    return plan(tries, called) if tries else ""
