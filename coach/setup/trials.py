"""What a trial that runs makes of a session: a rest, hard tries at most, a focus."""

from collections.abc import Iterator, Sequence

from coach.journal import Journal
from coach.journal.entries import entries
from coach.journal.persons import person_of
from coach.journal.wishes import trials_of
from coach.model.person import Person
from coach.planning.day_tags import TRIES as AT_MOST
from coach.record.trial import REST, TRIES, Trial, running, since

#: Who, and the trial of theirs that runs.
Running = tuple[int, Trial]


def tried(journal: Journal, people: Sequence[Person]) -> Iterator[Running]:
    """The trial of each person that runs."""
    for person in people:
        trials = trials_of(journal, person_of(journal, person, len(people)))
        if trials:
            number = len(since(trials[-1], entries(journal, person)))
            one = running(trials, number)
            if one is not None:
                yield person.who, one


def rests(trials: Sequence[Running]) -> Iterator[tuple[int, float]]:
    """The rest between hard tries that a trial asks for: who, seconds."""
    return ((who, float(one.value)) for who, one in trials if one.what == REST)


def wanted(trials: Sequence[Running]) -> Iterator[tuple[int, str]]:
    """The hard tries at most that a trial asks for, as tags of the day: who, tag."""
    return ((who, f"{AT_MOST}{one.value}") for who, one in trials if one.what == TRIES)
