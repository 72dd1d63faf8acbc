"""Hard tries: how one went, what ended it, what is changed, and what counts as a win."""

from itertools import permutations

import pytest

from coach.model.answers import parse
from coach.model.body import Part
from coach.model.facts import (
    BoulderNamed,
    CauseTold,
    EffortFelt,
    Rested,
    Retold,
    StepEnded,
    Tried,
    Varied,
    WentForIt,
    Won,
)
from coach.model.key_moves import CAUSES, KEY_MOVES
from coach.model.messages import message
from coach.model.plan import StepKind
from coach.model.tries import Boulder, Went
from coach.record.digest import digest
from coach.session.effects import Say
from coach.session.events import Answered, Source, Sureness
from coach.session.looking import look
from coach.session.state import Phase
from tests.session.stage import Play

FLINT = Boulder("flint 4", "overhang", 9)


def tries(
    *,
    people: int = 1,
    boulder: Boulder | None = None,
    went: tuple[Went, ...] = (),
    known: tuple[Boulder, ...] = (),
) -> Play:
    """A session of tries and rests, up to its first try."""
    boulders = tuple((who, boulder) for who in range(1, people + 1)) if boulder else ()
    play = Play(
        people=people, routine="rests", minutes=120.0, boulders=boulders, went=went, known=known
    )
    play.until(Phase.WORK, StepKind.TRY)
    return play


def go(play: Play, result: str, asked: str = "try-result", seconds: float = 20.0) -> None:
    """One try told by 'down'; its result when it is asked, as the question that is expected."""
    play.until(Phase.WORK, StepKind.TRY)
    play.run(seconds)
    play.say("down")
    play.run(25.0)
    if asked == "try-result" and play.session.questions.asking is None:
        play.say(result)  # it is not asked every time
        return
    assert play.session.questions.asking is not None, play.said[-3:]
    assert play.session.questions.asking.question == asked
    play.say(result)


def straight(play: Play, result: str) -> None:
    """One try whose result is told at once."""
    play.until(Phase.WORK, StepKind.TRY)
    play.run(20.0)
    play.say(result)


def results(play: Play) -> list[str]:
    return [fact.result for fact in play.found(Tried)]


# why it ended


def test_what_ended_it_is_asked_only_where_tries_stand_still() -> None:
    play = tries()
    go(play, "ended-start")
    go(play, "ended-middle")
    go(play, "ended-middle")
    go(play, "cause:grip", asked="try-cause")
    assert results(play) == ["start", "middle", "middle", "below"]
    (told,) = play.found(CauseTold)
    assert told.cause == "grip"
    first, second = "hips closer to the wall", "that one move alone"
    assert play.said[-1] == f"Next: {first}, or {second}?"
    go(play, "ended-middle")


def test_nothing_is_asked_about_a_top() -> None:
    play = tries()
    go(play, "topped")
    go(play, "topped")
    go(play, "topped")
    assert play.found(CauseTold) == []


def test_the_cause_question_takes_a_top_too() -> None:
    play = tries()
    go(play, "ended-middle")
    go(play, "ended-middle")
    go(play, "topped", asked="try-cause")
    assert results(play) == ["middle", "middle", "topped"]
    assert play.found(CauseTold) == []


def test_three_falls_told_at_once_bring_a_change_and_no_question() -> None:
    play = tries()
    for _ in range(3):
        straight(play, "ended-middle")
    play.run(30.0)
    assert play.session.questions.asking is None
    assert results(play) == ["middle", "middle", "middle"]
    assert play.session.tries.agreed_on(1, "boulder 1") == ("hips-in", "other-foot")
    assert sum("Next: hips closer" in said for said in play.said) == 1


def test_how_a_try_went_may_be_told_after_nobody_answered_the_question() -> None:
    play = tries()
    play.until(Phase.WORK, StepKind.TRY)
    play.run(20.0)
    play.say("down")
    play.run(90.0)
    assert play.session.questions.asking is None
    play.say("ended-middle")
    assert results(play) == ["middle"]
    play.until(Phase.WORK, StepKind.TRY)
    assert results(play) == ["middle"]


