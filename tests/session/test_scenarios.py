"""What a session does, told as small stories."""

from dataclasses import replace

import pytest

from coach import planning
from coach.model.answers import parse
from coach.model.body import CapReason, Feel, Part, ceiling
from coach.model.day import Change
from coach.model.facts import (
    CapSet,
    Climbed,
    Decided,
    EdgeChecked,
    Felt,
    Finished,
    GateAnswered,
    Rested,
    SignTold,
    StepEnded,
    Tried,
)
from coach.model.plan import StepKind
from coach.session.dialogue import Asking
from coach.session.effects import Cut, End
from coach.session.effects import Play as Tone
from coach.session.events import (
    Answered,
    ClockJumped,
    DeviceLost,
    DeviceReturned,
    KeyClaimed,
    Reopened,
    Source,
    SpeechBegan,
    SpeechEnded,
    Started,
    Sureness,
    TimePassed,
)
from coach.session.looking import look
from coach.session.state import Phase
from coach.session.step import RefusedError, new_session, step
from coach.session.view import Ear, Word
from tests.session.stage import LANGUAGE, LIBRARY, Play, library_of


def test_a_session_needs_somebody() -> None:
    with pytest.raises(ValueError, match="at least one person"):
        new_session(LIBRARY, replace(Play().session.options, people=()))


# check-in


def test_the_check_in_asks_what_was_not_settled_and_says_the_plan() -> None:
    play = Play(minutes=None, hurting=None, same_place=None)
    play.until(Phase.LEAD_IN)
    questions = [text for text in play.said if text.endswith("?")]
    assert len(questions) == 3
    assert any(text.startswith("86 minutes") or "minutes: warm up" in text for text in play.said)


def test_only_minutes_that_are_enough_to_warm_up_in_are_offered() -> None:
    long = replace(LIBRARY, routine=replace(LIBRARY.routine, least_minutes=45))
    begun, _ = step(new_session(long, replace(Play().session.options, minutes=None)), Started(0.0))
    assert begun.questions.asking is not None
    assert begun.questions.asking.offered == tuple(
        f"minutes:{number}" for number in (45, 60, 75, 90, 120)
    )


def test_too_few_minutes_are_told_asked_once_more_and_then_it_ends() -> None:
    play = Play(minutes=None)
    routine = replace(play.session.library.routine, least_minutes=110)
    play.session = replace(play.session, library=replace(play.session.library, routine=routine))
    play.run(20.0)
    play.session = replace(
        play.session,
        questions=replace(play.session.questions, asking=Asking("minutes", 1, closes=play.now + 9)),
    )
    play.say("minutes:30", source=Source.KEY)
    play.run(4.0)
    assert any("too short" in text for text in play.said)
    assert play.session.options.minutes is None
    play.run(8.0)
    asking = play.session.questions.asking
    assert asking is not None
    assert asking.times == 2


def test_silence_about_minutes_takes_the_usual_length() -> None:
    play = Play(minutes=None)
    play.run(40.0)
    assert play.session.options.minutes == LIBRARY.routine.minutes


def test_what_hurts_at_the_check_in_shapes_the_first_plan() -> None:
    play = Play(hurting=None)
    play.until(Phase.CHECK_IN, question="hurting")
    play.say("feel:sore")
    play.until(Phase.ASK, question="which-part")
    play.say("part:fingers")
    play.until(Phase.LEAD_IN)
    assert ceiling(play.session.day.caps, 1, Part.FINGERS) <= 1
    assert Felt(play.found(Felt)[0].at, 1, Part.FINGERS, Feel.SORE, None, "") in play.facts
    assert all(step.kind is not StepKind.TRY for step in play.session.course.steps)


def test_what_was_told_by_option_and_before_counts_too() -> None:
    told = Play(hurting=((1, Part.SHOULDERS, Feel.HURTING),), signs=((1, Part.FINGERS),))
    told.run(1.0)
    assert {fact.part for fact in told.found(SignTold)} == {Part.FINGERS}
    assert ceiling(told.session.day.caps, 1, Part.SHOULDERS) == 0
    assert ceiling(told.session.day.caps, 1, Part.FINGERS) == 0


def test_a_check_in_that_takes_too_long_ends_well() -> None:
    play = Play(minutes=30.0, hurting=None)
    play.until(Phase.CHECK_IN, question="hurting")
    play.say("pause")
    play.run(25 * 60.0)
    play.say("resume")
    play.until(Phase.OVER)
    assert any("too little time" in text for text in play.said)


def test_finish_before_there_is_a_plan_ends_at_once() -> None:
    play = Play(hurting=None)
    play.until(Phase.CHECK_IN, question="hurting")
    play.say("finish", source=Source.KEY)
    play.run(5.0)
    assert play.session.phase is Phase.OVER
    assert play.found(Finished)[0].how == "ended"


def test_sore_during_the_check_in_is_kept() -> None:
    play = Play(hurting=None)
    play.until(Phase.CHECK_IN, question="hurting")
    play.say("feel:fingers:sore")
    play.run(1.0)
    assert ceiling(play.session.day.caps, 1, Part.FINGERS) <= 1


