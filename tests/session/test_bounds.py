"""No question more than twice for one cause, no other sentence more than three times.

The judge hears the sentences as they go out and counts them alone. A cause is whatever came from
outside last and was taken, together with the steps and rests that have ended; how the core counts
it asks nobody.
"""

from collections import Counter
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.model.facts import GateAnswered, Rested, StepEnded
from coach.model.messages import message
from coach.session import bounds
from coach.session.dialogue import After
from coach.session.draft import Draft
from coach.session.effects import Record, Say
from coach.session.events import (
    Answered,
    SoundEnded,
    SoundStarted,
    SpeechBegan,
    SpeechEnded,
    TimePassed,
)
from coach.session.state import Phase
from tests.session.stage import Play
from tests.session.test_liveness import begun, shaken

#: By these nothing comes from outside: time, our own sounds, and speech that was no answer.
_OF_ITSELF = (TimePassed, SoundStarted, SoundEnded, SpeechBegan, SpeechEnded)
#: With these a step, a rest or a question is over.
_ENDS = (StepEnded, Rested, GateAnswered)
#: By these on the screen an answer did nothing, so that it causes nothing.
_NOT_TAKEN = ("not-now", "not-now-standing", "not-now-early", "nothing-asked")
#: Sentences for somebody who is hurt are said once a minute for ten minutes, and before that.
_MINUTELY = 14


def too_often(play: Play) -> list[str]:
    """Listen to all that a session says from now on; what is said too often is listed."""
    found: list[str] = []
    said: Counter[str] = Counter()
    take = play.send

    def send(event: object) -> None:
        before = len(play.effects)
        take(event)  # type: ignore[arg-type]
        did = play.session.did
        refused = isinstance(event, Answered) and did is not None and did.key in _NOT_TAKEN
        if not isinstance(event, _OF_ITSELF) and not refused:
            said.clear()
        for effect in play.effects[before:]:
            if isinstance(effect, Record) and isinstance(effect.fact, _ENDS):
                said.clear()
            elif isinstance(effect, Say):
                text, key = play.language.text(effect.what), effect.what.key
                said[text] += 1
                # somebody who is hurt is asked after 10, after 30 and after 60 s
                hurt = play.session.how == "hurt"
                most = 2 if key.startswith("ask-") and not hurt else 3
                most = _MINUTELY if key.startswith("advice-") or key == "hurt-stay" else most
                if said[text] > most:
                    found.append(f"{play.now:.0f} s: {said[text]} times {text!r}")

    play.send = send  # type: ignore[method-assign]
    return found


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**9), st.integers(0, 150))
def test_nothing_is_said_too_often_for_one_cause(seed: int, events: int) -> None:
    dice = Random(seed)
    play, _ = begun(dice)
    found = too_often(play)
    shaken(play, dice, events)
    for _ in range(1500):
        if play.session.phase is Phase.OVER:
            break
        play.next()
    assert found == []


@pytest.mark.parametrize(("key", "most"), [("ask-effort", 2), ("nudge", 3), ("hurt-stay", 14)])
def test_what_would_say_it_on_and_on_is_not_heard(key: str, most: int) -> None:
    """Whoever asks for a sentence again and again: after its bound it is left out, all goes on."""
    play = Play()
    play.until(Phase.WORK)
    session, followed = play.session, 0
    said = 0
    for _ in range(most + 4):
        draft = Draft(session)
        draft.hush()
        draft.say(message(key), After.WINDOW)
        said += sum(isinstance(effect, Say) for effect in draft.effects)
        saying = draft.speech.saying
        assert saying is not None
        followed += saying.after is After.WINDOW
        session = draft.s
    assert said == most == bounds.most(message(key))
    assert followed == most + 4


def test_somebody_hurt_who_does_not_answer_is_asked_three_times() -> None:
    play = Play()
    play.until(Phase.WORK)
    play.say("hurt")
    play.run(200.0)
    assert play.said.count("Is it head, neck, back or chest?") == 3
    assert "No answer. Is someone with you?" in play.said


def test_who_is_hurt_and_says_something_else_is_asked_again() -> None:
    """Ten minutes of 'call for help', though she had told that she is short of time."""
    play = Play()
    play.until(Phase.WORK)
    play.say("hurt")
    play.run(200.0)
    play.say("how-long" if play.session.course.planned else "pause")
    said = len(play.said)
    play.run(120.0)
    assert "Is it head, neck, back or chest?" in play.said[said:]
    play.say("finish")
    play.run(10.0)
    assert not any(text.startswith("No answer") for text in play.said[said:])
