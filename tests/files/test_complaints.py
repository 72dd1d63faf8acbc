"""What is typed about a body is understood, or counts as hurting."""

import pytest

from coach.files.complaints import complaint, complaints
from coach.model.answers import Meaning, parse
from coach.model.nature import Tendency


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("fingers", "feel:fingers:hurting"),
        ("left shoulder stiff", "feel:shoulders:stiff"),
        ("skin sore", "feel:skin:sore"),
        ("wrist slight pain", "feel:wrists:hurting:2"),
        ("knee severe pain", "feel:knees:hurting:8"),
        ("elbow 7", "feel:elbows:hurting:7"),
        ("ring finger pop", "sign:fingers:pop"),
        ("fingers numb", "sign:fingers:numb"),
        ("knee swollen", "sign:knees:swelling"),
        ("chest pain", "sign:chest-pain"),
        ("hit my head", "sign:head-knock"),
        ("neck pain", "sign:neck-pain"),
        ("dizzy", "sign:faint"),
        ("a fever", "sign:fever"),
        ("vomiting", "sign:vomiting"),
        ("knee not swollen", "feel:knees:hurting"),
        ("weird clicky thing", "sign:weird-clicky-thing"),
        ("weird clicky thing in the left elbow", "sign:elbows:weird-clicky-thing"),
        ("my left elbow hurts", "feel:elbows:hurting"),
        ("sore", "feel:sore"),
        ("severe pain", "feel:hurting:8"),
    ],
)
def test_a_clause(text: str, key: str) -> None:
    answer = complaint(text)
    assert answer.key == key
    assert parse(key) == answer


@pytest.mark.parametrize(
    ("text", "keys"),
    [
        ("elbow joint sore", ["feel:elbows:sore", "tissue:joint"]),
        ("sore finger tendon, tired", ["feel:fingers:sore", "tissue:joint", "feel:tired"]),
        ("shoulder muscle sore", ["feel:shoulders:sore", "tissue:muscle"]),
        ("skin of the fingers sore", ["feel:skin:sore"]),
        ("elbow joint hurting", ["feel:elbows:hurting"]),
    ],
)
def test_the_kind_of_sore_comes_after_its_part(text: str, keys: list[str]) -> None:
    assert [one.key for one in complaints(text)] == keys


def test_clauses_are_parted_and_no_is_nothing() -> None:
    found = complaints("left shoulder stiff, skin sore; knee and chest pain")
    assert [one.meaning for one in found] == [Meaning.FEEL] * 3 + [Meaning.SIGN]
    assert complaints("no") == complaints("") == ()


@pytest.mark.parametrize("text", ["weird", "a b c", "7", "banana elbow", "head", "chest", "???"])
def test_whatever_it_is_it_lowers(text: str) -> None:
    assert complaint(text).tendency is Tendency.LOWERING


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("wrist/knee", {"feel:wrists:hurting", "feel:knees:hurting"}),
        ("fingers elbows sore", {"feel:fingers:sore", "feel:elbows:sore"}),
        ("both wrists and knees numb", {"feel:wrists:hurting", "sign:knees:numb"}),
        ("elbow and finger skin sore", {"feel:elbows:hurting", "feel:skin:sore"}),
        ("elbow finger skin sore", {"feel:elbows:sore", "feel:skin:sore"}),
        ("wrist not fine", {"feel:wrists:hurting"}),
        ("knee hurts when tired", {"feel:knees:hurting"}),
        ("my back is fine but aches", {"feel:back:hurting"}),
        ("all good", set()),
        ("no pain", set()),
        ("not good", {"sign:not-good"}),
    ],
)
def test_every_part_and_the_worst_word_of_a_clause_count(text: str, told: set[str]) -> None:
    assert {answer.key for answer in complaints(text)} == told
