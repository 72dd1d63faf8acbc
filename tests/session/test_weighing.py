"""A scale's reading beside the edge check: by key, never needed, raising no load."""

from dataclasses import replace

import pytest

from coach.model.answers import Answer, Meaning
from coach.model.body import Feel, Part, ceiling
from coach.model.facts import EdgeChecked, ScaleRead
from coach.model.messages import Message, message
from coach.model.usual_edge import EdgeSetup, Usual
from coach.planning.fitting import tries
from coach.record.digest import digest
from coach.session.events import KeyClaimed
from coach.session.looking import look
from coach.session.state import Phase
from tests.oracle import unentitled
from tests.session.stage import Play


def with_a_scale(**more: object) -> Play:
    """A session under way at a place that has a scale."""
    return Play(routine="weighed", **more)  # type: ignore[arg-type]


def tell(play: Play, text: str, who: int = 1) -> Message | None:
    """A reading by key, and what is shown of it."""
    play.send(KeyClaimed(play.now, f"reading:{text}", who))
    did = play.session.listening.did
    assert did is None or isinstance(did, Message)
    return did


def at_the_check(play: Play) -> Play:
    play.until(Phase.ASK, question="gate-fingers")
    return play


def readings(play: Play) -> list[float | None]:
    return [check.reading for check in digest(play.facts, 1, {}).edges]


def test_a_reading_told_before_the_feel_stands_with_the_check() -> None:
    play = at_the_check(with_a_scale())
    assert look(play.session).weighs == 1
    assert tell(play, "41") == message("reading", reading="41")
    assert tell(play, "42,5") == message("reading", reading="42.5")
    assert play.session.questions.asking.question == "gate-fingers"
    play.say("feel:fresh")
    assert play.found(EdgeChecked)[0].reading == 42.5
    assert readings(play) == [42.5]


def test_a_reading_told_after_the_feel_joins_the_check_and_the_last_one_counts() -> None:
    play = at_the_check(with_a_scale())
    play.say("feel:fine")
    assert look(play.session).weighs == 1
    tell(play, "4.25")
    tell(play, "42.5")
    assert [fact.reading for fact in play.found(ScaleRead)] == [4.25, 42.5]
    assert readings(play) == [42.5]


@pytest.mark.parametrize(
    ("reading", "usual_of", "shut"), [("30", 1, True), ("45", 1, False), ("30", 2, False)]
)
def test_a_reading_below_ones_own_usual_keeps_the_gate_shut(
    reading: str, usual_of: int, shut: bool
) -> None:
    hung = at_the_check(with_a_scale())
    hung.say("feel:fine")
    grip, feet = hung.found(EdgeChecked)[0].grip, hung.found(EdgeChecked)[0].feet
    past = Usual(EdgeSetup("medium", grip, feet), 9, 45.0, 1.5)
    play = at_the_check(with_a_scale(usual=((usual_of, past),)))
    tell(play, reading)
    play.say("feel:fine")
    assert play.session.day is not None
    assert ((1, "gate-fingers") not in play.session.day.gates) is shut
    assert any("below your usual" in one for one in play.said) is shut


def with_a_usual() -> Play:
    """At the edge check, with nine checks of the same hang behind, of about 45 kg."""
    hung = at_the_check(with_a_scale())
    hung.say("feel:fine")
    grip, feet = hung.found(EdgeChecked)[0].grip, hung.found(EdgeChecked)[0].feet
    return at_the_check(
        with_a_scale(usual=((1, Usual(EdgeSetup("medium", grip, feet), 9, 45.0, 1.5)),))
    )


def gates_of(play: Play) -> list[str]:
    assert play.session.day is not None
    return [question for _, question in play.session.day.gates]


def test_a_low_reading_told_after_the_feel_shuts_the_gate_again_and_raises_nothing() -> None:
    play = with_a_usual()
    play.say("feel:fine")
    assert "gate-fingers" in gates_of(play)
    before = play.session
    tell(play, "30")
    after = play.session
    assert before.day is not None
    assert after.day is not None
    assert "gate-fingers" not in gates_of(play)
    assert ceiling(after.day.caps, 1, Part.FINGERS) == 2
    play.run(10.0)
    assert any("below your usual" in one for one in play.said)
    assert [fact.reading for fact in play.found(ScaleRead)] == [30.0]
    told = (before.day, before.course.steps), (after.day, after.course.steps)
    assert unentitled(*told, 1, Answer(Meaning.DONE), "reading") == []


def test_a_usual_reading_told_after_the_feel_leaves_the_gate_open() -> None:
    play = with_a_usual()
    play.say("feel:fine")
    tell(play, "44")
    play.run(10.0)
    assert "gate-fingers" in gates_of(play)
    assert not any("below your usual" in one for one in play.said)


def test_after_a_low_reading_go_opens_no_hard_try() -> None:
    play = with_a_usual()
    play.say("feel:fine")
    tell(play, "30")
    for _ in range(2):
        play.until(Phase.ASK, question="go-ahead")
        play.say("go")
        if play.session.phase is not Phase.ASK and not tries(play.session.course.steps):
            break
        play.until(Phase.ASK, question="gate-fingers")
        play.say("feel:fine")
    assert tries(play.session.course.steps) == 0


