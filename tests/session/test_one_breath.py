"""What is told of a try in one breath: all of it counts, and nothing of it is asked."""

from dataclasses import replace

import pytest

from coach.model.answers import Answer, parse
from coach.model.facts import CauseTold, EffortFelt, Tried, Won
from coach.model.plan import StepKind
from coach.session.events import Answered, Source
from coach.session.state import Phase
from tests.session.stage import Play
from tests.session.test_tries import FLINT, go, straight, tries


def breath(play: Play, text: str, *, source: Source = Source.VOICE) -> None:
    """One event with all of it, as it is heard."""
    head, *also = play.language.breath(text)
    window = play.session.window
    number = window.number if window is not None else None
    play.send(Answered(play.now, head, 1, play.now, number, source, also=tuple(also)))


def asked(play: Play, seconds: float = 60.0) -> str:
    """The question that is asked within some seconds, '' for none."""
    until = play.now + seconds
    while play.now < until:
        if play.session.questions.asking is not None:
            return str(play.session.questions.asking.question)
        play.next()
    return ""


def test_the_end_with_its_cause_leaves_nothing_to_ask() -> None:
    play = tries(boulder=FLINT)
    play.run(20.0)
    breath(play, "fell at move five, foot slipped, felt harder")
    (tried,), (cause,), (felt,) = (play.found(kind) for kind in (Tried, CauseTold, EffortFelt))
    assert (tried.result, tried.move, cause.cause, felt.felt) == ("middle", 5, "foot", "harder")
    assert asked(play) == ""


def test_closer_is_a_win_only_where_it_is_not_known_from_the_ends() -> None:
    play = tries(boulder=FLINT)
    straight(play, "move:5")
    play.until(Phase.WORK, StepKind.TRY)
    play.run(20.0)
    breath(play, "in the middle, closer than before")
    assert [one.what for one in play.found(Won)] == ["closer"]
    assert play.said.count("Closer than before. Noted.") == 1
    play.until(Phase.WORK, StepKind.TRY)
    play.run(20.0)
    breath(play, "move six, closer than before")
    assert [one.what for one in play.found(Won)] == ["closer", "further"]


def test_the_second_fall_for_one_cause_offers_a_change_at_once() -> None:
    play = tries(boulder=FLINT)
    for _ in range(2):
        play.until(Phase.WORK, StepKind.TRY)
        play.run(20.0)
        breath(play, "fell at move five, foot slipped")
    assert play.said[-1].startswith("Move 5 again. Next: ") or any(
        one.startswith("Move 5 again. Next: ") for one in play.said[-3:]
    )


def test_worn_in_one_breath_rests_a_minute_longer() -> None:
    rests = []
    for text in ("in the middle, foot slipped", "in the middle, too tired"):
        play = tries()
        play.run(20.0)
        breath(play, text)
        play.until(Phase.REST)
        resting = play.session.rests.resting
        rests.append(resting.until - resting.since)
    assert rests[1] - rests[0] == pytest.approx(60.0)


def test_a_cause_answers_the_question_how_far() -> None:
    play = tries()
    go(play, "cause:foot")
    assert [one.result for one in play.found(Tried)] == ["below"]
    assert [one.cause for one in play.found(CauseTold)] == ["foot"]


def test_both_at_the_question_how_far() -> None:
    play = tries()
    play.run(20.0)
    play.say("down")
    play.run(25.0)
    breath(play, "near the top, too far")
    assert [one.result for one in play.found(Tried)] == ["top"]
    assert [one.cause for one in play.found(CauseTold)] == ["reach"]
    assert asked(play) == ""


def test_the_breath_goes_on_after_the_window_that_its_first_words_closed() -> None:
    play = tries(boulder=FLINT)
    play.run(20.0)
    window = play.session.window
    play.say("move:5")
    event = Answered(play.now, parse("cause:foot"), 1, play.now, window.number, Source.VOICE)
    play.send(replace(event, onset=play.now + 0.3, at=play.now + 1.0))
    assert [one.cause for one in play.found(CauseTold)] == ["foot"]
    # and not long after, nor what would be a second end of one try
    play.send(replace(event, onset=play.now + 9.0, at=play.now + 9.5))
    play.send(replace(event, answer=parse("topped"), onset=play.now + 0.5, at=play.now + 1.0))
    assert len(play.found(CauseTold)) == 1
    assert len(play.found(Tried)) == 1


def test_in_a_pair_it_is_kept_until_the_landing_is_clear() -> None:
    play = tries(people=2, boulder=FLINT)
    play.run(20.0)
    breath(play, "move five, foot slipped")
    assert play.found(Tried) == []
    play.say("down")
    assert [one.move for one in play.found(Tried)] == [5]
    assert [one.cause for one in play.found(CauseTold)] == ["foot"]


def test_parts_that_are_no_breath_count_for_nothing() -> None:
    play = tries()
    play.run(20.0)
    also: tuple[Answer, ...] = (parse("hurt"), parse("go"))
    window = play.session.window
    event = Answered(play.now, parse("topped"), 1, play.now, window.number, also=also)
    play.send(event)
    assert [one.result for one in play.found(Tried)] == ["topped"]
    assert play.session.phase is not Phase.HURT


def test_it_is_of_the_boulder_that_the_try_was_on_though_another_was_chosen_since() -> None:
    play = tries(boulder=FLINT)
    play.run(20.0)
    play.say("down")
    play.run(60.0)
    play.say("other-boulder")
    play.run(12.0)
    play.say("count:4")
    play.run(24.0)
    assert play.session.tries.untold, "nobody told how it ended"
    breath(play, "in the middle, closer than before")
    assert [one.boulder for one in play.found(Tried)] == [FLINT.name]
    assert [one.boulder for one in play.found(Won)] == [FLINT.name]
