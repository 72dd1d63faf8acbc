"""A name is measured against itself in silence, and against the other names."""

from collections.abc import Sequence

import numpy as np

from coach.hearing.called_names import APART, RAREST, SAID, least, named
from coach.hearing.recogniser_port import Scored
from coach.hearing.scorer import WhisperScorer
from coach.hearing.vocabulary import Meant
from coach.model.answers import ANYTIME
from tests.hearing.voices import Floats, say

SILENT = {"odalys": -29.0, "leopold": -18.0}


def test_a_name_that_is_likelier_than_in_silence_was_said() -> None:
    (found,) = named({"odalys": RAREST + SAID, "leopold": -18.0}, SILENT)
    assert found.phrase == "odalys"


def test_a_rare_name_is_in_any_talk_and_needs_more() -> None:
    assert not named({"odalys": SILENT["odalys"] + SAID, "leopold": -30.0}, SILENT)


def test_two_names_that_are_near_each_other_are_none() -> None:
    near = {"odalys": RAREST + SAID + 3.0, "leopold": -18.0 + SAID + 3.5 - APART}
    assert not named(near, SILENT)
    assert named({**near, "leopold": -18.0 + SAID + 2.9 - APART}, SILENT)


def test_what_is_given_up_as_too_unlikely_could_change_nothing() -> None:
    kept = {"odalys": RAREST + SAID, "leopold": least(SILENT["leopold"]) - 0.01}
    assert named(kept, SILENT) == named({"odalys": kept["odalys"]}, SILENT)


NAMES = ("runa", "odalys", "bertil", "tamsin", "leopold", "corwin")
PHRASES = (*NAMES, "number one", "number two", "i got hurt", "fingers sore")


def best(scorer: WhisperScorer, sound: Floats, names: Sequence[str]) -> Scored | None:
    import soxr

    at = soxr.resample(np.concatenate([np.zeros(9600, np.float32), sound]), 48_000, 16_000)
    return next(iter(scorer.score(at[:48_000], PHRASES, (), names)), None)


def test_a_name_is_heard_where_names_are_asked_for(scorer: WhisperScorer) -> None:
    sound = say("odalys", "flite", "slt")
    found, without = best(scorer, sound, NAMES), best(scorer, sound, ())
    assert found is not None
    assert found.phrase == "odalys"
    assert found.score >= -4.0  # what the bands ask about
    assert without is None or without.score < -4.0


def test_talk_and_other_answers_are_no_name(scorer: WhisperScorer) -> None:
    for text in ("hang on a second", "i got hurt", "number two"):
        found = best(scorer, say(text, "flite", "slt"), NAMES)
        assert found is None or found.phrase not in NAMES or found.score < -4.0


def test_only_an_answer_to_who_it_is_is_a_name() -> None:
    from coach.hearing.listener import _is_person

    assert _is_person(Meant("person:3", 1, 1))
    assert not _is_person(Meant("person:3", addressed=True))
    assert not any(_is_person(Meant(key, 1, 1)) for key in ANYTIME)
