"""What was tried on a boulder is known on another day."""

from datetime import UTC, datetime

from coach.journal import Journal
from coach.journal.tries import earlier_tries, known_boulders
from coach.model.facts import BoulderNamed, CauseTold, Fact, Tried, WentForIt
from coach.model.person import Person
from coach.model.tries import Boulder, Went
from coach.session.events import Started
from tests.journal.made import start

PLACE = "Old Sluice"
ADA, MIRA = Person(1, "Ada"), Person(2, "Mira")


def kept(journal: Journal, *facts: Fact, people: tuple[Person, ...], place: str = PLACE) -> None:
    """One more day, after those that there are."""
    day = 1 + len(list(journal.sessions()))
    session = journal.begin(start(f"2026-03-{day:02}T18:00:00+01:00", people=people, place=place))
    journal.commit(session, Started(0.0), facts, datetime(2026, 3, 3, tzinfo=UTC))
    journal.close_session(session, "done")


def test_tries_on_a_named_boulder_come_back_with_what_was_told_of_them(journal: Journal) -> None:
    kept(
        journal,
        BoulderNamed(0.0, 2, "flint 4"),
        Tried(1.0, 2, "flint 4", 1, "middle", 20.0, 4),
        CauseTold(2.0, 2, "flint 4", "grip", "move-alone"),
        Tried(3.0, 2, "flint 4", 2, "below", 20.0),
        WentForIt(4.0, 2, "flint 4", True),
        Tried(5.0, 2, "boulder 1", 3, "topped", 9.0),
        CauseTold(6.0, 2, "boulder 1", "skin", "longer-rest"),
        Tried(7.0, 1, "flint 4", 1, "topped", 9.0),
        people=(ADA, MIRA),
    )
    assert earlier_tries(journal, (Person(1, "mira"),), PLACE) == (
        Went(1, "flint 4", "middle", 4, cause="grip", offer="move-alone", today=False),
        Went(1, "flint 4", "below", gone=True, today=False),
    )


def test_style_and_moves_come_back_as_they_were_last_told(journal: Journal) -> None:
    kept(
        journal,
        BoulderNamed(0.0, 1, "number 4"),
        BoulderNamed(1.0, 1, "number 4", "slab"),
        BoulderNamed(2.0, 2, "flint 2", "leap", 3),
        people=(ADA, MIRA),
    )
    kept(journal, BoulderNamed(3.0, 1, "number 4", "slab", 7), people=(ADA,))
    kept(journal, BoulderNamed(3.0, 1, "number 4", "wall", 9), people=(ADA,), place="elsewhere")
    assert known_boulders(journal, (ADA,), PLACE) == (Boulder("number 4", "slab", 7),)
    assert known_boulders(journal, (MIRA,), PLACE) == (Boulder("flint 2", "leap", 3),)


def test_they_belong_to_their_place_and_person(journal: Journal) -> None:
    facts = (BoulderNamed(0.0, 1, "flint 4"), Tried(1.0, 1, "flint 4", 1, "middle", 20.0))
    kept(journal, *facts, people=(ADA,))
    assert earlier_tries(journal, (ADA,), "elsewhere") == ()
    assert earlier_tries(journal, (MIRA,), PLACE) == ()
    assert len(earlier_tries(journal, (Person(1),), PLACE)) == 1, "alone, ADA is the own person"
    kept(journal, *facts, people=(Person(1),))
    assert len(earlier_tries(journal, (Person(1),), PLACE)) == 2
    assert earlier_tries(journal, (Person(2),), PLACE) == ()