def test_the_last_go_can_be_chosen_in_any_rest_between_tries() -> None:
    play = tries()
    go(play, "ended-middle")
    play.run(20.0)
    assert play.session.window is not None
    assert {"last-go", "enough"} <= {*play.session.window.answers, *play.session.window.beside}
    play.say("last-go")
    go(play, "ended-middle")
    play.run(400.0)
    assert results(play) == ["middle", "middle"]


def test_silence_about_the_cause_keeps_the_try() -> None:
    play = tries()
    go(play, "ended-middle")
    go(play, "ended-middle")
    play.until(Phase.WORK, StepKind.TRY)
    play.run(20.0)
    play.say("down")
    play.run(90.0)
    assert results(play) == ["middle", "middle"]
    play.say("finish")
    play.run(120.0)
    assert results(play) == ["middle", "middle", "untold"]


@pytest.mark.parametrize("cause", [cause for cause in CAUSES if cause not in ("skin", "tired")])
def test_each_cause_brings_a_change_that_fits(cause: str) -> None:
    play = tries()
    go(play, "ended-middle")
    go(play, "ended-middle")
    go(play, f"cause:{cause}", asked="try-cause")
    (told,) = play.found(CauseTold)
    assert told.cause == cause
    table = play.session.library.key_moves
    agreed = play.session.tries.agreed_on(1, "boulder 1")
    assert agreed == table.causes[cause][:2]
    assert play.said[-1].startswith("Next: ")


def test_a_longer_rest_is_given_at_once() -> None:
    play = tries()
    go(play, "ended-middle")
    go(play, "ended-middle")
    go(play, "cause:tired", asked="try-cause")
    assert play.session.rests.resting.until - play.session.rests.resting.since == pytest.approx(
        260.0
    )
    play.until(Phase.WORK, StepKind.TRY)
    assert play.found(Rested)[-1].seconds == pytest.approx(260.0)


def test_the_cause_can_be_told_unasked_by_key() -> None:
    play = tries()
    go(play, "ended-middle")
    play.say("cause:plan", source=Source.KEY)
    assert play.found(CauseTold)[0].cause == "plan"
    assert not any(said.startswith("Next: ") for said in play.said)


def test_a_cause_without_a_try_is_not_understood() -> None:
    play = tries()
    play.say("cause:plan", source=Source.KEY)
    assert play.found(CauseTold) == []


def test_twice_lower_offers_a_last_go_another_boulder_or_an_end() -> None:
    play = tries()
    straight(play, "ended-top")
    straight(play, "ended-middle")
    assert "Lower twice. One last go, another boulder, or enough?" not in play.said
    straight(play, "ended-start")
    assert "Lower twice. One last go, another boulder, or enough?" in play.said
    play.run(15.0)
    play.until(Phase.REST)
    play.run(45.0)
    assert {"last-go", "enough", "other-boulder"} <= set(play.session.window.answers)
    play.say("last-go")
    assert sum(step.kind is StepKind.TRY for step in play.session.course.steps) == 1
    straight(play, "ended-middle")
    play.run(30.0)
    assert not any(step.kind is StepKind.TRY for step in play.session.course.steps)


def test_enough_ends_the_tries_and_a_last_go_after_it_is_not_there() -> None:
    play = tries()
    for result in ("ended-top", "ended-middle", "ended-start"):
        straight(play, result)
    play.run(60.0)
    play.say("enough")
    assert not any(step.kind is StepKind.TRY for step in play.session.course.steps)
    play.say("last-go", source=Source.KEY)
    play.until(Phase.OVER)
    assert len(play.found(Tried)) == 3


def test_tired_twice_running_is_going_down_as_well() -> None:
    play = tries()
    straight(play, "ended-middle")
    play.say("cause:tired", source=Source.KEY)
    straight(play, "ended-middle")
    play.say("cause:tired", source=Source.KEY)
    play.run(20.0)
    assert "Lower twice. One last go, another boulder, or enough?" in play.said


