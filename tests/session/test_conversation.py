"""The contract of the conversation: what is shown can be said, and what is said is answered."""

from dataclasses import replace

import pytest

from coach.model.answers import SHOWN, parse
from coach.model.body import Feel, Part
from coach.model.facts import CapSet, Felt
from coach.model.nature import Tendency
from coach.model.plan import StepKind
from coach.model.routine import BlockKind
from coach.session import windows
from coach.session.effects import OpenWindow, Play, Tone
from coach.session.events import Answered, Source, SpeechBegan, SpeechEnded, Sureness
from coach.session.state import Phase
from tests.session.stage import Play as Playing


def tones(play: Playing) -> list[Tone]:
    return [effect.tone for effect in play.effects if isinstance(effect, Play)]


def voice(play: Playing, key: str, window: int | None, sure: Sureness = Sureness.SURE) -> None:
    play.send(Answered(play.now, parse(key), 1, play.now, window, Source.VOICE, sure))


def shown(play: Playing) -> set[str]:
    window = play.session.window
    return set() if window is None else {*window.answers, *window.beside}


@pytest.mark.parametrize("kind", [StepKind.STAY, StepKind.REPEAT])
def test_alone_what_is_shown_is_heard_in_a_step_without_a_call_word(kind: StepKind) -> None:
    play = Playing()
    play.until(Phase.WORK, kind)
    assert set(SHOWN) <= shown(play)
    assert {"short-of-time", "how-long", "whats-next", "finish", "leaving", "longer"} <= set(SHOWN)


@pytest.mark.parametrize("question", ["gate-body", "go-ahead"])
def test_alone_what_is_shown_is_heard_in_a_question(question: str) -> None:
    play = Playing()
    play.until(Phase.ASK, question=question)
    assert set(SHOWN) <= shown(play)
    said = len(play.said)
    voice(play, "how-long", play.session.window.number)
    assert any("minutes left" in text for text in play.said[said:])
    assert play.session.questions.asking.question == question


def test_of_several_people_what_is_shown_is_heard_too_but_for_what_raises() -> None:
    play = Playing(people=2)
    play.until(Phase.WORK, StepKind.STAY)
    raising = {key for key in SHOWN if parse(key).tendency is Tendency.RAISING}
    assert raising
    assert set(SHOWN) - raising <= shown(play)
    assert not raising & shown(play)


def test_speech_that_is_no_answer_is_told_once_while_a_question_is_open() -> None:
    play = Playing()
    play.until(Phase.ASK, question="gate-body")
    for _ in range(3):
        play.send(SpeechBegan(play.now, play.now))
        play.send(SpeechEnded(play.now, play.now))
    assert [one for one in tones(play) if one is Tone.UNCLEAR] == [Tone.UNCLEAR]
    assert play.session.listening.did.key == "not-understood"
    play.say("feel:fine")
    play.until(Phase.WORK)
    play.send(SpeechBegan(play.now, play.now))
    play.send(SpeechEnded(play.now, play.now))
    assert tones(play).count(Tone.UNCLEAR) == 1


def test_on_the_wall_nothing_else_is_heard() -> None:
    play = Playing()
    play.until(Phase.WORK, StepKind.CLIMB)
    play.run(30.0)
    assert not play.session.window.beside
    assert all(not effect.beside for effect in play.effects[-1:] if isinstance(effect, OpenWindow))


@pytest.mark.parametrize("people", [1, 2])
def test_feeling_fine_where_nobody_asked_opens_nothing_and_says_so(people: int) -> None:
    play = Playing(people=people)
    play.until(Phase.WORK, StepKind.STAY)
    before = play.session.day, play.session.course.steps
    play.say("feel:fine")
    assert (play.session.day, play.session.course.steps) == before
    assert tones(play)[-1] is Tone.NOT_NOW
    assert play.session.questions.asking is None


def test_what_is_heard_and_not_taken_gets_a_dry_tone_and_a_reason() -> None:
    play = Playing()
    play.until(Phase.WORK, StepKind.STAY)
    play.say("pause")
    voice(play, "skip", play.session.window.number - 1)
    assert tones(play)[-1] is Tone.NOT_NOW
    assert play.session.listening.did.key == "not-now-standing"
    play.say("skip", source=Source.KEY)
    assert tones(play)[-1] is Tone.NOT_NOW


