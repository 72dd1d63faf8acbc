"""The word that calls the coach: who has one, and which will do."""

import pytest

from coach.errors import UsageError
from coach.files.paths import paths
from coach.model.person import Person
from coach.setup.call_word import call_word
from coach.setup.settling import remember
from tests.cli.test_setup import settled
from tests.session.stage import LANGUAGE

ONE = (Person(1),)
TWO = (Person(1), Person(2, name="Marlen"))

pytestmark = pytest.mark.usefixtures("home")


def test_told_nothing_two_have_the_word_of_the_language_and_one_has_none() -> None:
    assert call_word(None, ONE, LANGUAGE) == ""
    assert call_word(None, TWO, LANGUAGE) == LANGUAGE.words["call"] == "coach"


@pytest.mark.parametrize(
    ("word", "kept"), [("Trainer", "trainer"), ("hey you", "hey you"), ("off", "")]
)
def test_who_chooses_gets_it_alone_or_not(word: str, kept: str) -> None:
    assert call_word(word, ONE, LANGUAGE) == call_word(word, TWO, LANGUAGE) == kept


@pytest.mark.parametrize(
    ("word", "why"),
    [
        ("yo", "too short"),
        ("r2d2", "not a word or two"),
        ("one of many words", "not a word or two"),
        ("", "not a word or two"),
        ("pause", "sounds like the answer 'take a pause'"),
        ("finished", "sounds like the answer 'finish'"),
        ("marlene", "sounds like the name 'Marlen'"),
    ],
)
def test_a_word_that_could_be_something_else_is_told(word: str, why: str) -> None:
    with pytest.raises(UsageError, match=why):
        call_word(word, TWO, LANGUAGE)


def test_the_choice_is_remembered() -> None:
    assert settled().address == ""
    assert settled(people=2).address == "coach"
    setup = settled(call="trainer")
    assert setup.address == "trainer"
    remember(paths(), setup.settings)
    assert settled().address == settled(people=2).address == "trainer"
    remember(paths(), settled(call="off").settings)
    assert settled(people=2).address == ""
