"""Looks at speech that goes on: what is said in a window, while others talk, is looked at alone.

The recogniser knows noises, the detector goes by level: nothing but the listener is tried.
"""

import numpy as np
import pytest

from coach.audio.sound_device import RATE
from coach.hearing.listener import Listener
from coach.session.effects import OpenWindow
from coach.session.events import Answered
from tests.audio.long_session import Knows, Loud, noise_of
from tests.hearing.voices import Floats

BLOCK = RATE // 50
PHRASES = {"done": ("i am done",), "skip": ("skip this",), "stop": ("stop now",)}
#: When others begin to talk, when the window opens, and when they end.
TALK, OPENS, ENDS = 2.0, 4.5, 8.5


def hall(said: float, phrase: str) -> Floats:
    """Talk that never pauses, and at one second in it a phrase."""
    dice = np.random.default_rng(3)
    sound = (0.001 * dice.standard_normal(round((ENDS + 1.5) * RATE))).astype(np.float32)
    talk = np.concatenate([noise_of(f"others talk {n}") for n in range(40)])
    begin, end = round(TALK * RATE), round(ENDS * RATE)
    sound[begin:end] = talk[: end - begin]
    word = noise_of(phrase)
    at = round(said * RATE)
    sound[at : at + len(word)] = word
    return sound


def heard(said: float, phrase: str) -> list[str]:
    """The answers in it."""
    listener = Listener(Knows(), PHRASES, detector=Loud(), sparing=False)
    sound, answers = hall(said, phrase), []
    for first in range(0, len(sound), BLOCK):
        if first == round(OPENS * 50) * BLOCK:
            listener.open(OpenWindow(1, ("done", "skip"), OPENS))
        events = listener.feed(sound[first : first + BLOCK], first)
        answers += [one for one in events if isinstance(one, Answered)]
    assert all(one.window in (1, None) for one in answers)
    assert all(one.onset >= OPENS for one in answers if one.window == 1)
    return [one.answer.key for one in answers]


@pytest.mark.parametrize("after", [0.05, 0.15, 0.3, 0.45])
def test_an_answer_right_after_the_window_opened_is_heard_through_talk(after: float) -> None:
    assert heard(OPENS + after, "skip this") == ["skip"]


@pytest.mark.parametrize("before", [1.4, 1.1, 0.9])
def test_what_was_said_before_it_is_no_answer_in_it(before: float) -> None:
    assert heard(OPENS - before, "skip this") == []
