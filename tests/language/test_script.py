"""The script shows each sentence with nothing, one and several, and leaves none out."""

import re
from dataclasses import replace

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


def lines(**says: str) -> list[str]:
    """What a pack with these sentences alone would say."""
    english = load_language("en", MOVEMENTS)
    return [line.text for line in script(replace(english, says={**says}))]


def test_one_count_comes_as_none_one_two_and_a_dozen() -> None:
    assert lines(a="{n?one|# many|none}") == ["none", "one", "2 many", "12 many"]


def test_two_counts_come_in_every_mix_that_can_be() -> None:
    said = lines(a="{n?one|# many|none} {m?one|# more|none}")
    assert said == [
        f"{one} {other}" for one in ("none", "one", "3 many") for other in ("none", "one", "3 more")
    ]
    part = lines(a="{done?one|# done|none} of {count?one|#|none}")
    assert part == ["none of one", "none of 3", "one of one", "one of 3", "3 done of 3"]


def test_a_sentence_comes_once_however_it_is_filled() -> None:
    assert lines(a="Rest, {who?}.") == lines(b="Rest, {who?}.")
    said = lines(a="On.{n?|}")
    assert len(said) == len(set(said))
    assert lines(a="{n?one|# many|}") == ["one", "2 many", "12 many"], "nothing is no sentence"


def test_a_movement_has_each_of_the_names_that_it_is_put_in_by() -> None:
    for slot in ("movement", "to", "meant"):
        said = lines(a=f"Now {{{slot}}}.")
        assert len(said) == 3, slot
        assert all(len(text) > len("Now .") for text in said), slot
        assert len(lines(a=f"{{{slot}}}: {{n?one|# many|none}}.")) == 3 * 4, "it is no count"


@pytest.mark.parametrize("slot", ["cue", "form"])
def test_cue_and_form_are_those_of_each_movement(slot: str) -> None:
    texts = {getattr(one, slot)["en"] for one in MOVEMENTS.values() if getattr(one, slot)}
    told = {f"Now: {text}" for text in texts if "{" not in text}
    said = lines(a=f"Now: {{{slot}}}")
    assert told <= set(said)
    assert len(said) <= len(MOVEMENTS)


def test_a_dose_beside_a_number_is_no_number_itself() -> None:
    assert len(lines(a="{dose}: {n?one|# many|none}")) % 4 == 0, "none, one, two and a dozen"


def test_what_is_gone_is_a_movement_or_nothing() -> None:
    title = MOVEMENTS["cat-arch"].title["en"]
    assert lines(a="{gone?one|Less of #.|Nothing.}") == ["Nothing.", f"Less of {title}."]
