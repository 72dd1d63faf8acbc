"""Somebody is hurt in a group: head first, the signs that fit, and silence on the careful side."""

from itertools import pairwise
from pathlib import Path

import pytest

from coach.group.gathering import Status
from coach.group.phrases import THINK
from coach.model.answers import parse
from coach.model.body import Part
from coach.model.facts import CapSet, SignTold
from coach.model.signs import HEAD_QUESTIONS
from coach.session.events import Answered, Source, SpeechEnded
from tests.group.led import Led
from tests.group.runs import group, language, run, said

HEAD = "13:00 i got hurt\n13:05 number two\n13:08 it's my head\n"
SAYS = language().says


def told(words: str, folder: Path) -> tuple[list[str], list[tuple[str, Part | None]]]:
    """What is said after somebody was hurt, and the signs on the record of number two."""
    done, seen = run(group(), words, folder)
    signs = [(f.sign, f.part) for f in seen.facts if isinstance(f, SignTold) and f.who == 2]
    return [text for at, text in said(done) if at > 780.0], signs


@pytest.mark.parametrize(
    ("part", "fits", "sign"),
    [
        ("my wrist", "ask-sign-hand", ("yes", Part.WRISTS)),
        ("my elbow", "ask-sign-arm", ("yes", Part.ELBOWS)),
        ("my knee", "ask-sign-leg", ("yes", Part.KNEES)),
        ("my back", "ask-sign-back", ("back-pain", Part.BACK)),
        ("the skin", "ask-sign-skin", ("bleeding", Part.SKIN)),
    ],
)
@pytest.mark.parametrize("yes", ["yes", "yes it does"])
def test_the_signs_that_fit_the_part_are_asked_for_and_a_plain_yes_is_one(
    part: str, fits: str, sign: tuple[str, Part], yes: str, tmp_path: Path
) -> None:
    texts, signs = told(
        f"13:00 i got hurt\n13:05 number two\n13:10 {part}\n13:15 {yes}\n", tmp_path
    )
    assert texts.index(SAYS["group-where-hurt"]) < texts.index(SAYS[fits])
    assert sign in signs


def test_every_question_of_the_head_is_put_to_the_leader(tmp_path: Path) -> None:
    minutes = "".join(
        f"{13 + (25 + at) // 60}:{(25 + at) % 60:02} no\n" for at in range(0, 140, 20)
    )
    texts, signs = told(HEAD + minutes, tmp_path)
    put = [text for text in texts if text in {SAYS[f"ask-{one.name}"] for one in HEAD_QUESTIONS}]
    assert put == [SAYS[f"ask-{one.name}"] for one in HEAD_QUESTIONS]
    assert texts[texts.index(put[-1]) + 1] == SAYS["advice-head-after"]
    assert ("head-knock", Part.HEAD) in signs


def test_one_sign_of_the_head_is_enough_and_silence_is_no_answer(tmp_path: Path) -> None:
    texts, signs = told(HEAD + "13:25 yes\n", tmp_path)
    assert SAYS["advice-call"] in texts
    assert ("head-danger", Part.HEAD) in signs
    silent, _ = told(HEAD, tmp_path)
    assert SAYS["group-head-untold"] in silent


def test_what_was_not_put_yet_is_not_answered_by_a_no(tmp_path: Path) -> None:
    texts, _ = told(HEAD.replace("13:08", "13:05") + "13:05 no\n", tmp_path)
    first, second = (SAYS[f"ask-{one.name}"] for one in HEAD_QUESTIONS[:2])
    assert first in texts
    assert second not in texts


def test_who_it_is_is_not_asked_once_it_has_been_told(tmp_path: Path) -> None:
    """What to do comes first, and the leader may tell whose it is meanwhile."""
    texts, _ = told("13:00 i can't breathe\n13:02 number two\n", tmp_path)
    assert SAYS["advice-sit"] in texts
    assert SAYS["group-hurt"] not in texts


def test_a_name_that_is_not_understood_is_asked_for_by_number_and_then_taken() -> None:
    led = Led(group()).until(120.0)
    led.tell("hurt", voice=True)
    while led.now.window is None:
        led.until(led.now.at + 1.0)
    led.until(led.now.at + 2.0)
    window, at = led.now.window, led.now.at
    assert window is not None
    led.take(SpeechEnded(at, at - 0.5))
    led.take(SpeechEnded(at + 0.2, at))
    led.until(at + 11.0)
    assert led.aloud.count("group-number") == 1, "once in each window"
    assert led.now.window is window, "it stays open for the number"
    number = Answered(at + 11.0, parse("person:4"), 0, at + 11.0, window.number, Source.VOICE)
    led.take(number)
    led.tell("hurts")
    assert led.now.statuses[4] is Status.HURT
    started = [key for key in led.aloud if key == "group-number"]
    led.take(SpeechEnded(led.now.at, 0.0))
    assert [key for key in led.aloud if key == "group-number"] == started, "begun before a window"


def test_a_no_before_the_sign_is_asked_answers_nothing(tmp_path: Path) -> None:
    """The next cue comes first: the question is put after it, with time to think from then on."""
    words = "06:00 number four\n06:03 is in pain\n06:10 my wrist\n06:16 no\n06:30 yes\n"
    done, seen = run(group(), words, tmp_path)
    texts = [(at, text) for at, text in said(done) if at > 360.0]
    asked = next(at for at, text in texts if text == SAYS["ask-sign-hand"])
    assert 376.0 < asked < 390.0
    signs = [(f.who, f.part) for f in seen.facts if isinstance(f, SignTold) and f.sign == "yes"]
    assert signs == [(4, Part.WRISTS)]


@pytest.mark.parametrize(("where", "advice"), [("my head", "advice-head"), ("my back", "")])
def test_what_to_do_comes_before_any_cue_and_all_stand_for_it(
    where: str, advice: str, tmp_path: Path
) -> None:
    """A cue of the mat waits already when the leader tells where it is."""
    words = f"02:00 number two\n02:04 is in pain\n02:09 {where}\n02:20 yes\n03:00 carry on\n"
    done, _ = run(group(), words, tmp_path)

    lines = [(at, text) for at, text in said(done) if 129.0 < at < 190.0]
    first = SAYS[advice] if advice else SAYS["ask-sign-back"]
    assert lines[0][1] == first
    danger = next(n for n, (_, text) in enumerate(lines) if "call for help" in text)
    assert lines[danger + 1][1] == SAYS["group-on"]


def test_where_it_hurts_is_asked_twice_and_then_help_is_named(tmp_path: Path) -> None:
    """Ten silent seconds once closed it, though it may be the head."""
    words = "06:00 number four\n06:03 is in pain\n"
    where, help_ = SAYS["group-where-hurt"], SAYS["group-head-untold"]
    silent, _ = run(group(), words, tmp_path)
    told = [(at, text) for at, text in said(silent) if text in (where, help_)]
    assert [text for _, text in told] == [where, where, help_]
    assert all(later - sooner >= THINK for (sooner, _), (later, _) in pairwise(told))

    late, seen = run(group(), words + "06:25 my wrist\n06:31 no\n", tmp_path)
    assert [text for _, text in said(late) if text in (where, help_)] == [where, where]
    caps = [fact for fact in seen.facts if isinstance(fact, CapSet) and fact.who == 4]
    assert any(cap.part is Part.WRISTS and cap.most == 0 for cap in caps)