def test_sore_before_there_is_a_day_waits_for_the_question() -> None:
    play = Play(minutes=None, hurting=None)
    play.say("feel:fingers:sore")
    assert play.session.day is None
    assert look(play.session).did is not None


# steps


def test_a_timed_step_runs_from_its_start_tone_to_its_end_tone() -> None:
    play = Play()
    play.until(Phase.WORK)
    running = play.session.course.running
    assert running.until - running.since == pytest.approx(running.step.seconds)
    tones = [effect for effect in play.effects if isinstance(effect, Tone)]
    assert {(tone.tone.value, tone.at) for tone in tones} >= {
        ("start", running.since),
        ("end", running.until),
    }


def test_done_ends_a_step_early_and_a_half_done_floor_costs_the_ceiling() -> None:
    play = Play()
    play.until(Phase.WORK)
    assert play.session.course.running.step.floor
    play.run(3.0)
    play.say("done")
    assert any(cap.reason is CapReason.COLD for cap in play.session.day.caps)
    other = Play()
    other.until(Phase.WORK)
    other.run(30.0)
    other.say("done")
    assert all(cap.reason is not CapReason.COLD for cap in other.session.day.caps)
    assert other.found(StepEnded)[0].outcome == "done"
    assert other.found(StepEnded)[0].amount < 60


def test_a_count_tells_how_many_so_far_and_the_last_ends_the_batch() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.CLIMB)
    amount = play.session.course.running.step.amount
    play.run(60.0)
    play.say("count:3")
    assert play.session.course.running.counted == 3
    play.run(45.0)
    play.say(f"count:{amount}", source=Source.KEY)
    assert play.found(Climbed)[0].boulders == amount
    play.say("count:2", source=Source.KEY)
    assert len(play.found(Climbed)) == 1


def test_a_batch_that_nobody_ends_is_asked_about_once_and_then_ends() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.CLIMB)
    name = play.session.course.running.step.name
    before = len(play.said)
    play.run(2.0 * play.session.course.running.step.seconds)
    assert "through" in " ".join(play.said[before:])
    assert any(fact.step == name for fact in play.found(StepEnded))


def test_again_back_and_more_time() -> None:
    play = Play()
    play.until(Phase.WORK)
    play.say("back")
    assert "nothing to go back" in play.heard_last
    play.run(62.0)
    play.until(Phase.WORK)
    cue = play.session.speech.last_cue
    play.say("again")
    assert play.session.speech.saying is not None
    assert play.session.speech.saying.what == cue
    name = play.session.course.past[-1].name
    play.say("back")
    play.until(Phase.WORK)
    assert play.session.course.running.step.name == f"{name}+"
    play.say("back")
    play.until(Phase.WORK)
    assert play.session.course.running.step.name == f"{name}++"
    play.say("more-time")
    play.run(150.0)
    assert any(fact.suggested == 60.0 for fact in play.found(Rested))


def test_a_dose_goes_on_by_another_and_ends_by_enough() -> None:
    play = Play(routine="goes")
    play.until(Phase.ASK, question="another")
    assert play.session.course.running.go == 1
    play.say("another")
    play.until(Phase.ASK, question="another")
    assert play.session.course.running.go == 2
    asked = sum(text.startswith("One more go") for text in play.said)
    play.say("enough")
    assert asked == 1
    assert [fact.amount for fact in play.found(StepEnded)][-1] == 2.0


def test_the_easiest_form_stays_and_harder_takes_the_next_one_up() -> None:
    play = Play()
    play.until(Phase.WORK)
    before = play.session.course.running.step.forms
    play.say("easier")
    play.run(5.0)
    assert play.said[-1] == "This is the easiest form."
    assert play.session.course.running.step.forms == before
    play.say("harder")
    play.run(5.0)
    assert "Knee lifts instead." in play.said
    assert [form.movement for form in play.session.course.running.step.forms] == ["knee-lifts"]


# rests and tries


def test_ready_ends_a_rest_and_more_time_lengthens_it() -> None:
    play = Play()
    play.until(Phase.REST)
    until = play.session.rests.resting.until
    play.say("more-time")
    assert play.session.rests.resting.until == until + 60.0
    play.say("easier", source=Source.KEY)
    play.run(4.0)
    until = play.session.rests.resting.until
    play.say("ready")
    assert play.said[-1].endswith("seconds more at least.")
    assert play.session.rests.resting.until == until
    play.until(Phase.WORK, StepKind.TRY)
    play.say("down")
    play.until(Phase.REST)
    play.run(125.0)
    play.say("ready", source=Source.KEY)
    assert play.session.rests.resting is None
    last = play.found(Rested)[-1]
    assert 120.0 <= last.seconds < last.suggested