# how hard it was


def still(play: Play) -> None:
    """Tries that stand still, after their cause is known."""
    go(play, "ended-middle")
    go(play, "ended-middle")
    go(play, "cause:plan", asked="try-cause")
    go(play, "ended-middle")
    go(play, "ended-middle")


def test_how_hard_it_was_is_asked_where_nothing_else_decides() -> None:
    play = tries()
    still(play)
    go(play, "felt-same", asked="try-effort")
    assert [fact.felt for fact in play.found(EffortFelt)] == ["same"]
    assert results(play)[-1] == "below"
    go(play, "ended-middle")
    assert not any(text.startswith("Harder twice") for text in play.said)


def test_harder_twice_running_offers_an_end() -> None:
    play = tries()
    still(play)
    go(play, "felt-harder", asked="try-effort")
    assert "A minute more of rest, then." in play.said
    assert play.session.rests.resting.until - play.session.rests.resting.since == pytest.approx(
        260.0
    )
    assert "Harder twice. One last go, another boulder, or enough?" not in play.said
    go(play, "felt-harder", asked="try-effort")
    play.run(20.0)
    assert "Harder twice. One last go, another boulder, or enough?" in play.said
    assert {"last-go", "enough"} <= set(play.session.window.answers)
    go(play, "ended-middle")


def test_a_top_in_place_of_the_effort_is_a_top() -> None:
    play = tries()
    still(play)
    go(play, "topped", asked="try-effort")
    assert results(play)[-1] == "topped"
    assert play.found(EffortFelt) == []


def test_the_effort_of_a_try_whose_result_was_told_at_once_is_asked_too() -> None:
    play = tries()
    still(play)
    straight(play, "ended-middle")
    play.run(30.0)
    assert play.session.questions.asking.question == "try-effort"
    play.say("felt-easier")
    assert results(play)[-1] == "middle"
    assert play.found(EffortFelt)[0].felt == "easier"


def test_energy_and_skin_can_be_told_between_tries() -> None:
    play = tries()
    straight(play, "ended-middle")
    play.run(30.0)
    assert {"feel:tired", "cause:skin"} <= set(play.session.window.answers)
    before = sum(step.kind is StepKind.TRY for step in play.session.course.steps)
    play.say("feel:tired")
    play.run(10.0)
    assert sum(step.kind is StepKind.TRY for step in play.session.course.steps) == before // 2
    play.say("cause:skin")
    assert play.found(CauseTold)[0].cause == "skin"


# wins


def test_further_than_before_is_told_as_a_fact() -> None:
    play = tries(boulder=FLINT)
    straight(play, "move:4")
    straight(play, "move:6")
    (won,) = play.found(Won)
    assert (won.what, won.moves, won.boulder) == ("further", 2, "flint 4")
    assert "2 holds further than before." in play.said
    assert [fact.move for fact in play.found(Tried)] == [4, 6]
    assert results(play) == ["middle", "middle"]


def test_higher_than_on_an_earlier_day_counts() -> None:
    earlier = (Went(1, FLINT.name, "start", today=False),)
    play = tries(boulder=FLINT, went=earlier)
    go(play, "ended-top")
    assert play.found(Won)[0].what == "higher"
    assert "Higher than before." in play.said


def test_the_first_try_and_a_second_top_are_no_wins() -> None:
    play = tries()
    straight(play, "ended-top")
    assert play.found(Won) == []
    straight(play, "topped")
    straight(play, "topped")
    assert [won.what for won in play.found(Won)] == ["topped"]


def test_going_for_it_is_asked_where_the_head_ended_the_last_and_is_a_win() -> None:
    play = tries()
    go(play, "ended-middle")
    go(play, "ended-middle")
    go(play, "cause:head", asked="try-cause")
    go(play, "went", asked="went-for-it")
    assert [fact.gone for fact in play.found(WentForIt)] == [True]
    assert play.found(Won)[0].what == "went-for-it"
    go(play, "ended-middle")