def test_what_is_taken_gets_the_other_tone() -> None:
    play = Playing()
    play.until(Phase.WORK, StepKind.STAY)
    play.say("how-long", source=Source.KEY)
    assert tones(play)[-1] is Tone.HEARD


def silent_at(question: str, **day: object) -> Playing:
    """A session whose question was asked twice and not answered."""
    play = Playing(**day)  # type: ignore[arg-type]
    play.until(Phase.ASK, question=question)
    while play.session.questions.asking is not None:
        play.next()
    return play


def hard(play: Playing) -> int:
    return sum(step.kind is StepKind.TRY for step in play.session.course.steps)


def test_lets_try_after_a_silent_go_ahead_opens_it_by_its_own_phrase() -> None:
    play = Playing()
    play.until(Phase.ASK, question="go-ahead")
    before = hard(play)
    play = silent_at("go-ahead")
    assert hard(play) == 0
    play.run(21.0)
    window = play.session.window
    voice(play, "go", window.number if window is not None else None)
    assert hard(play) == before > 0


def test_lets_try_is_heard_after_a_silent_go_ahead() -> None:
    play = silent_at("go-ahead")
    play.until(Phase.WORK, StepKind.CLIMB)
    play.run(11.0)
    assert "go" in shown(play)


@pytest.mark.parametrize(
    ("wait", "sure", "key"),
    [
        (20.0, Sureness.UNSURE, "go"),
        (20.0, Sureness.SURE, "yes"),
        (20.0, Sureness.SURE, "done"),
    ],
)
def test_what_is_unsure_or_something_else_opens_nothing(
    wait: float, sure: Sureness, key: str
) -> None:
    play = silent_at("go-ahead")
    play.run(wait)
    voice(play, key, None, sure)
    assert hard(play) == 0


def test_what_was_told_after_the_silence_is_not_taken_back() -> None:
    play = silent_at("go-ahead")
    play.run(10.0)
    voice(play, "feel:fingers:sore", None)
    play.run(60.0)
    voice(play, "go", None)
    assert hard(play) == 0


def lets_try(play: Playing, who: int = 1) -> None:
    window = play.session.window
    at = window.number if window is not None and "go" in shown(play) else None
    play.send(Answered(play.now, parse("go"), who, play.now, at, Source.VOICE))


def _asked(play: Playing) -> int:
    """Who is asked just now."""
    asking = play.session.questions.asking
    return asking.who if asking is not None else 0


def _strength(play: Playing) -> bool:
    running = play.session.course.running
    return running is not None and running.step.block in (BlockKind.STRENGTH, BlockKind.COOL_DOWN)


def test_lets_try_counts_after_the_silence_until_what_follows_the_tries_begins() -> None:
    play = silent_at("go-ahead")
    ends = play.session.day.ends_at
    play.run(400.0)
    while not (play.session.phase is Phase.WORK and play.session.window is not None):
        play.next()
    runs = play.session.course.running.step.name
    lets_try(play)
    assert 1 in play.session.day.go
    assert hard(play) > 0
    assert play.session.course.steps[0].name == runs
    play.until(Phase.WORK, StepKind.TRY)
    assert play.session.day.ends_at == ends


def test_lets_try_opens_nothing_once_what_follows_the_tries_has_begun() -> None:
    play = silent_at("go-ahead")
    while not _strength(play):
        play.next()
    assert "go" not in shown(play)
    lets_try(play)
    assert hard(play) == 0


def test_of_two_silent_people_each_is_asked_again_by_a_late_lets_try() -> None:
    play = Playing(people=2)
    play.until(Phase.ASK, question="go-ahead")
    while play.session.questions.asking is not None or play.session.questions.pending:
        play.next()
    assert hard(play) == 0
    play.until(Phase.WORK, StepKind.CLIMB)
    play.run(60.0)
    lets_try(play)
    assert play.session.day.go == ()
    play.until(Phase.ASK, question="go-ahead")
    play.say("go")
    assert _asked(play) == 2
    play.until(Phase.ASK, question="go-ahead")
    play.say("not-today")
    left = {step.turn for step in play.session.course.steps if step.kind is StepKind.TRY}
    assert left == {1} == set(play.session.day.go)