def test_a_try_is_told_by_down_and_its_result_when_the_breath_is_back() -> None:
    play = Play(routine="rests", minutes=90.0)
    play.until(Phase.WORK, StepKind.TRY)
    play.run(20.0)
    play.say("down")
    assert play.session.phase is Phase.REST
    down = play.now
    play.until(Phase.ASK, question="try-result")
    assert 15.0 <= play.now - down <= 25.0
    play.say("topped")
    assert play.found(Tried)[0].result == "topped"
    assert play.session.tries.tops == 1
    assert play.found(Decided)[0].go
    play.until(Phase.WORK, StepKind.TRY)
    play.run(20.0)
    play.say("ended-middle")
    assert play.found(Tried)[1].result == "middle"


def test_a_result_that_nobody_tells_is_kept_as_untold() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.TRY)
    play.run(10.0)
    play.say("down")
    play.run(80.0)
    assert play.found(Tried) == []  # it may be told until the next one is over
    play.say("finish")
    play.run(120.0)
    assert [fact.result for fact in play.found(Tried)] == ["untold"]


def test_more_time_at_the_go_ahead_rests_and_asks_again() -> None:
    play = Play()
    play.until(Phase.ASK, question="go-ahead")
    play.say("more-time")
    play.run(20.0)
    assert play.session.phase is Phase.REST
    play.until(Phase.ASK, question="go-ahead")
    play.say("not-today")
    assert play.found(Decided)[-1].go is False
    assert all(step.kind is not StepKind.TRY for step in play.session.course.steps)


def test_the_edge_check_is_recorded_with_its_hold_and_feet() -> None:
    play = Play()
    play.until(Phase.ASK, question="gate-fingers")
    play.say("feel:fresh")
    checked = play.found(EdgeChecked)[0]
    assert (checked.edge, checked.feet, checked.feel) == ("medium", "off", Feel.FRESH)
    assert [fact.answer for fact in play.found(GateAnswered)][-1] == "feel:fresh"


def test_silence_opens_no_gate() -> None:
    play = Play()
    play.until(Phase.ASK, question="gate-body")
    play.run(30.0)
    assert play.found(GateAnswered)[0].answer == "silence"
    assert any(cap.rule == "gate-body" for cap in play.session.day.caps)


# soreness, hurt, stop, pause


def test_sore_on_the_wall_is_kept_at_once_and_asked_about_on_the_floor() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.CLIMB)
    play.say("feel:fingers:sore")
    assert ceiling(play.session.day.caps, 1, Part.FINGERS) <= 1
    assert any(fact.part is Part.FINGERS for fact in play.found(CapSet))


def test_something_sore_asks_where_then_what() -> None:
    play = Play()
    play.until(Phase.WORK)
    play.say("feel:sore")
    play.until(Phase.ASK, question="which-part")
    play.say("part:shoulders")
    play.until(Phase.ASK, question="tissue")
    play.say("tissue:muscle")
    play.run(3.0)
    assert ceiling(play.session.day.caps, 1, Part.SHOULDERS) <= 1


def test_a_warning_sign_stops_the_part_for_today() -> None:
    play = Play()
    play.until(Phase.ASK, question="gate-fingers")
    play.say("feel:hurting")
    play.until(Phase.ASK, question="sign")
    play.say("sign:yes")
    play.run(2.0)
    assert play.found(SignTold)
    assert ceiling(play.session.day.caps, 1, Part.FINGERS) == 0
    play.send(KeyClaimed(play.now, "cleared:fingers"))
    assert ceiling(play.session.day.caps, 1, Part.FINGERS) == 0
    assert play.session.listening.did.key == "cleared"
    play.send(KeyClaimed(play.now, "cleared:everything"))
    assert play.session.listening.did.key == "not-now"


@pytest.mark.parametrize("part", ["part:ankles", ""])
def test_hurt_ends_the_timers_says_what_to_do_and_leaves_the_choice(part: str) -> None:
    play = Play()
    play.until(Phase.WORK)
    play.run(5.0)
    play.say("hurt")
    assert play.session.phase is Phase.HURT
    assert isinstance(next(e for e in reversed(play.effects) if isinstance(e, Cut)), Cut)
    play.until(Phase.HURT, question="fall-head")
    play.say("no")
    play.until(Phase.HURT, question="which-part")
    if part:
        play.say(part)
        assert ceiling(play.session.day.caps, 1, Part.ANKLES) == 0
        play.until(Phase.HURT, question="fall-sign")
        play.say("no")
        play.until(Phase.HURT, question="after-hurt")
    play.say("hurt")
    play.until(Phase.HURT, question="fall-head")
    play.say("finish", source=Source.KEY)
    play.until(Phase.OVER)
    assert play.found(Finished)[0].how == "hurt"


def test_hurt_before_the_plan_and_in_a_rest() -> None:
    early = Play(hurting=None)
    early.until(Phase.CHECK_IN, question="hurting")
    early.say("hurt", source=Source.KEY)
    early.run(8.0)
    assert early.session.questions.asking.question == "fall-head"
    assert early.session.phase is Phase.HURT
    resting = Play()
    resting.until(Phase.REST)
    resting.say("hurt")
    assert resting.session.phase is Phase.HURT


