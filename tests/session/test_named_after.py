"""'It hurts', told of the part that was asked about; then she names another one."""

import pytest

from coach.model.answers import ANYTIME
from coach.model.body import Part, Tissue
from coach.model.facts import Felt
from coach.model.plan import StepKind
from coach.session.state import Phase
from tests import poses
from tests.session.stage import Play

#: Parts that a routine on the mat still uses where the shoulders are spared.
OTHERS = (Part.WRISTS, Part.ELBOWS, Part.HIPS, Part.KNEES, Part.BACK)


def complaining(part: Part, feel: str, *, seconds: float) -> Play:
    """She tells how the shoulders feel where they are asked about, and names a part later."""
    play = Play()
    play.until(Phase.ASK, question="gate-shoulders")
    play.say(f"feel:{feel}")
    play.run(seconds)
    play.say(f"part:{part}")
    return play


def _asked(play: Play, question: str) -> None:
    """Until it is asked and may be answered; what else is asked meets silence."""
    while True:
        asking = play.session.questions.asking
        if asking is not None and asking.question == question and asking.closes is not None:
            return
        play.next()


def _open(play: Play) -> tuple[str, ...]:
    window = play.session.window
    return (*window.answers, *window.beside)


def movements(play: Play) -> set[str]:
    """All that is still to be done."""
    return {form.movement for step in play.session.course.steps for form in step.forms} - {""}


@pytest.mark.parametrize("seconds", [10.0, 30.0, 90.0])
@pytest.mark.parametrize("part", OTHERS)
def test_what_hurts_is_used_no_more_though_it_was_named_late(part: Part, seconds: float) -> None:
    play = complaining(part, "hurting", seconds=seconds)
    assert not any(poses.uses(one, part.value) for one in movements(play))
    assert not any(poses.uses(one, "shoulders") for one in movements(play))


@pytest.mark.parametrize("part", OTHERS)
def test_what_is_sore_is_not_strained_though_it_was_named_late(part: Part) -> None:
    play = complaining(part, "sore", seconds=10.0)
    assert not any(poses.too_much_for_sore(one, part.value) for one in movements(play))


@pytest.mark.parametrize("part", [Part.HEAD, Part.NECK, Part.CHEST])
def test_a_grave_part_stops_everything(part: Part) -> None:
    assert complaining(part, "hurting", seconds=10.0).session.phase is Phase.HURT


def test_without_a_complaint_or_long_after_it_a_part_alone_says_nothing() -> None:
    for feel, seconds in (("fine", 10.0), ("hurting", 200.0)):
        play = complaining(Part.HIPS, feel, seconds=seconds)
        reports = play.session.day.reports
        assert not any(one.part is Part.HIPS for one in reports)


@pytest.mark.parametrize("tissues", [("joint", "skin"), ("skin", "joint"), ("muscle", "joint")])
@pytest.mark.parametrize("parts", [(Part.WRISTS, Part.FINGERS), (Part.HIPS, Part.WRISTS)])
def test_of_two_complaints_each_is_told_of_the_part_that_the_coach_named(
    parts: tuple[Part, Part], tissues: tuple[str, str]
) -> None:
    """She goes by what she heard: 'Now the wrists', and then the question."""
    play = Play()
    play.until(Phase.ASK, question="gate-body")
    play.say("feel:sore")
    for part in parts:
        while not (play.session.window and f"part:{part}" in _open(play)):
            play.next()
        play.say(f"part:{part}")
    meant: dict[str, str] = {}
    for tissue in tissues:
        play.until(Phase.ASK, question="tissue")
        named = [text for text in play.said if text.startswith("Now the ")][-1]
        meant[named.removeprefix("Now the ").rstrip(".")] = tissue
        play.say(f"tissue:{tissue}")
    told = {one.part.value: one.tissue.value for one in play.found(Felt) if one.tissue}
    assert told == meant == dict(zip(sorted(told, key=list(meant).index), tissues, strict=True))
    for name, tissue in meant.items():
        if tissue == "joint":
            assert not any(poses.uses(one, name) for one in movements(play))


@pytest.mark.parametrize("second", ["feel:fingers:sore", "part:hips", "part:knees"])
def test_what_is_asked_of_the_first_complaint_is_not_lost_by_a_second(second: str) -> None:
    """In the check-in, 'my fingers are sore' comes while it is asked what of the wrists is sore."""
    play = Play(hurting=None)
    answers = ("hurting", "feel:sore"), ("which-part", "part:wrists"), ("tissue", second)
    for question, answer in (*answers, *[("tissue", "tissue:joint")] * 2):
        _asked(play, question)
        play.say(answer)
    told = {one.part for one in play.found(Felt) if one.tissue}
    assert told == {Part.WRISTS, Part(second.split(":")[1])}


@pytest.mark.parametrize("who", [1, 2])
def test_of_two_it_is_asked_whose_part_it_is(who: int) -> None:
    play = Play(people=2)
    play.until(Phase.ASK, question="gate-shoulders")
    asked = play.session.questions.asking.who
    play.say("feel:hurting")
    _asked(play, "sign")
    play.say("part:hips")
    _asked(play, "who")
    play.say(f"person:{who}")
    play.run(2.0)
    reports = [(one.who, one.part, one.feel.value) for one in play.session.day.reports]
    assert (asked, Part.SHOULDERS, "hurting") in reports
    assert (who, Part.HIPS, "hurting") in reports
    assert (3 - who, Part.HIPS, "hurting") not in reports


def said_instead() -> list[str]:
    """All that may be said where it is asked of what kind a soreness is, but for the answer."""
    window = tissue_asked().session.window
    keys = (*window.answers, *window.beside, *ANYTIME)
    ends = ("tissue:", "sign:", "hurt", "finish", "leaving")
    return sorted(key for key in {*keys} if not key.startswith(ends))


def tissue_asked() -> Play:
    """Her fingers are sore, told on the mat, and it is asked of what kind."""
    play = Play()
    play.until(Phase.WORK, StepKind.REPEAT)
    play.say("feel:fingers:sore")
    _asked(play, "tissue")
    return play


@pytest.mark.parametrize("key", said_instead())
def test_whatever_is_said_instead_of_what_kind_it_is_asked_again_or_counts_as_a_joint(
    key: str,
) -> None:
    play = tissue_asked()
    play.say(key)
    play.run(20.0)
    if play.session.phase in (Phase.PAUSED, Phase.STOPPED):
        play.say("resume")
    play.run(60.0)
    fingers = [one.tissue for one in play.found(Felt) if one.part is Part.FINGERS]
    assert fingers[-1] is Tissue.JOINT or play.session.phase is Phase.OVER
