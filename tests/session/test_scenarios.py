"""What a session does, told as small stories."""

from dataclasses import replace

import pytest

from coach.model.answers import parse
from coach.model.body import CapReason, Feel, Part, ceiling
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
    Sureness,
    TimePassed,
)
from coach.session.looking import look
from coach.session.state import Phase
from coach.session.step import new_session
from coach.session.view import Ear, Word
from tests.session.stage import LANGUAGE, LIBRARY, Play


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


def test_too_few_minutes_are_told_and_asked_again() -> None:
    play = Play(minutes=None)
    play.until(Phase.CHECK_IN, question="minutes")
    play.say("minutes:30")
    play.run(12.0)
    assert any("too short" in text for text in play.said)
    assert play.session.options.minutes is None


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
    assert all(step.kind is not StepKind.TRY for step in play.session.steps)


def test_what_was_told_by_option_and_before_counts_too() -> None:
    told = Play(hurting=((1, Part.SHOULDERS, Feel.HURTING),), signs=((1, Part.FINGERS),))
    told.run(1.0)
    assert {fact.part for fact in told.found(SignTold)} == {Part.FINGERS}
    assert ceiling(told.session.day.caps, 1, Part.SHOULDERS) == 0
    assert ceiling(told.session.day.caps, 1, Part.FINGERS) == 0


def test_a_check_in_that_takes_too_long_ends_well() -> None:
    play = Play(minutes=60.0, hurting=None)
    play.until(Phase.CHECK_IN, question="hurting")
    play.say("pause")
    play.run(55 * 60.0)
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
    running = play.session.running
    assert running.until - running.since == pytest.approx(running.step.seconds)
    tones = [effect for effect in play.effects if isinstance(effect, Tone)]
    assert {(tone.tone.value, tone.at) for tone in tones} >= {
        ("start", running.since),
        ("end", running.until),
    }


def test_done_ends_a_step_early_and_a_half_done_floor_costs_the_ceiling() -> None:
    play = Play()
    play.until(Phase.WORK)
    assert play.session.running.step.floor
    play.run(3.0)
    play.say("done")
    assert any(cap.reason is CapReason.COLD for cap in play.session.day.caps)
    other = Play()
    other.until(Phase.WORK)
    other.run(50.0)
    other.say("done")
    assert all(cap.reason is not CapReason.COLD for cap in other.session.day.caps)
    assert other.found(StepEnded)[0].outcome == "done"
    assert other.found(StepEnded)[0].amount < 60


def test_a_count_tells_how_many_so_far_and_the_last_ends_the_batch() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.CLIMB)
    amount = play.session.running.step.amount
    play.run(60.0)
    play.say("count:3")
    assert play.session.running.counted == 3
    play.say(f"count:{amount}", source=Source.KEY)
    assert play.found(Climbed)[0].boulders == amount
    play.say("count:2", source=Source.KEY)
    assert len(play.found(Climbed)) == 1


def test_a_batch_that_nobody_ends_is_asked_about_once_and_then_ends() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.CLIMB)
    name = play.session.running.step.name
    before = len(play.said)
    play.run(2.0 * play.session.running.step.seconds)
    assert "through" in " ".join(play.said[before:])
    assert any(fact.step == name for fact in play.found(StepEnded))


def test_again_back_and_more_time() -> None:
    play = Play()
    play.until(Phase.WORK)
    play.say("back")
    assert "Nothing to go" in play.heard_last
    play.run(62.0)
    play.until(Phase.WORK)
    cue = play.session.last_cue
    play.say("again")
    assert play.session.saying is not None
    assert play.session.saying.what == cue
    name = play.session.past[-1].name
    play.say("back")
    play.until(Phase.WORK)
    assert play.session.running.step.name == f"{name}+"
    play.say("back")
    play.until(Phase.WORK)
    assert play.session.running.step.name == f"{name}++"
    play.say("more-time")
    play.run(150.0)
    assert any(fact.suggested == 60.0 for fact in play.found(Rested))