def test_pause_stands_still_and_resume_goes_on() -> None:
    play = Play()
    play.until(Phase.WORK)
    play.run(10.0)
    left = play.session.course.running.until - play.now
    play.say("pause")
    play.say("pause")
    assert look(play.session).stands_at == pytest.approx(left)
    play.run(100.0)
    play.say("done", source=Source.KEY)
    assert play.session.phase is Phase.PAUSED
    play.say("whats-next")
    play.say("how-long")
    play.say("why")
    play.run(20.0)
    play.say("resume")
    play.until(Phase.WORK)
    running = play.session.course.running
    assert running.until - running.since == pytest.approx(left)
    assert play.session.standing.paused == pytest.approx(120.0, abs=1.0)


def test_stop_asks_and_waits_for_ever() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.CLIMB)
    play.run(30.0)
    play.say("stop")
    play.say("stop")
    play.run(300.0)
    assert look(play.session).word is Word.STOPPED
    play.say("resume")
    assert play.session.course.running.worked == pytest.approx(30.0, abs=1.0)
    play.until(Phase.WORK)
    play.say("resume", source=Source.KEY)


def test_a_long_pause_offers_to_warm_up_again() -> None:
    play = Play(minutes=120.0)
    play.until(Phase.WORK, StepKind.CLIMB)
    play.say("pause")
    play.run(21 * 60.0)
    play.say("resume")
    play.until(Phase.ASK, question="re-warm")
    play.say("rewarm")
    assert any("re-warm" in step.name for step in play.session.course.steps)


def test_a_pause_inside_a_question_asks_it_again() -> None:
    play = Play()
    play.until(Phase.ASK, question="gate-body")
    play.say("pause")
    play.run(10.0)
    play.say("resume")
    play.until(Phase.ASK, question="gate-body")


# doubts


def test_an_unsure_skip_is_asked_back() -> None:
    play = Play()
    play.until(Phase.WORK)
    play.say("skip", sure=Sureness.UNSURE)
    play.until(Phase.ASK, question="confirm")
    play.say("no")
    play.until(Phase.WORK)
    play.say("skip", sure=Sureness.UNSURE)
    play.until(Phase.ASK, question="confirm")
    name = play.session.course.running.step.name
    play.say("yes")
    assert play.found(StepEnded)[-1].step == name


def test_an_unsure_answer_on_the_wall_waits_for_the_floor() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.CLIMB)
    play.say("hurt", sure=Sureness.UNSURE)
    assert play.session.phase is Phase.WORK
    assert [asking.question for asking in play.session.questions.pending] == ["confirm"]


def test_an_unsure_raise_has_to_be_said_once_more() -> None:
    play = Play()
    play.until(Phase.ASK, question="go-ahead")
    play.say("go", sure=Sureness.UNSURE)
    assert play.found(Decided) == []
    play.say("go", sure=Sureness.UNSURE)
    assert play.found(Decided)[0].go


def test_what_does_not_count_now_is_shown_and_changes_nothing() -> None:
    play = Play()
    play.until(Phase.WORK)
    for key in ("yes", "topped", "count:4", "resume", "ready", "effort:5", "sign:yes"):
        before = play.session.course.steps
        play.say(key)
        assert play.session.course.steps == before
    assert play.session.listening.did is not None


def test_a_key_of_a_window_that_has_closed_is_dropped() -> None:
    play = Play()
    play.until(Phase.WORK)
    old = play.session.window.number
    play.say("done")
    play.until(Phase.WORK)
    steps = play.session.course.steps
    play.send(Answered(play.now, parse("skip"), 1, play.now, old, Source.KEY))
    assert play.session.course.steps == steps
    play.send(Answered(play.now, parse("skip"), 1, play.now, None, Source.KEY))
    assert play.session.course.steps != steps


def test_the_address_word_opens_the_ear_outside_windows_but_not_on_the_wall() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.CLIMB)
    play.say("how-long", addressed=True)
    assert play.session.listening.did.key == "not-now"
    play.until(Phase.REST)
    play.say("short-of-time", addressed=True)
    assert play.session.listening.did.key == "short-of-time"


def test_a_question_waits_for_speech_to_end() -> None:
    play = Play()
    play.until(Phase.ASK, question="gate-body")
    closes = play.session.questions.asking.closes
    play.run(closes - play.now - 0.1)
    play.send(SpeechBegan(play.now, play.now))
    play.run(1.0)
    assert play.session.window is not None
    play.send(SpeechEnded(play.now, play.now))
    play.run(1.0)
    assert play.session.questions.asking.times == 2


# devices and clocks


def test_a_lost_device_is_told_once_and_its_return_too() -> None:
    play = Play()
    play.until(Phase.WORK)
    before = len(play.said)
    for _ in range(2):
        play.send(DeviceLost(play.now, "microphone", "unplugged"))
    assert look(play.session).ear is Ear.GONE
    for _ in range(2):
        play.send(DeviceReturned(play.now, "microphone"))
    play.run(8.0)
    assert len(play.said) == before + 2


