"""The first session may teach the ear: asked once, with her yes only, and over in a minute."""

import random
from collections import Counter

import pytest

from coach.model.answers import parse
from coach.session.effects import OpenWindow
from coach.session.events import Answered, DeviceLost, Source, TakeHeard
from coach.session.lessons import PHRASES, TAKES
from coach.session.state import Phase
from tests.session.stage import Play

ASKED = "Shall I learn your voice, now and later? No sound is kept."


def told(play: Play, key: str, source: Source = Source.VOICE) -> None:
    window = play.session.window
    number = window.number if window is not None else None
    play.send(Answered(play.now, parse(key), onset=play.now, window=number, source=source))


def asked(source: Source = Source.VOICE) -> Play:
    """Her first session, once she has told that nothing feels off."""
    play = Play(hurting=None, learn_voice=True)
    play.until(Phase.CHECK_IN, question="hurting")
    told(play, "no", source)
    return play


def lesson(play: Play, takes: int = TAKES) -> None:
    play.until(Phase.CHECK_IN, question="lesson")
    key = play.session.questions.asking.step
    for take in range(takes):
        play.run(1.5)
        play.send(TakeHeard(play.now, key, take + 1))


def test_three_phrases_are_taught_three_times_each_in_under_a_minute_before_the_plan() -> None:
    play = asked()
    play.until(Phase.CHECK_IN, question="learn-voice")
    told(play, "yes")
    began = play.now
    for _ in PHRASES:
        lesson(play)
    play.run(4.0)
    assert play.now - began < 60.0
    opened = [one.teaches for one in play.effects if isinstance(one, OpenWindow) and one.teaches]
    assert opened == list(PHRASES)
    assert [one for one in play.said if one.startswith("Say three times")] == [
        "Say three times: stop now.",
        "Say three times: all done.",
        "Say three times: take a pause.",
    ]
    assert "Thanks. I'll know these by your voice." in play.said
    assert play.session.course.planned


@pytest.mark.parametrize("answer", ["no", ""])
def test_without_her_yes_nothing_is_taught_and_it_is_not_asked_again(answer: str) -> None:
    play = asked()
    play.until(Phase.CHECK_IN, question="learn-voice")
    if answer:
        told(play, answer)
    play.run(40.0)
    assert play.session.course.planned
    assert play.said.count(ASKED) == (1 if answer else 2)
    assert not any(isinstance(one, OpenWindow) and one.teaches for one in play.effects)


def test_it_is_not_asked_of_somebody_who_answers_by_key_or_is_not_heard() -> None:
    by_key = asked(Source.KEY)
    by_key.run(10.0)
    deaf = Play(hurting=None, learn_voice=True)
    deaf.until(Phase.CHECK_IN, question="hurting")
    deaf.send(DeviceLost(deaf.now, "microphone", "unplugged"))
    told(deaf, "no")
    deaf.run(10.0)
    assert ASKED not in by_key.said + deaf.said
    assert by_key.session.course.planned
    assert deaf.session.course.planned


def test_a_no_ends_all_lessons_and_a_skip_one() -> None:
    play = asked()
    play.until(Phase.CHECK_IN, question="learn-voice")
    told(play, "yes")
    play.until(Phase.CHECK_IN, question="lesson")
    told(play, "skip")
    play.until(Phase.CHECK_IN, question="lesson")
    assert play.session.questions.asking.step == "done"
    told(play, "no")
    play.run(10.0)
    assert play.session.course.planned
    assert "I heard none of them. We go on as we are." in play.said
    assert not any("take a pause" in one for one in play.said)


def test_who_says_nothing_in_a_lesson_has_no_other() -> None:
    play = asked()
    play.until(Phase.CHECK_IN, question="learn-voice")
    told(play, "yes")
    play.run(25.0)
    assert play.session.course.planned
    assert sum(one.startswith("Say three times") for one in play.said) == 1


def test_what_is_told_of_a_body_in_a_lesson_is_asked_about_before_the_next_one() -> None:
    play = asked()
    play.until(Phase.CHECK_IN, question="learn-voice")
    told(play, "yes")
    play.until(Phase.CHECK_IN, question="lesson")
    told(play, "feel:fingers:sore")
    play.run(20.0)
    assert "Skin, muscle or joint?" in play.said
    assert "Say three times: all done." not in play.said


def test_hurt_in_a_lesson_is_hurt() -> None:
    play = asked()
    play.until(Phase.CHECK_IN, question="learn-voice")
    told(play, "yes")
    play.until(Phase.CHECK_IN, question="lesson")
    told(play, "hurt")
    assert play.session.phase is Phase.HURT


def test_a_take_that_comes_late_means_nothing() -> None:
    play = asked()
    play.until(Phase.CHECK_IN, question="learn-voice")
    told(play, "no")
    play.run(5.0)
    before = play.session
    play.send(TakeHeard(play.now, "stop", 1))
    assert play.session.phase is before.phase
    assert play.session.questions == before.questions


SPITE = (
    *("yes", "no", "skip", "stop", "pause", "resume", "hurt", "finish", "feel:fingers:sore"),
    *("feel:sore", "part:knees", "sign:numb", "no-questions", "done", "again", "minutes:45"),
    *("how-long", "take", "take", "take", "wait", "wait"),
)


@pytest.mark.parametrize("seed", range(40))
def test_whatever_is_said_in_lessons_by_time_alone_they_end(seed: int) -> None:
    dice, play = random.Random(seed), asked()
    play.until(Phase.CHECK_IN, question="learn-voice")
    told(play, "yes")
    for _ in range(dice.randint(1, 9)):
        said, asking = dice.choice(SPITE), play.session.questions.asking
        play.run(dice.choice((0.5, 2.0, 6.0)))
        if play.session.phase is Phase.OVER:
            break
        if said == "take":
            key = asking.step if asking is not None and asking.question == "lesson" else "stop"
            play.send(TakeHeard(play.now, key, dice.randint(1, TAKES)))
        elif said == "wait":
            play.run(dice.choice((3.0, 16.0)))
        else:
            told(play, said, dice.choice((Source.VOICE, Source.KEY)))
    play.run(150.0)
    session = play.session
    still = session.standing.paused_since is not None or session.how == "hurt"
    assert session.course.planned or session.phase is Phase.OVER or still
    # a lesson is given again only where something came between
    assert max(Counter(one for one in play.said if one.startswith("Say three")).values()) <= 2
