"""Nothing but its own yes makes a rest shorter or a dose larger, whatever else is said."""

from dataclasses import replace

import pytest

from coach.model.answers import parse
from coach.model.body import Part, ceiling
from coach.model.facts import Climbed, StepEnded, Tried
from coach.model.plan import StepKind
from coach.session.effects import LEAD, Say
from coach.session.events import Answered, Reopened, Source, TimePassed
from coach.session.state import Phase
from coach.session.step import step
from tests.session.stage import Play


def hang(play: Play) -> None:
    """Go on until somebody hangs for a time, with a rest after it."""
    for _ in range(20):
        play.until(Phase.WORK, StepKind.STAY)
        if play.session.course.running.step.hangs and play.session.course.running.step.rest > 0:
            return
        while play.session.phase is Phase.WORK:
            play.next()
    raise AssertionError("nobody ever hung")


def second_go() -> Play:
    """A session in the second go of a dose."""
    play = Play(routine="goes")
    play.until(Phase.ASK, question="another")
    play.say("another")
    play.until(Phase.WORK, StepKind.DOSE)
    assert play.session.course.running.go == 2
    return play


def test_a_pause_in_a_dose_gives_no_go_back() -> None:
    play = second_go()
    play.run(2.0)
    play.say("pause")
    play.say("resume")
    play.until(Phase.WORK, StepKind.DOSE)
    assert play.session.course.running.go == 2


def test_a_crash_in_a_dose_gives_no_go_back() -> None:
    play = second_go()
    play.send(Reopened(play.now + 5.0, 5.0))
    play.until(Phase.WORK, StepKind.DOSE)
    assert play.session.course.running.go == 2


def test_an_easier_form_gives_no_go_back() -> None:
    play = second_go()
    play.say("easier", source=Source.KEY)
    running = play.session.course.running
    assert running is None or running.go == 2


@pytest.mark.parametrize("words", [("pause", "resume"), ("stop", "resume"), ("feel:sore",)])
def test_the_rest_between_two_goes_outlasts_what_is_said_in_it(words: tuple[str, ...]) -> None:
    play = Play(routine="goes")
    play.until(Phase.ASK, question="another")
    play.say("another")
    assert play.session.phase is Phase.REST
    until = play.session.rests.resting.until
    play.run(2.0)
    for word in words:
        play.say(word)
    if words == ("feel:sore",):
        play.until(Phase.ASK, question="which-part")
        play.say("part:knees")
        play.until(Phase.ASK, question="tissue")
        play.say("tissue:skin")
    play.run(max(until - play.now - 3.0, 0.0))
    assert play.session.rests.resting is not None
    assert play.session.rests.resting.until == until


def test_a_hang_that_is_skipped_is_rested_from() -> None:
    play = Play()
    hang(play)
    step = play.session.course.running.step
    play.run(step.seconds - 1.0)
    began = play.now
    play.say("skip", source=Source.KEY)
    assert play.session.phase is Phase.REST
    assert 0.0 <= began + step.rest - play.session.rests.resting.until <= 10.0
    hang(play)
    assert play.session.course.running.since >= began + step.rest


def test_a_hang_that_a_warning_sign_ends_is_rested_from() -> None:
    play = Play(routine="goes")
    play.until(Phase.WORK, StepKind.DOSE)
    step = play.session.course.running.step
    play.run(3.0)
    began = play.now
    play.say("feel:fingers:hurting:8", source=Source.KEY)
    assert all(one.name != step.name for one in play.session.course.steps)
    assert (1, Part.FINGERS, began + step.rest) in play.session.day.rested


def test_a_dose_that_soreness_eases_goes_on_with_what_was_left_of_it() -> None:
    play = second_go()
    play.run(3.0)
    left = play.session.course.running.until - play.now
    play.say("feel:fingers:sore")
    play.until(Phase.WORK, StepKind.DOSE)
    running = play.session.course.running
    assert (running.go, running.until - running.since) == (2, pytest.approx(left))