def test_holding_back_is_no_fault_and_changes_the_offer() -> None:
    play = tries()
    go(play, "ended-middle")
    go(play, "ended-middle")
    go(play, "cause:head", asked="try-cause")
    go(play, "held-back", asked="went-for-it")
    assert [fact.gone for fact in play.found(WentForIt)] == [False]
    assert [told.cause for told in play.found(CauseTold)] == ["head", "head"]
    assert play.session.tries.agreed_on(1, "boulder 1") == ("breathe", "on-the-ground")
    go(play, "topped", asked="went-for-it")
    assert results(play)[-1] == "topped"


def test_a_move_done_alone_is_a_win() -> None:
    play = tries()
    go(play, "ended-middle")
    go(play, "ended-middle")
    go(play, "cause:grip", asked="try-cause")
    play.run(10.0)
    play.say("variation:2")
    assert play.said[-1] == "First that one move alone, then."
    play.run(10.0)
    assert "move-done" in play.session.window.answers
    play.say("move-done")
    assert play.found(Won)[0].what == "move-done"


# the boulder


def test_a_named_boulder_is_kept_and_its_one_reminder_said_once() -> None:
    play = tries(boulder=FLINT)
    assert play.found(BoulderNamed)[0].moves == 9
    assert play.said[-1] == "Keep the feet on, and look down."
    straight(play, "ended-middle")
    play.until(Phase.WORK, StepKind.TRY)
    assert play.said[-1] == "Try 2. Decide, then climb."
    assert {fact.boulder for fact in play.found(Tried)} == {"flint 4"}


def test_another_boulder_is_named_by_number_or_by_nothing() -> None:
    play = tries()
    straight(play, "ended-middle")
    play.run(10.0)
    play.say("other-boulder")
    play.until(Phase.ASK, question="which-boulder")
    play.say("count:4")
    straight(play, "ended-middle")
    play.run(10.0)
    play.say("other-boulder")
    play.run(50.0)
    straight(play, "ended-middle")
    named = [fact.boulder for fact in play.found(Tried)]
    assert named == ["boulder 1", "number 4", "boulder 2"]
    assert [fact.boulder for fact in play.found(BoulderNamed)] == ["number 4"]


def test_a_move_that_the_boulder_does_not_have_is_said() -> None:
    play = tries(boulder=FLINT)
    play.say("move:11", source=Source.KEY)
    assert play.found(Tried) == []
    assert play.language.text(play.session.listening.did) == "The boulder has 9 moves."
    play.say("move:9", source=Source.KEY)
    assert results(play) == ["topped"]


def test_where_it_ended_counts_on_a_boulder_whose_moves_were_not_told() -> None:
    play = tries()
    play.run(5.0)
    assert not any(key.startswith("move:") for key in play.session.window.answers)
    play.say("down")
    play.run(5.0)
    play.say("move:5")
    assert [(fact.move, fact.result) for fact in play.found(Tried)] == [(5, "below")]
    play.until(Phase.WORK, StepKind.TRY)
    play.run(5.0)
    assert play.session.window.answers[-3:] == ("move:5", "move:6", "move:7")
    play.say("move:7")
    assert "2 holds further than before." in play.said


def test_the_window_takes_the_moves_around_the_best_so_far() -> None:
    play = tries(boulder=FLINT)
    straight(play, "move:5")
    play.until(Phase.WORK, StepKind.TRY)
    play.run(5.0)
    assert play.session.window.answers[-3:] == ("move:5", "move:6", "move:7")


def test_a_fall_at_any_of_its_moves_can_be_told_from_the_mat() -> None:
    play = tries(boulder=FLINT)
    straight(play, "move:5")
    play.until(Phase.WORK, StepKind.TRY)
    play.run(5.0)
    play.say("move:2")
    assert [fact.move for fact in play.found(Tried)] == [5, 2]