def test_a_device_that_reports_nothing_stops_no_session() -> None:
    play = Play()
    for _ in range(40):
        play.world._events.clear()
        play.world.clock.advance(30.0)
        play.send(TimePassed(play.now))
    assert play.found(StepEnded)


def test_sleep_is_a_pause_whose_time_is_gone() -> None:
    play = Play()
    play.until(Phase.WORK)
    ends = play.session.day.ends_at
    play.send(ClockJumped(play.now, 600.0))
    assert play.session.phase is Phase.PAUSED
    assert play.session.day.ends_at == ends - 600.0
    play.send(ClockJumped(play.now, 60.0))
    early = Play(minutes=None)
    early.send(ClockJumped(early.now, 35.0))
    assert early.session.phase is Phase.PAUSED


def test_a_stall_goes_on_by_itself() -> None:
    play = Play()
    play.until(Phase.WORK)
    ends, said = play.session.day.ends_at, len(play.said)
    play.send(ClockJumped(play.now, 29.0))
    assert play.session.phase is Phase.WORK
    assert play.session.day.ends_at == ends - 29.0
    assert len(play.said) == said


def test_a_crash_in_a_pause_a_question_and_the_debrief() -> None:
    paused = Play()
    paused.until(Phase.WORK, StepKind.CLIMB)
    paused.run(5.0)
    paused.send(Reopened(paused.now + 30.0, 30.0))
    assert paused.session.course.running.worked == pytest.approx(5.0, abs=0.5)
    paused.say("pause")
    paused.send(Reopened(paused.now + 30.0, 30.0))
    assert paused.session.phase is Phase.PAUSED
    asked = Play()
    asked.until(Phase.ASK, question="gate-body")
    asked.send(Reopened(asked.now + 30.0, 30.0))
    assert asked.session.questions.asking.question == "gate-body"
    ended = Play()
    ended.until(Phase.WORK)
    ended.say("finish", source=Source.KEY)
    ended.send(Reopened(ended.now + 30.0, 30.0))
    assert ended.session.phase is Phase.DEBRIEF


# the end


def test_a_good_day_ends_with_facts_and_an_effort() -> None:
    play = Play()
    play.until(Phase.OVER)
    finished = play.found(Finished)[0]
    assert (finished.how, finished.effort) == ("done", 5)
    assert finished.seconds == pytest.approx(play.session.ended)
    play.run(5.0)
    while not any(isinstance(effect, End) for effect in play.effects):
        play.next()
    assert any("on the record" in text for text in play.said)
    assert look(play.session).answers == ()


def test_finish_in_the_debrief_needs_no_effort() -> None:
    play = Play()
    play.until(Phase.WORK)
    play.say("finish", source=Source.KEY)
    play.run(2.0)
    play.say("finish", source=Source.KEY)
    assert play.session.phase is Phase.OVER
    assert play.session.effort is None


def test_a_rest_is_finished_from_too() -> None:
    play = Play()
    play.until(Phase.REST)
    play.say("finish", source=Source.KEY)
    assert play.session.phase is Phase.DEBRIEF


# several people


def test_two_people_are_told_apart_by_number() -> None:
    play = Play(people=2)
    play.until(Phase.ASK, question="gate-body")
    assert play.session.questions.asking.who == 1
    play.say("feel:fine")
    play.until(Phase.ASK, question="gate-body")
    assert play.session.questions.asking.who == 2
    play.say("feel:stiff")
    play.until(Phase.ASK, question="which-part")
    play.say("part:hips", who=1)
    play.run(5.0)
    assert {fact.who for fact in play.found(Felt)} == {2}
    play.until(Phase.WORK, StepKind.TRY)
    assert play.session.course.running.step.turn in (1, 2)
    assert any(text.startswith("Person") for text in play.said)


@pytest.mark.parametrize(
    ("said", "told"),
    [
        (("effort:7", "effort:3"), [(0, None), (1, 7), (2, 3)]),
        (("effort:7", None), [(0, None), (1, 7)]),
        ((None,), [(0, None)]),
    ],
)
def test_each_of_two_is_asked_how_hard_it_was(
    said: tuple[str | None, ...], told: list[tuple[int, int | None]]
) -> None:
    play = Play(people=2)
    for who, key in enumerate(said, 1):
        play.until(Phase.DEBRIEF, question="effort")
        assert play.session.questions.asking.who == who
        if key is not None:
            play.say(key)
    play.run(60.0)
    assert play.session.phase is Phase.OVER
    assert [(fact.who, fact.effort) for fact in play.found(Finished)] == told


# what is drawn