def test_a_step_that_is_skipped_before_it_began_needs_no_rest() -> None:
    play = Play()
    play.until(Phase.LEAD_IN, StepKind.STAY)
    play.say("skip")
    assert play.session.rests.resting is None


def test_going_back_waits_for_the_rest_to_end() -> None:
    play = Play()
    play.until(Phase.REST)
    until = play.session.rests.resting.until
    play.say("back", source=Source.KEY)
    assert play.session.rests.resting.until == until
    play.until(Phase.LEAD_IN)
    assert play.now >= until
    assert play.session.course.running.step.name.endswith("+")


def test_hurt_in_a_rest_does_not_end_the_rest_of_the_others() -> None:
    play = Play(people=2)
    play.until(Phase.WORK, StepKind.TRY)
    play.run(20.0)
    play.say("topped")
    play.until(Phase.REST)
    until = play.session.rests.resting.until
    play.send(Answered(play.now, parse("hurt:knees"), 2, play.now, None, Source.KEY))
    for question in ("fall-head", "fall-sign"):
        play.until(Phase.HURT, question=question)
        play.say("no")
    play.until(Phase.HURT, question="after-hurt")
    play.say("resume")
    assert play.session.rests.resting is not None
    assert play.session.rests.resting.until == until


def test_an_easier_form_of_a_stay_takes_only_what_was_left() -> None:
    play = Play()
    hang(play)
    step = play.session.course.running.step
    play.run(step.seconds - 2.0)
    play.say("easier", source=Source.KEY)
    assert play.session.course.running.step.forms != step.forms
    play.until(Phase.WORK, StepKind.STAY)
    running = play.session.course.running
    assert running.until - running.since <= 2.0 + LEAD + 1e-6


def test_a_count_and_a_longer_rest_survive_a_pause() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.CLIMB)
    play.run(60.0)
    play.say("count:2")
    play.say("more-time", source=Source.KEY)
    play.say("pause")
    play.run(40.0)
    play.say("resume")
    play.until(Phase.WORK, StepKind.CLIMB)
    running = play.session.course.running
    assert (running.counted, running.more_rest) == (2, 60.0)
    assert running.worked == pytest.approx(60.0, abs=1.0)


def test_what_was_done_of_a_step_that_is_left_is_recorded() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.STAY)
    step = play.session.course.running.step
    play.run(step.seconds / 4)
    play.say("skip")
    ended = play.found(StepEnded)[-1]
    assert ended.outcome == "skipped"
    assert ended.amount == pytest.approx(step.amount / 4, abs=1.0)


def test_a_batch_that_nobody_tells_of_is_recorded_as_untold() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.CLIMB)
    name = play.session.course.running.step.name
    play.run(2.0 * play.session.course.running.step.seconds)
    ended = next(fact for fact in play.found(StepEnded) if fact.step == name)
    assert (ended.outcome, ended.amount) == ("untold", 0.0)
    assert "I heard no number. Those 5 boulders come again before hard tries." in play.said
    names = [step.name for step in play.session.course.steps]
    assert names.index("easy.1-make-up") < names.index("middle.go-ahead")
    assert play.found(Climbed) == []


def test_a_try_that_nobody_ends_is_a_try_all_the_same() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.TRY)
    play.run(240.0)
    assert dict(play.session.tries.counts) == {1: 1}
    play.say("finish")
    play.run(120.0)
    assert [fact.result for fact in play.found(Tried)] == ["untold"]


def test_a_sore_part_belongs_to_who_told_it_not_to_who_is_asked() -> None:
    play = Play(people=2)
    play.until(Phase.ASK, question="gate-body")
    assert play.session.questions.asking.who == 1
    play.say("feel:fingers:sore", who=2, source=Source.KEY)
    play.run(0.5)
    assert ceiling(play.session.day.caps, 2, Part.FINGERS) <= 1
    assert ceiling(play.session.day.caps, 1, Part.FINGERS) > 1