def test_a_slip_is_taken_back_and_the_gate_waits_for_a_clear_answer() -> None:
    play = with_a_usual()
    play.say("feel:fine")
    tell(play, "4.5")
    tell(play, "4.4")
    play.run(10.0)
    assert sum("below your usual" in one for one in play.said) == 1
    tell(play, "45")
    assert "gate-fingers" not in gates_of(play)
    play.until(Phase.ASK, question="go-ahead")
    play.say("go")
    play.until(Phase.ASK, question="gate-fingers")
    assert "gate-fingers" not in gates_of(play)
    play.say("feel:fine")
    assert "gate-fingers" in gates_of(play)


def test_a_reading_that_is_not_told_is_missed_by_nobody() -> None:
    play = at_the_check(with_a_scale())
    said = len(play.said)
    play.say("feel:fine")
    assert readings(play) == [None]
    plain = at_the_check(Play())
    plain_said = len(plain.said)
    plain.say("feel:fine")
    assert play.said[said:] == plain.said[plain_said:]


def test_a_reading_changes_neither_plan_nor_caps() -> None:
    play = at_the_check(with_a_scale())
    before = play.session
    tell(play, "199")
    after = play.session
    assert (after.course.steps, after.day, after.questions.asking, after.window) == (
        before.course.steps,
        before.day,
        before.questions.asking,
        before.window,
    )


@pytest.mark.parametrize("text", ["0", "-5", "900", "abc", "", "1e2", "nan", "0.99", "200.1"])
def test_what_no_scale_shows_tells_the_range_and_is_not_kept(text: str) -> None:
    play = at_the_check(with_a_scale())
    assert tell(play, text) == message("reading-range", least="1", most="200")
    play.say("feel:fine")
    assert tell(play, text) == message("reading-range", least="1", most="200")
    assert readings(play) == [None]


def test_without_a_scale_nothing_is_asked_and_nothing_taken() -> None:
    play = at_the_check(Play())
    assert look(play.session).weighs == 0
    assert tell(play, "42.5") == message("reading-not-now")
    play.say("feel:fine")
    assert readings(play) == [None]


def test_a_reading_is_taken_of_who_did_the_check_alone() -> None:
    play = at_the_check(with_a_scale(people=2))
    assert look(play.session).weighs == 1
    assert tell(play, "42.5", who=2) == message("reading-not-now")
    play.say("feel:fine", who=1)
    play.until(Phase.ASK, question="gate-fingers")
    assert look(play.session).weighs == 2
    tell(play, "50", who=2)
    play.say("feel:fine", who=2)
    assert [(fact.who, fact.reading) for fact in play.found(EdgeChecked)] == [(1, None), (2, 50.0)]


def test_before_the_check_and_after_the_next_try_no_reading_is_taken() -> None:
    play = with_a_scale()
    assert tell(play, "42.5") == message("reading-not-now")
    play.until(Phase.ASK, question="go-ahead")
    play.say("go")
    play.until(Phase.WORK)
    assert look(play.session).weighs == 0
    assert tell(play, "42.5") == message("reading-not-now")


@pytest.mark.parametrize("feel", [Feel.SORE, Feel.HURTING])
def test_whose_fingers_tell_of_harm_is_asked_for_no_reading(feel: Feel) -> None:
    play = at_the_check(with_a_scale())
    tell(play, "30")
    play.say(f"feel:{feel}")
    assert look(play.session).weighs == 0
    assert tell(play, "31") == message("reading-not-now")
    assert readings(play) == [30.0]


@pytest.mark.parametrize("key", ["hurt", "stop"])
def test_who_stops_or_is_hurt_is_asked_for_no_reading(key: str) -> None:
    play = at_the_check(with_a_scale())
    play.say(key)
    assert look(play.session).weighs == 0


def test_with_fingers_not_to_be_loaded_there_is_neither_check_nor_reading() -> None:
    play = with_a_scale(signs=((1, Part.FINGERS),))
    while play.session.phase is not Phase.OVER:
        assert look(play.session).weighs == 0
        play.run(30.0)
    assert play.found(EdgeChecked) == []


def test_a_question_asked_once_more_keeps_the_reading() -> None:
    play = at_the_check(with_a_scale())
    tell(play, "42.5")
    play.run(12.0)
    play.until(Phase.ASK, question="gate-fingers")
    play.say("feel:fine")
    assert readings(play) == [42.5]


def test_who_has_hung_nothing_is_asked_for_no_reading() -> None:
    play = at_the_check(with_a_scale())
    play.session = replace(play.session, course=replace(play.session.course, past=()))
    play.run(12.0)
    play.until(Phase.ASK, question="gate-fingers")
    assert look(play.session).weighs == 0
    play.say("feel:fine")
    assert play.found(EdgeChecked) == []
    assert tell(play, "42.5") == message("reading-not-now")


def test_a_hang_with_the_feet_off_takes_no_reading() -> None:
    """It would tell what somebody weighs: a low one could mean anything."""
    play = Play()
    place = play.session.library.place
    there = replace(place, equipment=place.equipment | {"scale"})
    play.session = replace(play.session, library=replace(play.session.library, place=there))
    at_the_check(play)
    hung = next(step for step in reversed(play.session.course.past) if step.hangs)
    assert hung.form(1).movement == "edge-check"
    assert look(play.session).weighs == 0
    assert tell(play, "42.5") == message("reading-not-now")


def test_where_there_is_a_scale_the_edge_is_checked_with_the_feet_on() -> None:
    play = at_the_check(with_a_scale())
    play.say("feel:fine")
    (checked,) = play.found(EdgeChecked)
    assert (checked.grip, checked.feet) == ("edge-check-feet-on", "on")
