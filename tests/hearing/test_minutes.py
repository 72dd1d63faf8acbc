"""Minutes by number, heard in the window of their question and in a step.

Above a hundred minutes two synthetic voices in a quiet room were taken wrongly in 10 answers of 61;
the plan's own sentence tells the minutes that were taken. What is judged here is what is usual.
"""

from collections.abc import Mapping, Sequence

import pytest

from coach.files.library import load_library
from coach.files.words import load_language
from coach.hearing.listener import Listener
from coach.hearing.scorer import WhisperScorer
from coach.model.answers import SHOWN
from coach.model.questions import QUESTIONS
from coach.session.effects import OpenWindow
from tests.hearing.test_listener import STEP, Run, keys
from tests.hearing.voices import say, track

ASKED = QUESTIONS["minutes"]


@pytest.fixture(scope="module")
def phrases() -> Mapping[str, Sequence[str]]:
    return load_language("en", load_library("full", None, ()).movements).heard


def heard(
    scorer: WhisperScorer, phrases: Mapping[str, Sequence[str]], window: OpenWindow, key: str
) -> list[str]:
    run = Run(scorer)
    run.listener = Listener(scorer, phrases)
    run.at(window.at, lambda: run.listener.open(window))
    return keys(run.hear(track(4.5, (0.8, say(phrases[key][0], "flite", "slt")))))


@pytest.mark.parametrize("minutes", [15, 25, 30, 45, 50, 60, 75, 90, 100, 120])
def test_the_usual_minutes_are_heard(
    scorer: WhisperScorer, phrases: Mapping[str, Sequence[str]], minutes: int
) -> None:
    window = OpenWindow(1, ASKED.answers, 0.3, 0, ASKED.also)
    assert heard(scorer, phrases, window, f"minutes:{minutes}") == [f"minutes:{minutes}"]


@pytest.mark.parametrize("key", ["longer:10", "fewer:10", "short-of-time:20"])
def test_a_change_by_number_is_heard_in_a_step(
    scorer: WhisperScorer, phrases: Mapping[str, Sequence[str]], key: str
) -> None:
    window = OpenWindow(1, STEP, 0.3, 0, tuple(one for one in SHOWN if one not in STEP))
    assert heard(scorer, phrases, window, key) == [key]


#: Every time of day that counts at six in the evening: from ten past six to nine.
AHEAD = tuple(f"until:{dial}" for dial in range(6 * 60 + 10, 9 * 60 + 5, 5))


@pytest.mark.parametrize("dial", [390, 430, 465, 500])
def test_a_time_of_day_is_heard(
    scorer: WhisperScorer, phrases: Mapping[str, Sequence[str]], dial: int
) -> None:
    window = OpenWindow(1, ASKED.answers, 0.3, 0, (*ASKED.also, *AHEAD))
    assert heard(scorer, phrases, window, f"until:{dial}") == [f"until:{dial}"]