def test_a_result_that_is_said_twice_is_one_try() -> None:
    play = tries(boulder=FLINT)
    straight(play, "move:5")
    play.run(5.0)
    play.say("move:5", source=Source.KEY)
    play.say("ended-middle", source=Source.KEY)
    play.run(40.0)
    assert len(play.found(Tried)) == 1
    assert "Which boulder? A number, or nothing." not in play.said


def other(play: Play, number: str) -> None:
    play.run(10.0)
    play.say("other-boulder")
    play.until(Phase.ASK, question="which-boulder")
    play.say(number)


def on_a_slab() -> Play:
    """A second boulder, number 4, of which style and key move were told."""
    play = tries()
    straight(play, "ended-middle")
    other(play, "count:4")
    play.until(Phase.ASK, question="boulder-style")
    play.say("style:slab")
    play.until(Phase.ASK, question="boulder-about")
    play.say("key-move:balance")
    return play


def test_a_new_boulder_is_asked_its_style_and_then_its_key_move() -> None:
    play = on_a_slab()
    named = play.found(BoulderNamed)[-1]
    assert (named.boulder, named.style, named.about) == ("number 4", "slab", "balance")
    play.until(Phase.WORK, StepKind.TRY)
    assert play.said[-1] == play.language.text(message("prepare-balance"))


def test_nothing_told_of_its_style_asks_nothing_more() -> None:
    for answer in ("no", ""):
        play = tries()
        straight(play, "ended-middle")
        other(play, "count:4")
        play.until(Phase.ASK, question="boulder-style")
        play.say(answer)
        play.run(40.0)
        assert play.session.phase is Phase.REST
        assert not any("What is it about" in text for text in play.said)


def test_silence_about_its_key_move_leaves_the_style() -> None:
    play = tries()
    straight(play, "ended-middle")
    other(play, "count:4")
    play.until(Phase.ASK, question="boulder-style")
    play.say("style:wall")
    play.until(Phase.ASK, question="boulder-about")
    play.run(20.0)
    assert (play.found(BoulderNamed)[-1].style, play.found(BoulderNamed)[-1].about) == ("wall", "")


def test_what_was_told_of_a_boulder_on_another_day_is_not_asked_again() -> None:
    play = tries(known=(Boulder("number 4", "slab", 7),))
    straight(play, "ended-middle")
    other(play, "count:4")
    play.until(Phase.WORK, StepKind.TRY)
    named = play.found(BoulderNamed)[-1]
    assert (named.boulder, named.style, named.moves) == ("number 4", "slab", 7)
    assert play.said[-1] == play.language.text(message("remind-slab"))
    play.run(10.0)
    assert play.session.window is not None
    assert "move:4" in play.session.window.answers


def test_what_was_told_of_a_boulder_holds_when_it_comes_again() -> None:
    play = on_a_slab()
    other(play, "count:5")
    play.until(Phase.ASK, question="boulder-style")
    play.say("no")
    other(play, "count:4")
    named = play.found(BoulderNamed)[-1]
    assert (named.boulder, named.style, named.about) == ("number 4", "slab", "balance")


def test_a_boulder_that_was_tried_before_is_known() -> None:
    play = tries(went=(Went(1, "number 4", "middle", today=False),))
    straight(play, "ended-middle")
    other(play, "count:4")
    play.run(20.0)
    assert play.session.phase is Phase.REST


# bad input


def test_a_result_before_the_first_try_asks_which_boulder_and_is_kept_untimed() -> None:
    leap = ((1, Boulder("flint 4", about="leap")),)
    play = Play(routine="rests", minutes=120.0, boulders=leap)
    play.until(Phase.REST)
    play.say("topped", source=Source.KEY)
    play.until(Phase.ASK, question="which-boulder")
    play.say("count:3")
    last = play.found(Tried)[-1]
    assert (last.boulder, last.seconds, last.result, last.number) == ("number 3", 0.0, "topped", 1)


