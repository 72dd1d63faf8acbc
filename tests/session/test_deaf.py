"""With the ear gone nobody could call 'stop': a hang or a hard try waits for a key."""

from collections.abc import Callable

import pytest

from coach.model.plan import StepKind
from coach.session.events import (
    COMING,
    JOURNAL,
    QUIET,
    UNWANTED,
    DeviceLost,
    DeviceReturned,
    Source,
)
from coach.session.looking import look
from coach.session.state import Phase, Session
from coach.session.view import Ear
from tests.session.stage import Play

KEY_FIRST = "I can't hear you. A key begins it."


def hang(s: Session) -> bool:
    return s.course.running is not None and s.course.running.step.hangs


def hard_try(s: Session) -> bool:
    return s.course.running is not None and s.course.running.step.kind is StepKind.TRY


def risky(s: Session) -> bool:
    return hang(s) or hard_try(s)


def led_in(what: Callable[[Session], bool]) -> Play:
    """A session whose next step, a hang or a hard try, is being announced."""
    play = Play(routine="rests" if what is hard_try else "full", minutes=120.0)
    for _ in range(4000):
        if play.session.phase is Phase.LEAD_IN and what(play.session):
            return play
        play.until(play.session.phase)
        if play.session.window is not None and play.session.questions.asking is not None:
            play.say(_first(play))
        play.next()
    raise AssertionError("it never came to one")


def _first(play: Play) -> str:
    window = play.session.window
    assert window is not None
    return next((one for one in ("feel:fine", "go", "no") if one in window.answers), "")


def lose(play: Play, device: str = "microphone", why: str = "unplugged") -> None:
    play.send(DeviceLost(play.now, device, why))


@pytest.mark.parametrize("what", [hang, hard_try])
@pytest.mark.parametrize("device", ["microphone", "recogniser"])
def test_it_waits_for_a_key_and_begins_with_it(
    what: Callable[[Session], bool], device: str
) -> None:
    play = led_in(what)
    lose(play, device)
    play.run(60.0)
    assert play.session.phase is Phase.PAUSED
    assert play.heard_last == KEY_FIRST
    play.run(600.0)
    assert play.session.phase is Phase.PAUSED, "nothing begins by itself"
    play.say("resume", source=Source.KEY)
    play.until(Phase.WORK)
    assert what(play.session)


@pytest.mark.parametrize(
    "key", ["why", "whats-next", "how-long", "more-time", "feel:fingers:tired"]
)
def test_a_key_that_says_something_else_begins_nothing(key: str) -> None:
    play = led_in(hang)
    lose(play)
    play.say(key, source=Source.KEY)
    play.run(60.0)
    assert play.session.phase is Phase.PAUSED
    assert play.heard_last == KEY_FIRST


@pytest.mark.parametrize("what", [hang, hard_try])
def test_a_journal_that_takes_nothing_is_told_once_and_holds_up_nothing(
    what: Callable[[Session], bool],
) -> None:
    play = led_in(what)
    lose(play, JOURNAL, "the disk is full")
    lose(play, JOURNAL, "the disk is full")
    play.until(Phase.WORK)
    assert what(play.session)
    play.run(60.0)
    play.send(DeviceReturned(play.now, JOURNAL))
    play.run(30.0)
    assert play.said.count("I can't save right now. We go on.") == 1
    assert play.said.count("All is saved again.") == 1


@pytest.mark.parametrize("what", [hang, hard_try])
def test_one_key_is_for_one_of_them(what: Callable[[Session], bool]) -> None:
    play = led_in(what)
    lose(play)
    begun: list[tuple[str, int]] = []
    keys = 0
    for _ in range(3000):
        s = play.session
        if s.phase is Phase.WORK and risky(s):
            assert s.course.running is not None
            here = (s.course.running.step.name, s.course.running.go)
            if here not in begun:
                begun.append(here)
        if s.phase is Phase.PAUSED:
            play.say("resume", source=Source.KEY)
            keys += 1
        elif s.phase is Phase.OVER or len(begun) == 3:
            break
        elif s.questions.asking is not None and s.window is not None:
            play.say(_first(play))
        elif s.phase is Phase.WORK and s.window is not None and risky(s):
            play.say(s.window.answers[0])
        play.next()
    assert len(begun) >= 2
    assert keys == len(begun)


