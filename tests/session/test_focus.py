"""Choosing the focus of easy boulders: offered once, by name or place; then it goes round."""

from dataclasses import replace

import pytest

from coach.model.doses import FOCUS
from coach.model.facts import FocusChosen, StepEnded
from coach.model.movement import Family
from coach.model.plan import StepKind
from coach.record.digest import digest
from coach.session.effects import OpenWindow
from coach.session.events import Source
from coach.session.looking import look
from coach.session.state import Phase
from tests.session.stage import LIBRARY, Play

FIRST, SECOND, THIRD = "quiet-feet", "long-arms", "hips-close"


def offered(play: Play) -> list[str]:
    return [said for said in play.said if "Focus:" in said]


def batch(play: Play) -> str:
    """The movement of the next batch of easy boulders, once it is climbed."""
    play.until(Phase.WORK, StepKind.CLIMB)
    movement = play.session.course.running.step.forms[0].movement
    play.run(120.0)
    play.say("done")
    return str(movement)


@pytest.mark.parametrize(
    ("told", "first"),
    [("focus:hips-close", THIRD), ("focus:2", SECOND), ("focus:quiet-feet", FIRST)],
)
def test_a_focus_is_taken_by_its_name_or_its_place(told: str, first: str) -> None:
    play = Play()
    play.until(Phase.ASK, question="focus")
    play.say(told)

    assert batch(play) == first
    [fact] = play.found(FocusChosen)
    assert (fact.focus, fact.told, fact.who) == (first, True, 0)


def test_silence_takes_the_first_and_is_not_asked_again() -> None:
    play = Play()
    play.until(Phase.ASK, question="focus")
    began = play.now
    play.until(Phase.LEAD_IN, StepKind.CLIMB)

    assert play.now - began <= 90.0
    assert offered(play) == ["Focus: Quiet feet. Or say Long arms, or Hips close."]
    assert "Place each foot once, without a sound." in play.said[-1]
    [fact] = play.found(FocusChosen)
    assert (fact.focus, fact.told) == (FIRST, False)


def test_it_goes_round_and_is_offered_once_a_session() -> None:
    play = Play()
    play.until(Phase.ASK, question="focus")
    play.say("focus:long-arms")

    assert [batch(play) for _ in range(2)] == [SECOND, THIRD]
    play.until(Phase.WORK, StepKind.TRY)
    assert len(offered(play)) == 1


def test_the_screen_shows_the_focuses_and_their_figures() -> None:
    play = Play()
    play.until(Phase.ASK, question="focus")

    shown = look(play.session).answers
    assert shown[:3] == ("focus:quiet-feet", "focus:long-arms", "focus:hips-close")
    assert "focus:1" not in shown
    [*_, window] = [effect for effect in play.effects if isinstance(effect, OpenWindow)]
    assert window.answers == (*shown[:3], "focus:1", "focus:2", "focus:3")


def test_a_pause_makes_the_offer_once_more() -> None:
    play = Play()
    play.until(Phase.ASK, question="focus")
    play.say("pause")
    play.say("resume")
    play.until(Phase.ASK, question="focus")
    play.say("focus:3", source=Source.KEY)

    assert batch(play) == THIRD


def test_two_climbers_share_the_focus() -> None:
    play = Play(people=2)
    play.until(Phase.ASK, question="focus")
    play.say("focus:hips-close", who=2)
    play.until(Phase.WORK, StepKind.CLIMB)

    assert [form.movement for form in play.session.course.running.step.forms] == [THIRD, THIRD]
    assert len(offered(play)) == 1


def test_what_was_practised_least_and_what_an_aim_favours_comes_first() -> None:
    play = Play()
    options = replace(
        play.session.options,
        practised=((1, FIRST), (2, SECOND)),
        favoured=("slow-hands",),
    )
    play.session = replace(play.session, options=options)
    play.until(Phase.ASK, question="focus")

    keys = ("focus:slow-hands", "focus:long-arms", "focus:hips-close")
    assert play.session.questions.asking.offered == keys


@pytest.mark.parametrize("left", [0, 1, 2])
def test_fewer_than_two_are_no_choice(left: int) -> None:
    focuses = [name for name, m in LIBRARY.movements.items() if m.family is Family.FOCUS]
    gone = set(focuses[left:])
    movements = {n: m for n, m in LIBRARY.movements.items() if n not in gone}
    play = Play()
    play.session = replace(play.session, library=replace(LIBRARY, movements=movements))
    if left == 2:
        play.until(Phase.ASK, question="focus")
        assert offered(play) == ["Focus: Quiet feet. Or say Long arms."]
        play.say("focus:2")
    took = batch(play)

    assert took == ["easy-boulders", FIRST, SECOND][left]
    assert len(offered(play)) == (left == 2)


def test_a_part_that_hurts_leaves_no_boulder_and_no_focus() -> None:
    play = Play()
    play.until(Phase.ASK, question="gate-fingers")
    play.say("feel:hips:hurting", source=Source.KEY)
    play.until(Phase.OVER)

    assert [f for f in play.found(StepEnded) if f.block == "easy"] == []
    assert play.found(FocusChosen) == []


def test_its_minutes_count_as_focus() -> None:
    play = Play()
    play.until(Phase.ASK, question="focus")
    play.say("focus:hips-close")
    batch(play)

    [ended] = [f for f in play.found(StepEnded) if f.movement == THIRD]
    made = digest(play.facts, 1, LIBRARY.movements)
    assert made.focuses == {THIRD: ended.seconds}
    assert made.doses[FOCUS] == ended.seconds > 0
