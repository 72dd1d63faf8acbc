"""What was tried on a boulder is known on another day."""

from datetime import UTC, datetime

from coach.files.movements import load_movements
from coach.files.words import load_language
from coach.journal import Journal
from coach.journal.earlier_tries import (
    earlier_tries,
    known_boulders,
    own_rests,
    rests_before_good,
)
from coach.journal.named_boulders import boulders
from coach.model.facts import (
    BoulderNamed,
    CauseTold,
    EffortFelt,
    Fact,
    Filmed,
    NoteMade,
    RestChosen,
    StepEnded,
    Tried,
    Varied,
    WentForIt,
)
from coach.model.person import Person
from coach.model.plan import StepKind
from coach.model.tries import Boulder, Went
from coach.record.boulder_page import BoulderDay, overview, page
from coach.session.events import Source, Started
from coach.session.state import Phase
from tests.journal.made import start
from tests.session.stage import Play

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
        Went(1, "flint 4", "middle", 4, cause="grip", today=False),
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
    assert known_boulders(journal, (MIRA,), PLACE) == (Boulder("flint 2", "", 3, "leap"),)


def test_they_belong_to_their_place_and_person(journal: Journal) -> None:
    facts = (BoulderNamed(0.0, 1, "flint 4"), Tried(1.0, 1, "flint 4", 1, "middle", 20.0))
    kept(journal, *facts, people=(ADA,))
    assert earlier_tries(journal, (ADA,), "elsewhere") == ()
    assert earlier_tries(journal, (MIRA,), PLACE) == ()
    assert len(earlier_tries(journal, (Person(1),), PLACE)) == 1, "alone, ADA is the own person"
    kept(journal, *facts, people=(Person(1),))
    assert len(earlier_tries(journal, (Person(1),), PLACE)) == 2
    assert earlier_tries(journal, (Person(2),), PLACE) == ()


def test_a_change_and_what_a_boulder_is_about_come_back(journal: Journal) -> None:
    kept(
        journal,
        BoulderNamed(0.0, 1, "flint 4", "overhang", 9, "leap", 5, "left"),
        Tried(1.0, 1, "flint 4", 1, "middle", 20.0, 5),
        CauseTold(2.0, 1, "flint 4", "timing"),
        EffortFelt(2.5, 1, "flint 4", "harder"),
        Tried(3.0, 1, "flint 4", 2, "top", 20.0, 7),
        Varied(3.0, 1, "flint 4", 2, "one-swing", "better"),
        people=(ADA,),
    )
    assert known_boulders(journal, (ADA,), PLACE) == (
        Boulder("flint 4", "overhang", 9, "leap", 5, "left"),
    )
    assert earlier_tries(journal, (ADA,), PLACE) == (
        Went(1, "flint 4", "middle", 5, cause="timing", felt="harder", today=False),
        Went(1, "flint 4", "top", 7, variation="one-swing", today=False),
    )
    assert last_choice(journal) == ()


def last_choice(journal: Journal) -> tuple[tuple[int, float], ...]:
    return own_rests(journal, (ADA,))


def test_a_rest_that_was_told_is_remembered_for_the_person(journal: Journal) -> None:
    kept(journal, RestChosen(0.0, 1, 240.0), people=(ADA,))
    kept(journal, RestChosen(0.0, 2, 300.0), people=(MIRA, ADA), place="elsewhere")
    assert last_choice(journal) == ((1, 240.0),)
    assert own_rests(journal, (MIRA, ADA)) == ((2, 300.0), (1, 240.0))


def day(*moves: int, people: int = 1, early: int = 0) -> list[Fact]:
    """A day of the real core, with five minutes of rest before each try but one that comes early.

    Everybody falls at these moves in turn; the try of that number comes after two minutes of rest.
    """
    numbers = range(1, people + 1)
    play = Play(
        people=people,
        routine="rests",
        minutes=180.0,
        boulders=tuple((who, Boulder(f"flint {who}", moves=9)) for who in numbers),
        rests=tuple((who, 300.0) for who in numbers),
    )
    for number, move in enumerate(moves, 1):
        for _ in numbers:
            if number == early:
                play.run(125.0)
                play.say("ready", source=Source.KEY)
            play.until(Phase.WORK, StepKind.TRY)
            play.run(15.0)
            play.say(f"move:{move}", who=play.session.course.running.step.turn, source=Source.KEY)
            if play.session.phase is Phase.WORK:
                play.say("down", source=Source.KEY)
    return play.facts


