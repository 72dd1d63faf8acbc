"""The first batch of a tier tells which circuits of the place it means."""

from dataclasses import replace

import pytest

from coach.files.library import load_library
from coach.model.person import AgeBand, Person
from coach.model.plan import StepKind
from coach.session.state import Phase
from tests.session.stage import Play

TARNWICK = load_library("full", "tarnwick", ())


def said(people: tuple[Person, ...]) -> list[str]:
    """What was told of circuits up to the hard tries."""
    play = Play(minutes=None)
    options = replace(play.session.options, people=people)
    play.session = replace(play.session, library=TARNWICK, options=options)
    play.until(Phase.CHECK_IN, question="minutes")
    play.say("minutes:90")
    play.until(Phase.WORK, StepKind.TRY)
    return [text for text in play.said if "Here that is" in text]


def test_each_tier_is_told_once_from_what_the_climber_told() -> None:
    person = Person(1, age=AgeBand.ADULT, comfortable="sandstone", best="6C")

    assert said((person,)) == ["Here that is pumice or sandstone.", "Here that is marble."]


@pytest.mark.parametrize(("people", "told"), [(1, ""), (2, "sandstone"), (1, "elsewhere")])
def test_nothing_is_told_where_nothing_is_known_or_several_climb(people: int, told: str) -> None:
    persons = tuple(Person(n, age=AgeBand.ADULT, comfortable=told) for n in range(1, people + 1))

    assert said(persons) == []