def test_a_late_yes_forgets_nothing_that_was_told_meanwhile() -> None:
    play = silent_at("go-ahead")
    play.run(10.0)
    before = play.session.day.reports
    voice(play, "feel:fingers:sore", None)
    told = play.session.day.reports
    assert told != before
    play.run(3.0)
    voice(play, "go", None)
    assert play.session.day.reports == told
    assert hard(play) == 0


def test_a_late_i_am_fine_counts_for_its_gate() -> None:
    play = silent_at("gate-body")
    assert "feel:fine" in shown(play)
    voice(play, "feel:fine", None)
    assert (1, "gate-body") in play.session.day.gates


@pytest.mark.parametrize(
    ("gate", "step"),
    [("gate-body", "board.5.left"), ("gate-shoulders", "board.5.left"), ("gate-fingers", "easy.1")],
)
def test_a_late_i_am_fine_says_the_cue_of_the_new_form_once(gate: str, step: str) -> None:
    play = silent_at(gate)
    while play.session.phase is not Phase.LEAD_IN or play.session.course.running.step.name != step:
        play.next()
    missed, before = play.session.questions.missed, len(play.said)
    was = play.session.course.running.step
    voice(play, "feel:fine", None)
    assert play.session.phase is Phase.LEAD_IN
    assert play.session.course.running.step != was
    assert missed is not None
    assert (1, missed.asking.question) in play.session.day.gates
    play.run(12.0)
    told = play.said[before:]
    assert len(told) == len(set(told)), told


def test_a_bare_yes_opens_nothing_and_is_told_the_phrase() -> None:
    play = Playing()
    play.until(Phase.ASK, question="go-ahead")
    play.say("yes")
    play.run(1.0)
    assert play.heard_last == "Then say: let's try."
    assert play.session.questions.asking is not None
    assert not play.session.day.go
    play.run(4.0)
    play.say("go")
    assert play.session.day.go


def test_a_bare_no_at_the_go_ahead_is_not_today() -> None:
    play = Playing()
    play.until(Phase.ASK, question="go-ahead")
    play.say("no")
    assert hard(play) == 0


def test_who_wants_no_more_questions_is_asked_only_what_keeps_her_safe() -> None:
    play = Playing()
    play.until(Phase.WORK, StepKind.STAY)
    play.say("no-questions", source=Source.KEY)
    asked: set[str] = set()
    while play.session.phase is not Phase.OVER:
        asking = play.session.questions.asking
        if asking is not None and play.session.window is not None:
            asked.add(asking.question)
        easy = play.session.window is not None and play.session.phase is Phase.WORK
        if asking is not None and play.session.window is not None:
            play.say("go" if asking.question == "go-ahead" else "feel:fine")
        elif easy and (step := play.session.course.running.step).on_the_wall:
            play.run(step.seconds)
            play.say(play.session.window.answers[0])
        play.next()
    assert asked == {"gate-body", "gate-shoulders", "gate-fingers", "go-ahead"}


def test_soreness_before_the_minutes_are_known_is_kept() -> None:
    play = Playing(minutes=None)
    voice(play, "feel:fingers:sore", None)
    assert play.session.listening.did.key == "noted"
    play.until(Phase.CHECK_IN, question="minutes")
    play.say("minutes:90")
    assert any(
        one.part is Part.FINGERS and one.feel is Feel.SORE for one in play.session.day.reports
    )


def test_soreness_without_a_place_is_asked_for_once_the_day_is_open() -> None:
    play = Playing(minutes=None, hurting=())
    voice(play, "feel:sore", None)
    play.until(Phase.CHECK_IN, question="minutes")
    play.say("minutes:90")
    play.until(Phase.CHECK_IN, question="hurting")


def test_nothing_is_done_in_a_lead_in_that_has_not_begun() -> None:
    play = Playing()
    play.until(Phase.LEAD_IN)
    assert play.session.window.answers[0] == "again"
    assert "done" not in shown(play)
    play.until(Phase.WORK)
    assert play.session.window.answers[0] == "done"


