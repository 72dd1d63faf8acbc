"""With no event but time every session ends: from wherever it has come to, within a bound.

The judge counts seconds and events alone; what is awaited it asks nobody.
"""

from random import Random

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from coach.model.answers import ANYTIME, parse
from coach.model.body import Feel, Part
from coach.model.person import AgeBand
from coach.session.events import Answered, ClockJumped, DeviceLost, Reopened, Source, TimePassed
from coach.session.state import Phase
from tests.session.stage import LANGUAGE, Play

KEYS = sorted(LANGUAGE.answers)
#: Minutes that a session may take beyond its own: 10, and the last words; and standing still.
OVER, STANDING = 13.0, 31.0
#: Events of silence from any state to the end: more means that time does not go on.
MOST = 3000


def silent_to_the_end(play: Play, ends: float) -> None:
    """Only time passes from here on."""
    for _ in range(MOST):
        if play.session.phase is Phase.OVER:
            break
        before = play.now
        assert play.session.wake is not None, play.session.phase
        play.next()
        assert play.now >= before
    assert play.session.phase is Phase.OVER, play.session.phase
    stands = STANDING * 60.0 if play.session.how != "done" else 0.0
    assert play.now <= max(ends, play.now * 0.0) + OVER * 60.0 + stands


def shaken(play: Play, dice: Random, events: int) -> None:
    """Answers of the window and any others, by voice and key, sleep, crashes and lost devices."""
    for _ in range(events):
        if play.session.phase is Phase.OVER:
            return
        drawn, window = dice.random(), play.session.window
        if drawn < 0.55:
            play.next()
        elif drawn < 0.80 and window is not None:
            play.say(dice.choice(window.answers))
        elif drawn < 0.94:
            key = dice.choice(ANYTIME if dice.random() < 0.4 else KEYS)
            play.send(Answered(play.now, parse(key), 1, play.now, None, Source.KEY))
        elif drawn < 0.96:
            play.send(ClockJumped(play.now, dice.choice((3.0, 40.0, 900.0))))
        elif drawn < 0.98:
            play.send(DeviceLost(play.now, "microphone", "gone"))
        else:
            gap = dice.choice((5.0, 400.0))
            play.world.clock.advance(gap)
            play.send(Reopened(play.now, gap))


def begun(dice: Random) -> tuple[Play, float]:
    """A session of a day that is drawn, and its minutes."""
    minutes = dice.choice((None, 45.0, 60.0, 90.0, 120.0))
    part, feel = dice.choice(list(Part)), dice.choice(list(Feel))
    play = Play(
        people=dice.choice((1, 1, 2, 3)),
        minutes=minutes,
        hurting=dice.choice((None, (), ((1, part, feel),))),
        same_place=dice.choice((None, True)),
        age=dice.choice(list(AgeBand)),
        routine=dice.choice(("full", "full-150", "rests", "quick")),
    )
    # a routine that names its minutes has them where nobody tells any
    usual = 150.0 if play.session.library.routine.name == "full-150" else 120.0
    return play, 60.0 * (minutes or usual)


@settings(max_examples=100, deadline=None)
@example(2614, 20)  # stiff, nobody knows where, told before the plan by somebody who is hurt
@given(st.integers(0, 10**9), st.integers(0, 120))
def test_from_any_state_silence_ends_the_session(seed: int, events: int) -> None:
    dice = Random(seed)
    play, seconds = begun(dice)
    shaken(play, dice, events)
    day = play.session.day
    ends = day.ends_at if day is not None else seconds
    silent_to_the_end(play, max(ends, play.now))


@pytest.mark.parametrize("word", ["pause", "stop"])
def test_standing_still_reminds_twice_and_is_saved(word: str) -> None:
    play = Play()
    play.until(Phase.WORK)
    said = len(play.said)
    play.say(word)
    silent_to_the_end(play, play.session.day.ends_at)
    assert play.said[said:].count("Still standing by. Carry on, or finish?") == 2
    assert "No answer, so we end here." in play.said
    assert play.session.how == "ended"


@pytest.mark.parametrize("word", ["pause", "stop"])
def test_who_comes_back_after_the_second_reminder_goes_on(word: str) -> None:
    play = Play()
    play.until(Phase.WORK)
    play.say(word)
    play.run(20 * 60.0)
    play.say("resume")
    assert play.session.standing.paused_since is None
    assert play.session.standing.reminded == 0


def test_soreness_told_in_a_pause_does_not_stop_the_clock() -> None:
    play = Play(hurting=None)
    play.until(Phase.CHECK_IN, question="hurting")
    play.say("no")
    play.run(900.0)
    play.say("pause")
    play.run(20.0)
    play.say("feel:fingers:sore")
    silent_to_the_end(play, play.session.day.ends_at)


def test_where_it_hurts_is_asked_on_after_a_soreness_that_nobody_placed() -> None:
    """Unanswered for the soreness, 'where' is asked of somebody hurt as if never asked."""
    play = Play()
    play.until(Phase.WORK)
    for word in ("hurt", "feel:sore"):
        play.send(Answered(play.now, parse(word), 1, play.now, None, Source.KEY))
    silent_to_the_end(play, play.session.day.ends_at)


def test_nobody_tells_the_minutes_and_they_are_asked_twice_at_most() -> None:
    play = Play(minutes=None)
    play.say("minutes:20")
    silent_to_the_end(play, 120 * 60.0)
    assert sum("How many minutes" in text for text in play.said) <= 3


def test_time_passed_and_nothing_due_changes_nothing() -> None:
    play = Play()
    play.until(Phase.WORK)
    before = play.session
    play.send(TimePassed(before.at))
    assert play.session == before