@pytest.mark.parametrize(
    ("first", "then"), list(permutations(("ended-start", "ended-top", "topped"), 2))
)
def test_a_result_told_anew_is_the_same_try_and_counts_last(first: str, then: str) -> None:
    play = tries()
    straight(play, first)
    play.run(5.0)
    play.say(then, source=Source.KEY)
    play.run(100.0)
    (tried,) = play.found(Tried)
    (anew,) = play.found(Retold)
    assert (anew.number, anew.result) == (1, then.removeprefix("ended-"))
    assert "Which boulder? A number, or nothing." not in play.said
    (went,) = play.session.tries.went
    assert went.result == anew.result
    assert play.session.tries.tops == (then == "topped")
    play.until(Phase.WORK, StepKind.TRY)
    assert play.said[-1].startswith("Try 2.")
    made = digest(play.facts, 1, play.session.library.movements)
    assert made.tried == ((tried.boulder, anew.result),)


def test_a_result_told_early_needs_no_question_any_more() -> None:
    play = tries()
    play.run(10.0)
    play.say("down")
    play.run(2.0)
    play.say("topped", source=Source.KEY)
    assert results(play) == ["topped"]
    play.run(60.0)
    assert play.session.phase is Phase.REST
    assert "How far did it get?" not in play.said


def test_an_end_that_nobody_tells_is_asked_once_after_the_longest_of_their_own() -> None:
    play = tries()
    play.run(100.0)
    assert play.said.count("Tell me when you're through.") == 1
    play.say("ended-middle")
    play.until(Phase.WORK, StepKind.TRY)
    asked = len(play.said)
    play.run(95.0)
    assert "Tell me when you're through." not in play.said[asked:]
    play.run(10.0)
    assert "Tell me when you're through." in play.said[asked:]
    play.run(300.0)
    play.say("finish")
    play.run(120.0)
    assert results(play)[:2] == ["middle", "untold"]


def test_ends_that_nobody_tells_do_not_teach_how_long_they_climb() -> None:
    play = tries()
    waited = []
    for _ in range(3):
        play.until(Phase.LEAD_IN, StepKind.TRY)
        while play.session.phase is not Phase.WORK:
            play.next()
        began, asked = play.now, play.said.count("Tell me when you're through.")
        while play.said.count("Tell me when you're through.") == asked:
            play.next()
        waited.append(round(play.now - began))
        while play.session.phase is Phase.WORK:
            play.next()
    assert len(set(waited)) == 1
    assert {fact.seconds for fact in play.found(Tried)[1:]} == {0.0}


def test_a_try_after_a_warning_sign_is_refused_with_the_caution() -> None:
    play = Play(minutes=120.0)
    play.until(Phase.WORK, StepKind.TRY)
    straight(play, "ended-middle")
    play.run(5.0)
    play.say("feel:fingers:hurting:8", source=Source.KEY)
    assert not any(step.kind is StepKind.TRY for step in play.session.course.steps)
    play.run(20.0)
    play.say("resume")
    play.say("last-go", source=Source.KEY)
    play.say("other-boulder", source=Source.KEY)
    play.run(10.0)
    assert "No hard tries after a warning sign. A clinician looks first." in play.said
    play.until(Phase.OVER)
    assert len(play.found(Tried)) == 1


def test_a_sign_of_an_earlier_day_refuses_it_as_well() -> None:
    play = Play(routine="rests", minutes=120.0, signs=((1, Part.FINGERS),))
    play.until(Phase.OVER)
    assert play.found(Tried) == []


def test_a_cause_is_an_answer_of_the_table_only() -> None:
    assert parse("cause:grip").cause == "grip"
    with pytest.raises(ValueError, match="cause:luck"):
        parse("cause:luck")


def test_a_result_that_is_skipped_stays_a_try_and_nothing_of_the_plan_goes() -> None:
    play = tries()
    play.run(10.0)
    play.say("down")
    play.until(Phase.ASK, question="try-result")
    left = play.session.course.steps
    play.say("skip", source=Source.KEY)
    assert results(play) == ["untold"]
    assert play.session.course.steps == left
    assert play.session.phase is Phase.REST


