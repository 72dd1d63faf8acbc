"""What is told when it hardly counts any more: after silence, and at the end."""

from coach.model.plan import StepKind
from coach.session.effects import Cut, Say
from coach.session.events import Source
from coach.session.kinds import SOLO
from coach.session.state import Phase
from tests.session.stage import Play


def silent_at_the_go_ahead() -> Play:
    """Nobody answers the go-ahead; what comes after it begins."""
    play = Play()
    play.until(Phase.ASK, question="go-ahead")
    for _ in range(400):
        asking = play.session.questions.asking
        if asking is None or asking.question != "go-ahead":
            return play
        play.next()
    raise AssertionError("the go-ahead is asked for ever")


def said(play: Play) -> list[str]:
    return [one.what.key for one in play.effects if isinstance(one, Say)]


def test_who_is_left_without_hard_tries_hears_how_long_it_still_takes() -> None:
    play = silent_at_the_go_ahead()
    assert not any(step.kind is StepKind.TRY for step in play.session.course.steps)
    play.run(20.0)
    keys = said(play)
    assert "how-long" in keys[keys.index("go-silent") :]


def at_the_debrief() -> Play:
    play = Play(minutes=30.0)
    play.until(Phase.DEBRIEF)
    return play


def test_what_hurts_at_the_very_end_is_not_lost_and_soreness_ends_nothing() -> None:
    hurting, sore = at_the_debrief(), at_the_debrief()
    for play in (hurting, sore):
        play.until(Phase.DEBRIEF, question="effort")
    hurting.say("feel:knees:hurting", addressed=True)
    assert hurting.session.phase is Phase.HURT
    sore.say("feel:knees:sore", addressed=True)
    assert sore.session.phase is not Phase.HURT


def test_who_ends_while_the_last_question_is_said_hears_no_more_of_it() -> None:
    play = at_the_debrief()
    while said(play)[-1] != "ask-effort":
        play.next()
    before = len(play.effects)
    play.say("finish", source=Source.KEY)
    assert any(isinstance(one, Cut) for one in play.effects[before:])
    assert play.session.phase is Phase.OVER


def test_a_day_that_went_well_is_summed_up_by_what_was_done() -> None:
    play = at_the_debrief()
    assert "hard tries" in SOLO.summary(play.session)
    assert "hurt" not in SOLO.summary(play.session)