def test_the_key_that_ends_a_rest_begins_the_try_after_it() -> None:
    play = led_in(hard_try)
    lose(play)
    play.run(60.0)
    play.say("resume", source=Source.KEY)
    play.run(20.0)
    play.say("down", source=Source.KEY)
    play.until(Phase.REST)
    play.say("ready", source=Source.KEY)
    play.until(Phase.WORK)
    assert hard_try(play.session)


def test_with_the_ear_back_nothing_waits() -> None:
    play = led_in(hang)
    lose(play)
    play.send(DeviceReturned(play.now, "microphone"))
    play.until(Phase.WORK)
    assert risky(play.session)


def test_what_runs_when_the_ear_goes_runs_on() -> None:
    play = led_in(hang)
    play.until(Phase.WORK)
    running = play.session.course.running
    lose(play)
    play.run(1.0)
    assert play.session.phase is Phase.WORK
    assert play.session.course.running == running


def test_who_wanted_no_ear_misses_none() -> None:
    play = led_in(hang)
    lose(play, why=UNWANTED)
    play.until(Phase.WORK)
    assert risky(play.session)


def test_a_lost_speaker_is_no_lost_ear() -> None:
    play = led_in(hang)
    lose(play, "speaker")
    play.until(Phase.WORK)
    assert risky(play.session)


def test_both_parts_of_a_headset_are_told_of_as_one() -> None:
    play = led_in(hang)

    def told(words: str) -> int:
        play.run(20.0)
        return sum(words in text for text in play.said)

    for device in ("microphone", "speaker"):
        lose(play, device)
    assert play.session.devices.lost == {"microphone", "speaker"}
    assert told("is gone") == 1
    for device in ("speaker", "microphone"):
        play.send(DeviceReturned(play.now, device))
    assert not play.session.devices.lost
    assert told("is back") == 1
    lose(play, "speaker")
    assert told("is gone") == 2
    lose(play, "recogniser")
    assert told("is gone") == 3, "apart they are two"


def begun() -> Play:
    """A session that asks its first question while the ear still loads."""
    play = Play(minutes=None)
    lose(play, "ear", COMING)
    play.until(Phase.ASK)
    while play.session.window is None:
        play.next()
    return play


def test_an_ear_that_comes_is_shut_until_then_and_nothing_is_told() -> None:
    play = begun()
    assert look(play.session).ear is Ear.SHUT
    play.send(DeviceReturned(play.now, "ear"))
    assert look(play.session).ear is Ear.OPEN
    play.run(10.0)
    assert not any("gone" in text or "here again" in text for text in play.said)


def test_one_that_does_not_come_is_told_and_no_ear() -> None:
    play = begun()
    lose(play, "recogniser", "the recogniser ended")
    play.run(10.0)
    assert look(play.session).ear is Ear.GONE
    assert sum("is gone" in text for text in play.said) == 1


@pytest.mark.parametrize("what", [hang, hard_try])
def test_nobody_hangs_or_tries_hard_before_the_ear_has_come(
    what: Callable[[Session], bool],
) -> None:
    play = led_in(what)
    lose(play, "ear", COMING)
    play.run(60.0)
    assert play.session.phase is Phase.PAUSED
    assert play.heard_last == KEY_FIRST


def test_a_room_that_is_too_loud_to_be_asked_about_is_told_once() -> None:
    play = led_in(hang)
    lose(play, QUIET, "talk all around")
    lose(play, QUIET, "talk all around")
    play.until(Phase.WORK)
    play.run(60.0)
    assert play.said.count("It's loud here. Keys or a headset will work better.") == 1
    assert hang(play.session), "the ear hears on: no key is waited for"
