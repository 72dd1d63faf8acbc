"""Sessions of a person, all or the latest, in the order that they began."""

from datetime import timedelta

import pytest

from coach.journal import Journal
from coach.journal.codec import Recorded
from coach.journal.entries import each_entry, entries, number_of
from coach.journal.transfer import Whole, put
from coach.model.facts import Finished
from coach.model.person import Person
from coach.session.events import TimePassed
from tests.journal.made import start
from tests.record.days import MONDAY

ADA, BO = Person(1, "Ada"), Person(2, "Bo")
NAMELESS = Person(1)


@pytest.fixture
def filled(journal: Journal) -> Journal:
    """Days out of order, two at the same instant, alone and with others."""
    for n, (day, people) in enumerate(
        [
            (3, (ADA, BO)),
            (1, (NAMELESS,)),
            (2, (BO,)),
            (2, (ADA,)),
            (2, (ADA, BO)),
            (0, (ADA, Person(2))),
            (4, (Person(1, "Bo"), Person(2, "Ada"))),
        ]
    ):
        wall = (MONDAY + timedelta(days=day)).isoformat()
        facts = (Finished(60.0, 0, 60.0 * n, 5, "done"),)
        one = Recorded(1, wall, TimePassed(60.0), facts)
        put(journal, Whole(f"{9 - n}", "", start(wall, people), "done", (one,)))
    return journal


def test_the_latest_are_the_end_of_all(filled: Journal) -> None:
    every = entries(filled, ADA)

    assert [entry.uid for entry in every] == ["4", "8", "5", "6", "9", "3"]
    assert [entry.who for entry in every] == [1, 1, 1, 1, 1, 2]
    assert [entry.with_others for entry in every] == [1, 0, 1, 0, 1, 1]
    for latest in range(8):
        expected = every[len(every) - min(latest, 6) :]
        assert entries(filled, ADA, latest) == expected
        # and where nothing longer was read before
        filled._made.clear()
        assert entries(filled, ADA, latest) == expected


@pytest.mark.parametrize(
    ("person", "number"), [(ADA, 6), (BO, 4), (NAMELESS, 6), (Person(2), 1), (Person(1, "Cy"), 0)]
)
def test_one_after_the_other_they_are_the_same_and_as_many(
    filled: Journal, person: Person, number: int
) -> None:
    every = entries(filled, person)

    assert list(each_entry(filled, person)) == every
    assert len(every) == number_of(filled, person) == number


def test_a_digest_that_is_missing_or_old_is_made_from_the_facts(filled: Journal) -> None:
    every = entries(filled, ADA)
    filled.db.execute("DELETE FROM digest WHERE session % 2")
    filled.db.execute("UPDATE digest SET version = 0, body = '{}' WHERE session = 4")

    assert entries(filled, ADA) == every
    assert entries(filled, ADA, 3) == every[-3:]