def test_a_dose_goes_on_by_another_and_ends_by_enough() -> None:
    play = Play()
    play.until(Phase.ASK, question="another")
    assert play.session.running.go == 1
    play.say("another")
    play.until(Phase.ASK, question="another")
    assert play.session.running.go == 2
    asked = sum(text.startswith("One more go") for text in play.said)
    play.say("enough")
    assert asked == 1
    assert [fact.amount for fact in play.found(StepEnded)][-1] == 2.0


def test_harder_is_refused_or_done_by_planning() -> None:
    play = Play()
    play.until(Phase.WORK)
    play.say("easier")
    play.run(5.0)
    assert play.session.did is not None


# rests and tries


def test_ready_ends_a_rest_and_more_time_lengthens_it() -> None:
    play = Play()
    play.until(Phase.REST)
    until = play.session.resting.until
    play.say("more-time")
    assert play.session.resting.until == until + 60.0
    play.say("easier", source=Source.KEY)
    play.run(4.0)
    play.say("ready")
    assert play.session.resting is None
    play.say("ready", source=Source.KEY)
    assert play.found(Rested)[0].seconds < play.found(Rested)[0].suggested


def test_a_try_is_told_by_down_and_its_result_when_the_breath_is_back() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.TRY)
    play.run(20.0)
    play.say("down")
    assert play.session.phase is Phase.REST
    down = play.now
    play.until(Phase.ASK, question="try-result")
    assert 15.0 <= play.now - down <= 25.0
    play.say("topped")
    assert play.found(Tried)[0].result == "topped"
    assert play.session.tops == 1
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
    assert all(step.kind is not StepKind.TRY for step in play.session.steps)


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
    assert play.session.did.key == "cleared"
    play.send(KeyClaimed(play.now, "cleared:everything"))
    assert play.session.did.key == "not-now"


@pytest.mark.parametrize("part", ["part:ankles", ""])
def test_hurt_ends_the_timers_says_what_to_do_and_leaves_the_choice(part: str) -> None:
    play = Play()
    play.until(Phase.WORK)
    play.run(5.0)
    play.say("hurt")
    assert play.session.phase is Phase.HURT
    assert isinstance(next(e for e in reversed(play.effects) if isinstance(e, Cut)), Cut)
    assert any("can't call" in text for text in play.said)
    play.until(Phase.HURT, question="which-part")
    if part:
        play.say(part)
        assert ceiling(play.session.day.caps, 1, Part.ANKLES) == 0
    play.until(Phase.HURT, question="after-hurt")
    play.say("hurt")
    play.until(Phase.HURT, question="after-hurt")
    play.say("finish")
    play.until(Phase.OVER)
    assert play.found(Finished)[0].how == "hurt"


def test_hurt_before_the_plan_and_in_a_rest() -> None:
    early = Play(hurting=None)
    early.until(Phase.CHECK_IN, question="hurting")
    early.say("hurt", source=Source.KEY)
    early.run(8.0)
    resting = Play()
    resting.until(Phase.REST)
    resting.say("hurt")
    assert resting.session.phase is Phase.HURT
    assert early.session.phase in (Phase.HURT, Phase.CHECK_IN)


def test_pause_stands_still_and_resume_goes_on() -> None:
    play = Play()
    play.until(Phase.WORK)
    play.run(10.0)
    left = play.session.running.until - play.now
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
    running = play.session.running
    assert running.until - running.since == pytest.approx(left)
    assert play.session.paused == pytest.approx(120.0, abs=1.0)


def test_stop_asks_and_waits_for_ever() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.CLIMB)
    play.run(30.0)
    play.say("stop")
    play.say("stop")
    play.run(300.0)
    assert look(play.session).word is Word.STOPPED
    play.say("resume")
    assert play.session.running.worked == pytest.approx(30.0, abs=1.0)
    assert play.session.phase is Phase.WORK
    play.say("resume", source=Source.KEY)