def test_going_back_from_a_question_asks_it_again() -> None:
    play = Play(routine="rests", minutes=90.0)
    play.until(Phase.WORK, StepKind.TRY)
    play.run(10.0)
    play.say("down")
    play.until(Phase.ASK, question="try-result")
    play.say("back", source=Source.KEY)
    assert any(one.question == "try-result" for one in play.session.questions.pending) or (
        play.session.questions.asking is not None
    )


def test_on_a_boulder_that_was_topped_nothing_stands_still_or_goes_down() -> None:
    play = tries()
    for result in ("topped", "ended-top", "ended-middle", "ended-start"):
        go(play, result)
    assert not any(text.startswith("Lower twice") for text in play.said)


def test_what_a_try_brought_is_said_on_the_ground() -> None:
    play = tries(boulder=FLINT)
    straight(play, "move:4")
    straight(play, "move:6")
    told = [e for e in play.effects if isinstance(e, Say) and e.what.key == "won-further"]
    assert [effect.on_the_move for effect in told] == [False]


def test_a_result_told_while_somebody_climbs_is_asked_about_on_the_ground() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.CLIMB)
    play.say("topped", source=Source.KEY)
    assert play.session.phase is Phase.WORK
    assert [one.question for one in play.session.questions.pending] == ["which-boulder"]


def test_when_it_is_over_there_is_no_other_boulder() -> None:
    play = tries()
    play.say("finish", source=Source.KEY)
    play.say("other-boulder", source=Source.KEY)
    assert play.session.questions.pending == ()
    assert (
        play.language.text(play.session.listening.did) == "another boulder does nothing right now."
    )


def test_what_was_seen_on_a_film_of_no_known_try_is_kept_too() -> None:
    play = Play(routine="rests", minutes=120.0, films=((1, "flint 4"),))
    play.until(Phase.CHECK_IN, question="seen-film")
    play.say("cause:foot")
    assert play.found(CauseTold)[0].cause == "foot"


# when it began


def test_who_says_when_a_try_begins_has_its_time_from_there() -> None:
    play = tries()
    play.run(20.0)
    assert "starting" in play.session.window.answers
    play.say("starting")
    assert "starting" not in play.session.window.answers
    play.run(12.0)
    play.say("ended-top")
    assert play.found(Tried)[0].seconds == pytest.approx(12.0)


def test_nothing_starts_where_no_try_runs() -> None:
    play = tries()
    straight(play, "ended-middle")
    play.say("starting", source=Source.KEY)
    assert play.session.phase is Phase.REST
    assert play.language.text(play.session.listening.did) == "starting now does nothing right now."


# what it is about, by key alone


def shown(play: Play, key: str) -> None:
    """A key of the screen, of those that are shown now."""
    assert key in look(play.session).answers, look(play.session).answers
    play.say(key, source=Source.KEY)


def described(play: Play) -> None:
    """Wait for the go-ahead, and ask to be asked what the boulder is about."""
    play.until(Phase.ASK, question="go-ahead")
    shown(play, "describe")


@pytest.mark.parametrize("style", ["style:slab", "style:roof", "no"])
@pytest.mark.parametrize("move", KEY_MOVES)
def test_every_key_move_is_told_by_shown_keys_alone(style: str, move: str) -> None:
    play = Play(routine="rests", minutes=120.0)
    described(play)
    play.until(Phase.ASK, question="boulder-style")
    shown(play, style)
    play.until(Phase.ASK, question="boulder-about")
    if f"key-move:{move}" not in look(play.session).answers:
        shown(play, "others")
        play.until(Phase.ASK, question="boulder-about")
    shown(play, f"key-move:{move}")
    described(play)
    play.until(Phase.ASK, question="boulder-move")
    shown(play, "move:5")
    play.until(Phase.ASK, question="boulder-hand")
    shown(play, "hand:left")
    play.until(Phase.ASK, question="go-ahead")
    shown(play, "go")
    (boulder,) = dict(play.session.tries.on).values()
    told = (boulder.about, boulder.key_at, boulder.hand, boulder.style)
    assert told == (move, 5, "left", "" if style == "no" else style.removeprefix("style:"))


