"""`coach rest`, and who climbs together."""

from pathlib import Path

import pytest

from coach.errors import ExitCode, UsageError
from coach.journal import Journal
from coach.model.facts import Finished
from coach.model.person import Person
from coach.model.tries import Boulder
from coach.setup.typed_boulders import boulders_of
from tests.cli.conftest import Coach
from tests.cli.test_setup import settled
from tests.cli.test_start import Session, journal_of

PLAIN = ["--no-sound", "--plain"]


def test_a_session_of_rests_runs_and_is_kept(home: Path) -> None:
    session = Session(["rest", *PLAIN, "--hurting", "no", "--with", "Mira"], False, ())
    try:
        session.wait_for("Person 1: Landing clear")
        session.type("q\n")
        session.wait_for("once more")
        session.type("q\n")
        session.wait_for("No hard tries, no tops")
        session.wait_for(r"\[5\]")
        session.type("3\n")
        session.wait_for(r"(?s)Mira: How hard.*\[5\]")
        session.type("2\n")
        session.rest()
        assert session.process.returncode == ExitCode.OK
    finally:
        session.close()
    with Journal.open(journal_of(home), write=False) as journal:
        (entry,) = journal.sessions()
        finished = list(journal.facts(entry.id, Finished))
        assert [person.name for person in journal.people_of(entry.id)] == ["", "Mira"]
    efforts = {one.who: one.effort for one in finished if isinstance(one, Finished)}
    assert (efforts[1], efforts[2]) == (5, 3)


@pytest.mark.usefixtures("home")
class TestWho:
    def test_those_who_come_along_are_counted_and_named(self) -> None:
        people = settled(companions=("Mira",), called="Ada").options.people

        assert [(person.who, person.name) for person in people] == [(1, "Ada"), (2, "Mira")]

    def test_two_of_one_name_are_refused(self) -> None:
        with pytest.raises(UsageError, match="two people are called 'mira'"):
            settled(called="mira", companions=("Mira",))

    def test_an_empty_name_is_refused(self) -> None:
        with pytest.raises(UsageError, match="a name is empty"):
            settled(companions=(" ",))

    def test_more_than_fit_are_refused(self) -> None:
        with pytest.raises(UsageError, match="4 people, you included, but at most 3"):
            settled(companions=("A", "B", "C"))
        with pytest.raises(UsageError, match="at most 1"):
            settled(companions=("A",), people=1)

    def test_people_without_a_name_may_come_beside_them(self) -> None:
        people = settled(companions=("Mira",), people=3).options.people

        assert [person.name for person in people] == ["", "Mira", ""]

    def test_the_words_call_them_so(self) -> None:
        language = settled(companions=("Mira",)).language

        assert language.names == {2: "Mira"}


@pytest.mark.usefixtures("home")
def test_the_command_line_refuses_two_of_one_name(coach: Coach) -> None:
    ran = coach("rest", "--with", "Mira", "--with", "mira", *PLAIN)

    assert ran.code == ExitCode.USAGE
    assert "two people are called 'Mira'" in ran.err


@pytest.mark.usefixtures("home")
class TestBoulders:
    def test_a_boulder_is_told_with_its_style_and_moves(self) -> None:
        options = settled(boulder=("Flint 4, overhang, 9 moves",), companions=("Mira",)).options

        flint = Boulder("flint 4", "overhang", 9)
        assert options.boulders == ((1, flint), (2, flint))

    def test_each_person_may_have_their_own(self) -> None:
        options = settled(boulder=("12, 7", "slate"), people=3).options

        assert options.boulders == ((1, Boulder("number 12", "", 7)), (2, Boulder("slate")))

    @pytest.mark.parametrize(
        ("text", "what"),
        [
            ("flint, slabby", "'slabby' is neither a style"),
            ("flint, 40 moves", "'40 moves' is neither"),
            ("flint, 0", "'0' is neither"),
            (" , slab", "names none"),
            ("boulder 1", "names none"),
        ],
    )
    def test_what_is_none_is_refused(self, text: str, what: str) -> None:
        with pytest.raises(UsageError, match=what):
            settled(boulder=(text,))

    def test_more_boulders_than_people_are_refused(self) -> None:
        with pytest.raises(UsageError, match="2 boulders for 1 people"):
            settled(boulder=("flint", "slate"))


class TestWhatTheBoulderIsAbout:
    @pytest.mark.parametrize(
        ("text", "told"),
        [
            ("flint 4, leap", Boulder("flint 4", about="leap")),
            ("flint 4, roof, leap at 5", Boulder("flint 4", "roof", about="leap", key_at=5)),
            ("flint 4, move 5, 9 moves", Boulder("flint 4", moves=9, key_at=5)),
            ("4, small edges, left hand", Boulder("number 4", about="small-edges", hand="left")),
            ("slate 2, heel hook", Boulder("slate 2", about="hooks")),
            (
                "slate 2, Slopers, arete, right",
                Boulder("slate 2", "arete", 0, "sloping-holds", 0, "right"),
            ),
        ],
    )
    def test_it_is_told_in_one_text(self, text: str, told: Boulder) -> None:
        assert boulders_of([text], [Person(1)]) == ((1, told),)

    @pytest.mark.parametrize(
        ("text", "wrong"),
        [
            ("flint 4, lepa", "'lepa' is neither"),
            ("flint 4, leap at 40", "'leap at 40' is neither"),
            ("flint 4, move 9, 5 moves", "move 9 of 5"),
        ],
    )
    def test_a_mistake_is_told(self, text: str, wrong: str) -> None:
        with pytest.raises(UsageError, match=wrong):
            boulders_of([text], [Person(1)])