def test_the_view_shows_the_word_the_time_and_the_day() -> None:
    play = Play()
    assert look(new_session(LIBRARY, play.session.options)).word is Word.READY
    seen = set()
    while play.session.phase is not Phase.OVER:
        view = look(play.session)
        seen.add(view.word)
        for message in (view.step, view.cue, view.form, view.heard, view.did):
            if message is not None:
                LANGUAGE.text(message)
        s = play.session
        if s.questions.asking is not None and s.window is not None:
            play.say(
                "feel:fine"
                if s.questions.asking.question.startswith("gate")
                else s.window.answers[0]
            )
        elif s.phase is Phase.WORK and s.course.running.step.on_the_wall and s.window is not None:
            play.say(s.window.answers[0])
        play.next()
    assert seen >= {
        Word.STAY,
        Word.MOVE,
        Word.BREATHE,
        Word.HANG,
        Word.CLIMB,
        Word.TRY,
        Word.REST,
        Word.ANSWER,
    }


# corners


def test_a_sore_part_told_after_the_time_has_gone_ends_well() -> None:
    play = Play(minutes=60.0, hurting=None)
    play.until(Phase.CHECK_IN, question="hurting")
    play.send(ClockJumped(play.now, 55 * 60.0))
    play.say("resume", source=Source.KEY)
    play.until(Phase.CHECK_IN, question="hurting")
    play.say("no")
    assert play.session.phase is Phase.OVER


def test_minutes_that_no_session_has_end_the_check_in() -> None:
    play = Play(minutes=5.0)
    assert play.session.phase is Phase.OVER
    play.next()
    play.next()
    assert any("too little time" in text for text in play.said)


def test_a_confirmation_in_the_check_in_leads_back_to_it() -> None:
    play = Play(hurting=None)
    play.until(Phase.CHECK_IN, question="hurting")
    play.say("finish", sure=Sureness.UNSURE, addressed=True)
    play.until(Phase.ASK, question="confirm")
    play.say("no")
    play.until(Phase.CHECK_IN, question="hurting")


def test_a_confirmation_while_standing_still_leads_back_to_that() -> None:
    play = Play()
    play.until(Phase.WORK)
    play.say("stop")
    play.until(Phase.STOPPED, question="carry-on")
    play.say("skip", sure=Sureness.UNSURE, addressed=True)
    play.until(Phase.STOPPED, question="confirm")
    play.say("no")
    play.until(Phase.STOPPED, question="carry-on")


def test_sides_sets_and_doses_take_their_easier_form_in_place() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.STAY)
    while play.session.course.running is None or not play.session.course.running.step.hangs:
        play.until(Phase.WORK, StepKind.STAY)
        play.next()
    play.until(Phase.WORK, StepKind.STAY)
    before = play.session.course.running.step
    play.say("easier", source=Source.KEY)
    after = play.session.course.running.step
    assert after.name == before.name
    assert after.forms != before.forms
    assert play.session.phase is Phase.LEAD_IN


def test_a_part_told_in_a_question_changes_the_step_that_waits() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.CLIMB)
    play.run(20.0)
    play.say("feel:sore")
    play.until(Phase.ASK, question="which-part")
    play.say("part:ankles")
    play.until(Phase.ASK, question="tissue")
    play.say("tissue:joint")
    play.run(60.0)
    for form in play.session.course.running.step.forms if play.session.course.running else ():
        assert form.load.get(Part.ANKLES, 0) == 0


def test_a_dose_with_a_floor_goes_on_by_itself_and_without_rest_at_once() -> None:
    play = Play(routine="goes")
    play.until(Phase.LEAD_IN, StepKind.DOSE)
    step = replace(play.session.course.running.step, least=2)
    play.session = replace(
        play.session,
        course=replace(
            play.session.course,
            running=replace(play.session.course.running, step=step),
            steps=(step, *play.session.course.steps[1:]),
        ),
    )
    play.run(30.0)
    assert play.session.course.running.go == 2
    goes = library_of("goes")
    movement = replace(goes.movements["uneven-hang"], rest=0.0)
    movements = {**goes.movements, "uneven-hang": movement}
    other = Play(routine="goes")
    other.until(Phase.ASK, question="another")
    library = replace(other.session.library, movements=movements)
    other.session = replace(other.session, library=library)
    other.say("another")
    assert other.session.phase is Phase.LEAD_IN


def test_a_dose_that_is_left_counts_the_goes_that_were_done() -> None:
    play = Play(routine="goes")
    play.until(Phase.ASK, question="another")
    play.say("another")
    play.until(Phase.WORK, StepKind.DOSE)
    play.say("skip", source=Source.KEY)
    assert [fact.amount for fact in play.found(StepEnded)][-1] == 1.0


def test_a_pause_between_goes_asks_again_for_another() -> None:
    play = Play(routine="goes")
    play.until(Phase.ASK, question="another")
    play.say("pause")
    play.run(3.0)
    play.say("resume")
    play.until(Phase.ASK, question="another")


def test_the_last_things_of_a_session_can_be_asked_about() -> None:
    play = Play()
    play.until(Phase.REST)
    play.say("whats-next")
    play.session = replace(play.session, course=replace(play.session.course, steps=(), fired=()))
    play.say("whats-next", source=Source.KEY)
    play.say("why", source=Source.KEY)
    play.run(9.0)
    assert "Nothing has changed" in " ".join(play.said)
    assert "That was the last thing." in play.said