def test_what_is_left_unanswered_of_it_comes_back_to_the_go_ahead() -> None:
    play = Play(routine="rests", minutes=120.0)
    described(play)
    play.until(Phase.ASK, question="boulder-style")
    play.run(40.0)
    play.until(Phase.ASK, question="go-ahead")
    shown(play, "go")
    assert play.session.day.go


def test_nothing_is_a_word_for_which_boulder() -> None:
    play = tries()
    straight(play, "ended-middle")
    other(play, "no")
    straight(play, "ended-middle")
    assert [fact.boulder for fact in play.found(Tried)] == ["boulder 1", "boulder 2"]


@pytest.mark.parametrize("ends", ["feel:fingers:sore", "feel:hurting", "hurt", "finish"])
def test_a_try_that_something_cuts_short_stays_a_try(ends: str) -> None:
    play = tries()
    play.run(20.0)
    play.send(Answered(play.now, parse(ends), 1, play.now, None, Source.KEY, Sureness.SURE))
    while not play.session.ended:
        play.run(30.0)
    assert [(fact.number, fact.result) for fact in play.found(Tried)] == [(1, "untold")]


def test_whoever_is_sore_before_her_go_rests_instead() -> None:
    """The rest that stands in place of her try was once run as a step of work without a word."""
    play = tries(people=2)
    play.say("feel:fingers:sore")
    while not play.session.ended:
        play.run(20.0)
    assert "" not in play.said
    assert all(fact.kind != "rest" for fact in play.found(StepEnded))


def test_why_a_try_ended_is_told_of_its_boulder_though_another_was_chosen_since() -> None:
    play = tries()
    play.run(20.0)
    play.say("down")
    play.run(20.0)
    play.say("ended-middle")
    play.say("other-boulder", source=Source.KEY)
    play.until(Phase.ASK, question="which-boulder")
    play.say("count:7")
    play.until(Phase.REST)
    play.say("cause:skin", source=Source.KEY)
    [tried], [told] = play.found(Tried), play.found(CauseTold)
    assert told.boulder == tried.boulder


def test_a_move_told_to_the_question_how_far_answers_it() -> None:
    play = tries()
    play.run(20.0)
    play.say("down")
    play.until(Phase.ASK, question="try-result")
    asked = sum("How far" in text for text in play.said)
    play.say("move:5")
    assert play.session.phase is Phase.REST
    play.run(60.0)
    assert sum("How far" in text for text in play.said) == asked
    assert [(fact.result, fact.move) for fact in play.found(Tried)] == [("below", 5)]


def test_a_try_counts_for_the_change_that_was_said_before_it() -> None:
    """Though the one before it was left untold until it was over."""
    play = tries(boulder=FLINT)
    straight(play, "ended-middle")
    straight(play, "ended-middle")
    play.say("cause:foot")
    for _ in range(2):
        play.until(Phase.WORK, StepKind.TRY)
        assert play.said[-1] == "The other foothold."
        play.run(20.0)
        play.say("down")
    play.run(30.0)
    play.say("topped")
    assert [(fact.variation, fact.gave) for fact in play.found(Varied)][-1] == (
        "other-foot",
        "better",
    )
    assert any("That helped: another foothold." in text for text in play.said)


def test_where_the_skin_ends_all_tries_nothing_is_rested_for() -> None:
    play = tries()
    play.run(20.0)
    play.say("ended-top")
    play.run(40.0)
    play.say("feel:sore")
    play.until(Phase.ASK, question="which-part")
    play.say("part:skin")
    play.run(10.0)
    assert not any(step.kind is StepKind.TRY for step in play.session.course.steps)
    assert play.session.rests.resting is None


def test_a_long_pause_before_a_try_is_told_once() -> None:
    play = tries()
    play.run(20.0)
    play.say("ended-top")
    play.run(20.0)
    play.say("pause")
    play.run(600.0)
    play.say("resume")
    play.until(Phase.WORK, StepKind.TRY)
    assert sum("minutes without moving" in text for text in play.said) == 1