def test_a_re_warm_puts_the_interrupted_step_off_and_loses_nothing_of_the_plan() -> None:
    play = Play(minutes=120.0)
    play.until(Phase.WORK, StepKind.STAY)
    name = play.session.course.running.step.name
    play.say("pause")
    play.run(21 * 60.0)
    play.say("resume")
    play.until(Phase.ASK, question="re-warm")
    play.say("rewarm")
    assert [step.name for step in play.session.course.steps][1] == name


def test_tries_that_take_long_leave_out_the_last_ones_and_end_in_time() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.TRY)
    play.session = replace(
        play.session, day=replace(play.session.day, ends_at=play.session.at + 25.0 * 60.0)
    )
    before = sum(step.kind is StepKind.TRY for step in play.session.course.steps)
    play.run(60.0 * 60.0)
    assert play.session.phase is Phase.OVER
    assert any("Time is short." in text for text in play.said)
    assert 0 < dict(play.session.tries.counts)[1] < before
    assert play.session.at <= play.session.day.ends_at + 240.0


def test_going_back_to_a_hang_is_for_who_asks_for_it() -> None:
    play = Play(people=2)
    hang(play)
    name = play.session.course.running.step.name
    play.until(Phase.LEAD_IN)
    while play.session.course.past[-1].name != name:
        play.next()
    play.say("back", who=1, source=Source.KEY)
    again = play.session.course.steps[0]
    assert again.name == f"{name}+"
    loads = {form.who: max(form.load.values(), default=0) for form in again.forms}
    assert loads.get(2, 0) <= 1 < loads[1]


def test_two_at_one_board_take_turns_and_each_has_goes_of_their_own() -> None:
    play = Play(people=2, routine="goes")
    play.until(Phase.ASK, question="another")
    step = play.session.course.running.step
    [mine] = [form.who for form in step.forms if form.load]
    assert step.amount < step.most
    while (
        play.session.course.running is not None
        and play.session.course.running.step.name == step.name
    ):
        assert play.session.course.running.go <= step.most
        asking = play.session.questions.asking
        if asking is not None and play.session.window is not None:
            play.say("another", who=mine)
        else:
            play.next()


def test_there_is_no_way_back_to_what_only_the_other_did() -> None:
    play = Play(people=2)
    hang(play)
    name = play.session.course.running.step.name
    play.until(Phase.LEAD_IN)
    while play.session.course.past[-1].name != name:
        play.next()
    *past, last = play.session.course.past
    mine = tuple(form if form.who == 1 else replace(form, movement="") for form in last.forms)
    play.session = replace(
        play.session, course=replace(play.session.course, past=(*past, replace(last, forms=mine)))
    )
    play.say("back", who=2, source=Source.KEY)
    assert play.session.listening.did.key == "no-way-back"


def test_what_is_left_of_a_rest_is_not_told_late() -> None:
    """A cue whose end no device reports holds up the next one for twenty seconds."""
    play = Play(routine="rests", minutes=120.0)
    play.until(Phase.WORK, StepKind.TRY)
    play.run(20.0)
    play.say("ended-middle")
    play.until(Phase.REST)
    play.run(play.session.rests.resting.until - play.now - 33.0)
    # somebody asks just before, and the end of the reply is never reported
    play.say("whats-next", source=Source.KEY)
    session, told = play.session, []
    while session.rests.resting is not None:
        session, effects = step(session, TimePassed(max(session.wake, session.at)))
        told += [effect.what.key for effect in effects if isinstance(effect, Say)]
    assert "rest-nearly-over" not in told
    assert "rest-ten" in told


def test_what_is_said_again_of_a_rest_tells_what_is_left_by_then() -> None:
    play = Play(routine="rests", minutes=60.0)
    play.until(Phase.ASK, question="go-ahead")
    play.say("more-time")
    while not play.said[-1].startswith("Half a minute"):
        play.run(1.0)
    play.run(12.0)
    play.say("again")
    play.run(2.0)
    assert play.said[-1] == "About 20 seconds of rest left."
