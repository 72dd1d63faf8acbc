"""Somebody is hurt in a group: head first, the signs that fit, and silence on the careful side."""

from pathlib import Path

import pytest

from coach.model.body import Part
from coach.model.facts import SignTold
from coach.model.signs import HEAD_QUESTIONS
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