def test_rests_before_good_tries_teach_after_three_sessions(journal: Journal) -> None:
    # five minutes before tries that went as far or further, two before those that fell short
    facts = day(4, 5, 3, 3, early=3)
    assert [round(rest, -1) for rest in rests_before_good(facts, 1)] == [300.0]
    for _ in range(2):
        kept(journal, *facts, people=(ADA,))
    assert last_choice(journal) == ()
    kept(journal, *facts, people=(ADA,))
    assert last_choice(journal) == ((1, 300.0),)


def test_rests_of_several_people_teach_each_of_them(journal: Journal) -> None:
    facts = day(4, 5, people=2)
    for _ in range(3):
        kept(journal, *facts, people=(ADA, MIRA))
    assert own_rests(journal, (ADA, MIRA)) == ((1, 300.0), (2, 300.0))


def test_a_rest_with_a_drill_in_it_teaches_nothing() -> None:
    play = Play(
        routine="rests",
        minutes=120.0,
        boulders=((1, Boulder("flint 4", "overhang", 9, "leap", 5, "left")),),
    )
    for _ in range(4):
        play.until(Phase.WORK, StepKind.TRY)
        play.run(15.0)
        play.say("move:5")
    drilled = [f for f in play.facts if isinstance(f, StepEnded) and ".again.drill-" in f.step]
    assert drilled
    # the second try and the fourth: before the third the drill came once more
    assert [round(rest, -1) for rest in rests_before_good(play.facts, 1)] == [200.0, 200.0]


class TestPage:
    def test_a_boulder_over_two_days(self, journal: Journal) -> None:
        about = BoulderNamed(0.0, 1, "flint 4", "overhang", 9, "leap", 5)
        kept(
            journal,
            about,
            Tried(1.0, 1, "flint 4", 1, "middle", 20.0, 5),
            CauseTold(2.0, 1, "flint 4", "foot"),
            NoteMade(2.0, 1, "flint 4", "20260301-1", 4.0),
            Tried(1.0, 1, "slate 2", 1, "topped", 20.0),
            people=(ADA,),
        )
        kept(
            journal,
            about,
            Tried(3.0, 1, "flint 4", 1, "top", 20.0, 7),
            Varied(3.0, 1, "flint 4", 1, "one-swing", "better"),
            Filmed(3.0, 1, "flint 4", 1, "18:42"),
            people=(ADA,),
        )
        [(boulder, days)] = boulders(journal, ADA, PLACE)
        called = load_language("en", load_movements()).word
        assert list(page(boulder, days, called)) == [
            "flint 4: overhang, a leap at move 5, 9 moves.",
            "2 tries on 2 days; highest: move 7 of 9.",
            "",
            "2026-03-01",
            "  1. move 5 of 9; a foot slipped",
            "  notes: 20260301-1",
            "",
            "2026-03-02",
            "  2. move 7 of 9; one swing: better",
            "  filmed: 18:42",
            "",
            "Next: one swing: it helped before.",
        ]
        assert list(overview([(boulder, days)])) == [
            ("flint 4", "2 tries", "2 days", "move 7 of 9", "2026-03-02")
        ]

    def test_what_was_not_told_is_not_made_up(self) -> None:
        went = Went(1, "flint 4", "untold")
        days = (BoulderDay("2026-03-01", (went,)),)
        assert list(page(Boulder("flint 4"), days, str)) == [
            "flint 4.",
            "1 try on 1 day.",
            "",
            "2026-03-01",
            "  1. not told",
            "",
            "Next: say why a try ended, and one change that fits is offered.",
        ]
