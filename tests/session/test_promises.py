"""An own rest is a promise, and one landing is one landing: random blocks through the real core."""

import pytest

from coach.model.plan import StepKind
from coach.session.events import Source
from coach.session.state import Phase
from tests.session import coached
from tests.session.promises import block
from tests.session.stage import Play


@pytest.mark.parametrize("seed", range(120))
def test_nobody_is_called_early_or_onto_a_landing_that_is_not_clear(seed: int) -> None:
    judge = block(seed, tries=5)
    assert judge.broken == []
    assert judge.calls > 0


@pytest.mark.no_cover
def test_no_drill_or_change_goes_against_a_body_and_none_is_offered_again_that_failed() -> None:
    """Nor are two things changed at once; the blocks hold enough of each to tell."""
    judges = [coached.block(seed) for seed in range(60)]
    assert [what for judge in judges for what in judge.broken] == []
    assert sum(judge.drills for judge in judges) > 60
    assert sum(judge.changes for judge in judges) > 20


def pair() -> Play:
    play = Play(people=2, routine="rests", minutes=120.0, names=("Ada", "Mira", ""))
    play.until(Phase.WORK, StepKind.TRY)
    return play


def test_a_result_before_down_is_kept_and_calls_nobody() -> None:
    play = pair()
    play.run(10.0)
    play.say("ended-top")
    play.run(20.0)
    assert play.session.course.running.step.turn == 1
    assert play.said[-1] != "Mira: Try 1. Decide, then climb."
    play.say("down")
    assert [went.result for went in play.session.tries.went] == ["top"]
    play.until(Phase.WORK, StepKind.TRY)
    assert play.session.course.running.step.turn == 2


def test_silence_on_the_landing_stands_still_and_calls_nobody() -> None:
    play = pair()
    play.run(600.0)
    assert play.session.phase is not Phase.WORK
    assert not any("Mira: Try 1" in said for said in play.said)
    assert any("landing clear" in said for said in play.said)


def test_finish_here_by_one_ends_it_only_for_her() -> None:
    play = pair()
    play.run(10.0)
    play.say("down")
    play.until(Phase.WORK, StepKind.TRY)
    play.run(10.0)
    play.say("down")
    play.run(5.0)
    play.say("finish", who=2, source=Source.KEY)
    left = {step.turn for step in play.session.course.steps if step.kind is StepKind.TRY}
    assert left == {1}
    assert play.session.phase is not Phase.DEBRIEF


def test_a_chosen_rest_begins_with_the_one_that_runs() -> None:
    play = Play(routine="rests", minutes=120.0)
    play.until(Phase.WORK, StepKind.TRY)
    play.run(10.0)
    play.say("ended-top")
    play.run(5.0)
    resting = play.session.rests.resting
    play.say("own-rest:4", source=Source.KEY)
    assert play.session.rests.resting.until == pytest.approx(resting.since + 240.0)
    play.run(8.0)
    assert play.said[-2:] == [
        "2 to 4 minutes, as you feel.",
        "4 minutes of rest between tries from here on.",
    ]
    play.say("how-long", source=Source.KEY)
    play.run(8.0)
    assert "of rest left" in " ".join(play.said)


def test_nothing_is_asked_after_tries_where_nothing_is_to_be_asked() -> None:
    play = Play(routine="rests", minutes=60.0, ask_tries=False)
    for _ in range(3):
        play.until(Phase.WORK, StepKind.TRY)
        play.run(10.0)
        play.say("down")
        play.run(60.0)
        assert play.session.questions.asking is None


def test_a_try_that_is_left_out_half_way_is_rested_from_like_any_other() -> None:
    play = pair()
    play.run(10.0)
    left_at = play.now
    play.say("skip", source=Source.KEY)
    play.until(Phase.WORK, StepKind.TRY)
    assert play.session.course.running.step.turn == 2
    play.run(10.0)
    play.say("down", who=2)
    play.until(Phase.WORK, StepKind.TRY)
    called = play.session.course.running
    assert called.step.turn == 1
    assert called.since - left_at >= 200.0