def test_a_long_pause_offers_to_warm_up_again() -> None:
    play = Play(minutes=120.0)
    play.until(Phase.WORK, StepKind.CLIMB)
    play.say("pause")
    play.run(21 * 60.0)
    play.say("resume")
    play.until(Phase.ASK, question="re-warm")
    play.say("rewarm")
    assert any("re-warm" in step.name for step in play.session.steps)


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
    name = play.session.running.step.name
    play.say("yes")
    assert play.found(StepEnded)[-1].step == name


def test_an_unsure_answer_on_the_wall_waits_for_the_floor() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.CLIMB)
    play.say("hurt", sure=Sureness.UNSURE)
    assert play.session.phase is Phase.WORK
    assert [asking.question for asking in play.session.pending] == ["confirm"]


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
        before = play.session.steps
        play.say(key)
        assert play.session.steps == before
    assert play.session.did is not None


def test_a_key_of_a_window_that_has_closed_is_dropped() -> None:
    play = Play()
    play.until(Phase.WORK)
    old = play.session.window.number
    play.say("done")
    play.until(Phase.WORK)
    steps = play.session.steps
    play.send(Answered(play.now, parse("skip"), 1, play.now, old, Source.KEY))
    assert play.session.steps == steps
    play.send(Answered(play.now, parse("skip"), 1, play.now, None, Source.KEY))
    assert play.session.steps != steps


def test_the_address_word_opens_the_ear_outside_windows_but_not_on_the_wall() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.CLIMB)
    play.say("how-long", addressed=True)
    assert play.session.did.key == "not-now"
    play.until(Phase.REST)
    play.say("short-of-time", addressed=True)
    assert play.session.did.key == "short-of-time"


def test_a_question_waits_for_speech_to_end() -> None:
    play = Play()
    play.until(Phase.ASK, question="gate-body")
    closes = play.session.asking.closes
    play.run(closes - play.now - 0.1)
    play.send(SpeechBegan(play.now, play.now))
    play.run(1.0)
    assert play.session.window is not None
    play.send(SpeechEnded(play.now, play.now))
    play.run(1.0)
    assert play.session.asking.times == 2


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
    early.send(ClockJumped(early.now, 5.0))
    assert early.session.phase is Phase.PAUSED


def test_a_crash_in_a_pause_a_question_and_the_debrief() -> None:
    paused = Play()
    paused.until(Phase.WORK, StepKind.CLIMB)
    paused.run(5.0)
    paused.send(Reopened(paused.now + 30.0, 30.0))
    assert paused.session.running.worked == pytest.approx(5.0, abs=0.5)
    paused.say("pause")
    paused.send(Reopened(paused.now + 30.0, 30.0))
    assert paused.session.phase is Phase.PAUSED
    asked = Play()
    asked.until(Phase.ASK, question="gate-body")
    asked.send(Reopened(asked.now + 30.0, 30.0))
    assert asked.session.asking.question == "gate-body"
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
    assert play.session.asking.who == 1
    play.say("feel:fine")
    play.until(Phase.ASK, question="gate-body")
    assert play.session.asking.who == 2
    play.say("feel:stiff")
    play.until(Phase.ASK, question="which-part")
    play.say("part:hips", who=1)
    play.run(5.0)
    assert {fact.who for fact in play.found(Felt)} == {2}
    play.until(Phase.WORK, StepKind.TRY)
    assert play.session.running.step.turn in (1, 2)
    assert any(text.startswith("Number") for text in play.said)


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
        if s.asking is not None and s.window is not None:
            play.say("feel:fine" if s.asking.question.startswith("gate") else s.window.answers[0])
        elif s.phase is Phase.WORK and s.running.step.on_the_wall and s.window is not None:
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
