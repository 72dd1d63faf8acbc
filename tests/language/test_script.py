"""The script shows each sentence with nothing, one and several, and leaves none out."""

import re

import pytest

from coach.files.movements import load_movements
from coach.files.words import list_languages, load_language
from coach.language import Language
from coach.language.script import SHOWN, script

MOVEMENTS = load_movements(())


@pytest.fixture(params=list_languages(), scope="module")
def pack(request: pytest.FixtureRequest) -> Language:
    return load_language(request.param, MOVEMENTS)


def test_every_key_that_is_spoken_is_in_it(pack: Language) -> None:
    spoken = {key for key in pack.says if not key.startswith(SHOWN) and pack.says[key]}
    assert {line.key for line in script(pack)} == spoken


def test_no_slot_is_left_unfilled(pack: Language) -> None:
    for line in script(pack):
        assert "{" not in line.text, line
        assert "#" not in line.text, line


#: Heads of what is said to somebody who is hurt or in danger.
URGENT = (
    "advice-", "ask-fall", "ask-head", "ask-sign", "age-unknown-pain", "emergency-sign",
    "head-sign",
    "hurt", "ill", "pain-severe", "sign-untold", "still-hurt", "unknown-sign", "uncleared-sign",
    "warning-sign", "young-",
)  # fmt: skip


def test_no_sentence_is_longer_than_a_breath_takes(pack: Language) -> None:
    """Twelve words at most, and eight where somebody is hurt (our choice)."""
    long = {
        line.key: line.text
        for line in script(pack)
        if line.words > (8 if line.key.startswith(URGENT) and line.key != "hurting-again" else 12)
    }
    assert long == {}


def test_every_cue_of_every_movement_is_in_it(pack: Language) -> None:
    told = {line.text for line in script(pack) if line.key == "cue-for"}
    cues = {one.cue[pack.code] for one in MOVEMENTS.values()}
    assert {cue for cue in cues if "{" not in cue} <= told
    assert not any("{" in text for text in told)


def test_counts_come_as_none_one_and_several(pack: Language) -> None:
    told = [line.text for line in script(pack) if line.key == "how-long"]
    assert len({re.sub(r"\d+", "", one) for one in told}) >= 2
