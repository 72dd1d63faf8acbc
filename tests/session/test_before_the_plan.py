"""While the check-in still asks there is no plan: an answer is taken or told off, by key too."""

import pytest

from coach.files.library import load_library
from coach.files.words import load_language
from coach.model.answers import parse
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.session.events import Answered, Source, Started
from coach.session.step import new_session, step

LIBRARY = load_library("full", None, ())
ANSWERS = sorted(load_language("en", LIBRARY.movements).answers)


@pytest.mark.parametrize("key", ANSWERS)
@pytest.mark.parametrize("minutes", [None, 90.0])
def test_any_key_before_the_plan_does_no_harm(key: str, minutes: float | None) -> None:
    options = Options((Person(1, age=AgeBand.ADULT),), minutes)
    session, _ = step(new_session(LIBRARY, options), Started(0.0))

    after, effects = step(session, Answered(1.0, parse(key), onset=1.0, source=Source.KEY))

    assert after.listening.heard is not None
    assert effects or after.listening.did is not None