def test_words_are_asked_for_before_any_were_said() -> None:
    play = Play()
    play.until(Phase.WORK)
    play.session = replace(play.session, speech=replace(play.session.speech, last_cue=None))
    said = len(play.said)
    play.say("again")
    play.say("more-time", source=Source.KEY)
    play.session = replace(
        play.session, course=replace(play.session.course, steps=(), running=None)
    )
    play.say("skip", source=Source.KEY)
    play.say("more-time", source=Source.KEY)
    assert len(play.said) == said
    assert play.session.listening.did.key == "not-now"


def test_a_sign_or_a_hurt_part_can_be_named_at_once_by_key() -> None:
    play = Play()
    play.until(Phase.WORK)
    play.say("sign:knees:pop", source=Source.KEY)
    assert play.found(SignTold)
    other = Play()
    other.until(Phase.WORK)
    other.send(Answered(other.now, parse("hurt:knees"), 1, other.now, None, Source.KEY))
    assert ceiling(other.session.day.caps, 1, Part.KNEES) == 0
    early = Play(hurting=None)
    early.until(Phase.CHECK_IN, question="hurting")
    early.send(Answered(early.now, parse("hurt"), 1, early.now, None, Source.KEY))
    early.until(Phase.HURT, question="fall-head")
    early.say("no")
    early.until(Phase.HURT, question="which-part")
    early.say("part:wrists")
    assert ceiling(early.session.day.caps, 1, Part.WRISTS) == 0
    first = Play(minutes=None)
    first.send(Answered(first.now, parse("hurt"), 1, first.now, None, Source.KEY))
    first.until(Phase.HURT, question="fall-head")


def test_a_session_that_was_left_for_hours_is_closed() -> None:
    play = Play()
    play.until(Phase.WORK)
    play.send(Reopened(play.now + 4 * 3600.0, 4 * 3600.0))
    assert play.found(Finished)[0].how == "closed"
    assert isinstance(play.effects[-1], End)


def test_down_means_nothing_while_no_try_runs_and_done_nothing_in_one() -> None:
    play = Play()
    play.until(Phase.WORK)
    play.say("down", source=Source.KEY)
    assert play.session.listening.did.key == "not-now"


def test_a_check_without_a_hang_before_it_records_no_edge() -> None:
    play = Play()
    play.until(Phase.ASK, question="gate-fingers")
    play.session = replace(play.session, course=replace(play.session.course, past=()))
    play.say("feel:fine")
    assert play.found(EdgeChecked) == []


def test_a_result_without_a_try_and_a_re_warm_that_is_declined() -> None:
    play = Play(minutes=120.0)
    play.until(Phase.WORK, StepKind.CLIMB)
    play.say("pause")
    play.run(21 * 60.0)
    play.say("resume")
    play.until(Phase.ASK, question="re-warm")
    play.say("no")
    assert not any("re-warm" in step.name for step in play.session.course.steps)
    other = Play(routine="rests", minutes=90.0)
    other.until(Phase.WORK, StepKind.TRY)
    other.run(10.0)
    other.say("down")
    other.until(Phase.ASK, question="try-result")
    other.session = replace(
        other.session, tries=replace(other.session.tries, untold=((2, "hard.9.2", 1.0, 1),))
    )
    other.say("topped")
    assert other.found(Tried) == []


def test_a_sign_at_the_check_in_and_the_lack_of_one() -> None:
    for key, most in (("sign:yes", 0), ("no", 0)):
        play = Play(hurting=None)
        play.until(Phase.CHECK_IN, question="hurting")
        play.say("feel:hurting")
        play.until(Phase.ASK, question="which-part")
        play.say("part:fingers")
        play.until(Phase.ASK, question="sign")
        play.say(key)
        play.run(1.0)
        assert ceiling(play.session.day.caps, 1, Part.FINGERS) == most
        assert bool(play.found(SignTold)) is (key == "sign:yes")


def test_the_same_question_waits_only_once() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.CLIMB)
    for _ in range(2):
        play.say("hurt", sure=Sureness.UNSURE)
    assert len(play.session.questions.pending) == 1


def test_the_clock_may_ask_too_early() -> None:
    play = Play()
    play.until(Phase.ASK, question="gate-body")
    before = play.session
    play.send(TimePassed(play.now))
    assert play.session.questions.asking == before.questions.asking


def test_an_unsure_finish_in_the_check_in_is_asked_back_and_ends() -> None:
    play = Play(hurting=None)
    play.until(Phase.CHECK_IN, question="hurting")
    play.say("finish", sure=Sureness.UNSURE, addressed=True)
    play.until(Phase.ASK, question="confirm")
    play.say("yes")
    assert play.session.phase is Phase.OVER