def test_silence_at_the_go_ahead_is_told_as_silence() -> None:
    play = silent_at("go-ahead")
    assert "Fair enough. No hard tries today." not in play.said
    assert "No answer, so no hard tries yet. Let's try still counts." in play.said


@pytest.mark.parametrize("minutes", [40.0, 45.0, 60.0, 90.0])
def test_what_is_told_to_count_still_counts_a_minute_and_a_half_later(minutes: float) -> None:
    play = silent_at("go-ahead", minutes=minutes)
    assert "No answer, so no hard tries yet. Let's try still counts." in play.said
    play.run(90.0)
    running = play.session.course.running
    if running is not None and running.step.kind is StepKind.CLIMB:
        return  # nobody is heard on the wall
    play.say("go")
    assert tones(play)[-1] is Tone.HEARD


def test_what_a_change_leaves_is_told_in_the_same_breath() -> None:
    play = Playing()
    play.until(Phase.WORK, StepKind.CLIMB)
    said, before = len(play.said), hard(play)
    play.say("sign:numb", source=Source.KEY)
    play.say("feel:shoulders:hurting", source=Source.KEY)
    play.run(30.0)
    after = hard(play)
    left = [text for text in play.said[said:] if "minute" in text]
    assert before > after
    assert left, play.said[said:]


@pytest.mark.parametrize("key", ["feel:stiff", "feel:sore"])
def test_where_it_is_is_asked_twice_however_often_it_is_told(key: str) -> None:
    play = Playing()
    play.until(Phase.WORK, StepKind.STAY)
    for _ in range(12):
        play.say(key, source=Source.KEY)
        play.run(25.0)
    assert play.said.count("Where?") == 2


def test_a_count_told_in_a_pause_does_not_end_the_pause() -> None:
    play = Playing()
    play.until(Phase.WORK, StepKind.CLIMB)
    play.run(12.0)
    for key in ("done", "pause", "feel:fingers:sore"):
        play.say(key, source=Source.KEY)
    play.run(30.0)
    play.say("no", source=Source.KEY)
    play.run(5.0)
    assert play.session.phase is Phase.PAUSED
    assert play.session.standing.paused_since is not None


def test_a_rest_whose_last_step_is_skipped_is_over() -> None:
    """Else it goes on with nothing to rest for, and what it shows does nothing."""
    play = Playing()
    play.until(Phase.REST)
    course = play.session.course
    last = next(one for one in reversed(course.steps) if one.kind is StepKind.BREATHE)
    play.session = replace(play.session, course=replace(course, steps=(last,), running=None))
    play.say("skip", source=Source.KEY)
    assert play.session.phase is Phase.DEBRIEF


def test_the_last_rest_can_be_skipped() -> None:
    play = Playing()
    play.until(Phase.REST)
    course = play.session.course
    play.session = replace(play.session, course=replace(course, steps=(), running=None))
    play.say("skip", source=Source.KEY)
    assert play.session.phase is Phase.DEBRIEF


def test_fingers_that_hurt_are_no_sore_fingers() -> None:
    play = Playing()
    play.until(Phase.WORK, StepKind.CLIMB)
    voice(play, "feel:fingers:hurting", None)
    felt = play.found(Felt)[-1]
    assert (felt.part, felt.feel) == (Part.FINGERS, Feel.HURTING)
    assert min(cap.most for cap in play.found(CapSet) if cap.part is Part.FINGERS) == 0


def test_how_much_it_hurts_is_told_of_the_part_that_is_asked_about() -> None:
    play = Playing()
    play.until(Phase.WORK, StepKind.CLIMB)
    voice(play, "feel:fingers:hurting", None)
    play.until(Phase.ASK, question="sign")
    voice(play, "feel:hurting:5", None)
    assert play.session.questions.asking.question == "sign"
    assert all(one.question != "which-part" for one in play.session.questions.pending)


def test_what_was_told_since_closes_a_late_answer_and_it_is_offered_no_more() -> None:
    play = silent_at("gate-body")
    assert windows.missed(play.session) is not None
    play.say("feel:fingers:sore", source=Source.KEY)
    assert windows.missed(play.session) is None
