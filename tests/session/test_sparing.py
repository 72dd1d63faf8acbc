"""What nobody answers is not asked again; who is slow is waited for; few tries are asked about."""

from dataclasses import replace

import pytest

from coach.model.facts import Tried
from coach.model.plan import StepKind
from coach.model.questions import OF_TRIES
from coach.session.state import Phase
from tests.bench.annoyance import day_of
from tests.session.stage import Play

#: Keys of what asks about a try, in any of its words.
OF_A_TRY = {f"ask-{name}" for name in OF_TRIES} | {"ask-what-ended-it"}


def asked(play: Play, words: str) -> int:
    """How often a question was said."""
    return sum(words in text for text in play.said)


def trying(tries: int, *, answers: bool, slow: float = 0.0) -> Play:
    """A session of so many hard tries, each ended by 'down'; asked, she answers or does not.

    `slow` seconds she is waited for longer, as somebody who answered late before.
    """
    play = Play(routine="rests", minutes=90.0)
    play.session = replace(play.session, questions=replace(play.session.questions, slow=slow))
    for _ in range(20000):
        s = play.session
        if len(play.found(Tried)) + len(s.tries.untold) >= tries and s.phase is Phase.LEAD_IN:
            return play
        running = s.course.running.step.kind if s.course.running is not None else None
        if s.phase is Phase.WORK and running is StepKind.TRY and s.window is not None:
            play.say("down")
        elif s.questions.asking is not None and s.questions.asking.closes is not None:
            question = s.questions.asking.question
            told = {"go-ahead": "go", "try-cause": "cause:grip"}.get(question, "ended-middle")
            play.say(told if answers or question == "go-ahead" else "")
        play.next()
    raise AssertionError("never so many tries")


def test_a_try_that_nobody_tells_of_is_asked_about_twice_and_no_other_one() -> None:
    play = trying(4, answers=False)
    assert asked(play, "How far did it get?") == 2
    assert [fact.result for fact in play.found(Tried)] == ["untold"] * 3


def test_who_tells_of_a_try_again_is_asked_again() -> None:
    play = trying(1, answers=False)
    play.until(Phase.WORK, StepKind.TRY)
    before = asked(play, "How far did it get?")
    play.run(10.0)
    play.say("ended-middle")
    play.until(Phase.WORK, StepKind.TRY)
    play.run(10.0)
    play.say("down")
    play.run(60.0)
    assert asked(play, "How far did it get?") + asked(play, "What ended it?") > before


@pytest.mark.parametrize(("slow", "most"), [(0.0, 4), (10.0, 3)])
def test_after_ten_tries_it_was_asked_few_times_and_told_once_that_it_is_less(
    slow: float, most: int
) -> None:
    play = trying(10, answers=True, slow=slow)
    words = ("How far did it get?", "what ended it?", "did it feel harder")
    assert sum(asked(play, one) for one in words) == most
    assert asked(play, "I ask little about tries.") == 1


@pytest.mark.parametrize("kind", ["good, says only 'down'", "good, 'down', and falls"])
def test_a_good_day_of_ninety_minutes_has_six_questions_of_which_one_is_about_a_try(
    kind: str,
) -> None:
    said = [line.what.key for line in day_of(kind, 1).lines("said")]
    asked = [key for key in said if key.startswith("ask-")]
    assert len(asked) == 6
    assert [key for key in asked if key in OF_A_TRY] == ["ask-try-cause"]


def test_a_result_told_late_is_of_the_last_try_though_an_earlier_one_was_left_untold() -> None:
    play = Play(routine="rests", minutes=90.0, ask_tries=False)
    for told in ("down", "down"):
        play.until(Phase.WORK, StepKind.TRY)
        play.run(10.0)
        play.say(told)
    play.run(20.0)
    play.say("topped")
    results = [(fact.number, fact.result) for fact in play.found(Tried)]
    assert results == [(1, "untold"), (2, "topped")]


def test_who_answers_late_is_waited_for_from_then_on() -> None:
    play = Play()
    play.until(Phase.ASK, question="gate-body")
    play.run(12.0)
    play.say("feel:fine")
    assert asked(play, "How does your body feel?") == 2
    play.until(Phase.ASK, question="gate-shoulders")
    play.run(14.0)
    play.say("feel:fine")
    assert asked(play, "your shoulders") == 1


def test_what_only_says_the_last_answer_again_is_heard_and_no_more() -> None:
    """'Fine' once more, to who did not hear that it was taken: 'does nothing' is no answer."""
    play = Play()
    play.until(Phase.ASK, question="gate-body")
    play.say("feel:fine")
    play.run(8.0)
    told = []
    for key, later in (("feel:fine", 0.0), ("topped", 0.0), ("feel:fine", 60.0)):
        play.run(later)
        play.say(key)
        told.append(play.session.did is not None)
    assert told == [False, True, True]