def test_standing_still_goes_on_standing_after_a_crash() -> None:
    for word, question in (("stop", "carry-on"), ("hurt", "after-hurt")):
        play = Play()
        play.until(Phase.WORK)
        play.say(word)
        play.session = replace(
            play.session, questions=replace(play.session.questions, asking=None, pending=())
        )
        play.send(Reopened(play.now + 5.0, 5.0))
        assert play.session.questions.asking.question == question


def test_a_plan_that_changed_during_a_pause_begins_with_its_first_step() -> None:
    play = Play()
    play.until(Phase.WORK)
    play.say("pause")
    second = play.session.course.steps[1]
    play.session = replace(
        play.session, course=replace(play.session.course, steps=play.session.course.steps[1:])
    )
    play.say("resume")
    assert play.session.course.running.step == second
    play.until(Phase.WORK)
    play.say("pause")
    eased = replace(play.session.course.steps[0], seconds=11.0)
    play.session = replace(
        play.session,
        course=replace(play.session.course, steps=(eased, *play.session.course.steps[1:])),
    )
    play.say("resume")
    assert play.session.course.running.step == eased


def test_a_question_beside_the_work_leaves_the_work_running() -> None:
    play = Play()
    play.until(Phase.WORK)
    running = play.session.course.running
    asking = Asking("confirm", 1, about=parse("skip"))
    play.session = replace(play.session, questions=replace(play.session.questions, asking=asking))
    play.send(Answered(play.now, parse("no"), 1, play.now, None, Source.KEY))
    assert play.session.course.running == running
    assert play.session.phase is Phase.WORK


def test_a_step_that_waits_for_a_question_takes_its_new_form(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    play = Play()
    play.until(Phase.WORK)
    play.say("feel:sore")
    play.until(Phase.ASK, question="which-part")
    steps = play.session.course.steps
    eased = replace(steps[0], seconds=9.0)
    change = Change(play.session.day, (eased, *steps[1:]))
    monkeypatch.setattr(planning, "adapt", lambda *_: change)
    play.say("part:hips")
    play.until(Phase.WORK)
    assert play.session.course.running.step == eased


def test_a_key_may_answer_before_the_question_is_said_and_moves_a_rest() -> None:
    play = Play()
    play.until(Phase.ASK)
    assert play.session.window is None
    play.say("feel:fine", source=Source.KEY)
    play.until(Phase.REST)
    play.say("done", source=Source.KEY)
    assert play.session.listening.did.key == "not-now"
    name = play.session.course.steps[0].name
    play.say("skip")
    assert play.session.rests.resting is not None
    assert all(step.name != name for step in play.session.course.steps)
    play.until(Phase.LEAD_IN)
    play.send(TimePassed(play.now))
    assert play.session.phase is Phase.LEAD_IN


@pytest.mark.parametrize("phase", [Phase.WORK, Phase.ASK])
def test_a_change_may_come_without_words(phase: Phase, monkeypatch: pytest.MonkeyPatch) -> None:
    play = Play()
    play.until(Phase.WORK)
    steps = play.session.course.steps
    eased = replace(steps[0], seconds=9.0)
    left = (eased, *steps[1:]) if phase is Phase.WORK else steps[1:]
    change = Change(play.session.day, left)
    monkeypatch.setattr(planning, "adapt", lambda *_: change)
    said = len(play.said)
    play.say("easier")
    assert (
        play.session.course.running is None or play.session.course.running.step.name == left[0].name
    )
    assert all(text.startswith(("Walk", "Lift", "Swing")) for text in play.said[said:])


def test_hurt_in_a_step_that_is_no_floor_and_rests_of_every_length() -> None:
    play = Play()
    play.until(Phase.WORK)
    for extra in (0.0, 5.0, 30.0):
        step = replace(play.session.course.running.step, floor=False, rest=extra)
        play.session = replace(
            play.session,
            course=replace(
                play.session.course,
                running=replace(play.session.course.running, step=step),
                steps=(step, *play.session.course.steps[1:]),
            ),
        )
        play.run(3.0)
        play.say("done", source=Source.KEY)
        if play.session.rests.resting is not None:
            play.send(TimePassed(play.now))
            play.run(play.session.rests.resting.until - play.now - 4.0)
            play.say("why", source=Source.KEY)
            play.say("pause")
            play.say("resume")
        play.until(Phase.WORK)
    step = replace(play.session.course.running.step, floor=False)
    play.session = replace(
        play.session,
        course=replace(
            play.session.course, running=replace(play.session.course.running, step=step)
        ),
    )
    play.say("hurt")
    assert all(cap.reason is not CapReason.COLD for cap in play.session.day.caps)


def test_an_end_that_was_reached_is_refused_a_beginning() -> None:
    play = Play()
    with pytest.raises(RefusedError):
        play.send(Started(play.now))


def test_silence_about_a_warning_sign_is_not_one() -> None:
    play = Play()
    play.until(Phase.ASK, question="gate-fingers")
    play.say("feel:hurting")
    play.until(Phase.ASK, question="sign")
    play.run(40.0)
    assert play.found(SignTold) == []
    assert ceiling(play.session.day.caps, 1, Part.FINGERS) == 0
