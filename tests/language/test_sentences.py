"""Every form that a sentence of a pack may have, word by word, on a small pack written for it.

What stands on the right of each line is what the form's description in `coach.language.pack` asks
for, written by hand.
"""

from dataclasses import replace

import pytest

from coach.files.library import load_library
from coach.language.pack import Language, normal
from coach.model.answers import Answer, Meaning
from coach.model.messages import Value, message
from coach.model.movement import Unit
from coach.model.person import Person
from coach.model.voice_profile import seconds

WALK = replace(
    load_library("full").movements["quiet-feet"],
    name="walk",
    title={"xx": "Walking", "en": "Walk"},
    cue={"xx": "Walk on.", "en": "Walk."},
    form={"xx": "Arms loose.", "en": "Loose."},
    unit=Unit.SECONDS,
    amount=40,
)
OTHER = replace(WALK, name="other", title={"en": "Other"}, cue={"en": "Do it."}, form={})
PACK = Language(
    "xx",
    {
        "value": "Now {what}.",
        "plural": "{n?one try|# tries} left.",
        "none": "{n?one try|# tries|no try} left.",
        "parts": "Spare {parts}.",
        "part": "Spare {part}.",
        "people": "{people} now.",
        "move": "{movement}: {cue} {form} {dose}",
        "place": "To {station}.",
        "part-of": "The {block} begins.",
        "block-easy": "easy part",
        "dose-seconds": "{amount} {amount?second|seconds}",
        "spaces": "  A   b  ",
    },
    {"done": ("all done", "ready"), "person:2": ("number two",)},
    {
        "fingers": "the fingers", "hips": "the hips", "and": "and", "number": "number",
        "left": "left", "station-wall": "the wall", "knees": "the knees",
    },
    {"walk": WALK, "other": OTHER},
    {1: "Runa", 3: "Osk"},
)  # fmt: skip


@pytest.mark.parametrize(
    ("key", "values", "text"),
    [
        ("value", {"what": "fingers"}, "Now the fingers."),
        ("value", {"what": "done"}, "Now all done."),
        ("value", {"what": "walk"}, "Now Walking."),
        ("value", {"what": "as it is"}, "Now as it is."),
        ("value", {"what": 7}, "Now 7."),
        ("value", {"what": 2.5}, "Now 2.5."),
        ("value", {"what": 3.0}, "Now 3."),
        ("value", {}, "Now ."),
        ("plural", {"n": 1}, "one try left."),
        ("plural", {"n": 2}, "2 tries left."),
        ("plural", {"n": 0}, "0 tries left."),
        ("none", {"n": 0}, "no try left."),
        ("none", {"n": 1}, "one try left."),
        ("none", {"n": 5}, "5 tries left."),
        ("parts", {"parts": "fingers"}, "Spare the fingers."),
        ("parts", {"parts": "fingers hips"}, "Spare the fingers and the hips."),
        ("parts", {"parts": "fingers hips knees"}, "Spare the fingers, the hips and the knees."),
        ("part", {"part": "fingers hips"}, "Spare the fingers and the hips."),
        ("people", {"people": "1 2 3"}, "Runa, 2, Osk now."),
        ("move", {"movement": "walk"}, "Walking: Walk on. Arms loose. 40 seconds"),
        (
            "move",
            {"movement": "walk", "amount": 1, "side": "left"},
            "Walking: Walk on. Arms loose. left 1 second",
        ),
        ("move", {"movement": "other", "amount": 2}, "Other: Do it. 2 seconds"),
        ("move", {"movement": "gone", "kind": "hips"}, "the hips: the hips the hips the hips"),
        ("place", {"station": "wall"}, "To the wall."),
        ("place", {"station": "hips"}, "To the hips."),
        ("part-of", {"block": "easy"}, "The easy part begins."),
        ("part-of", {"block": "hips"}, "The the hips begins."),
        ("spaces", {}, "A b"),
        ("value", {"what": 1, "who": 1}, "Runa: Now 1."),
        ("value", {"what": 1, "who": 2}, "number 2: Now 1."),
        ("value", {"what": 1, "who": 0}, "Now 1."),
    ],
)
def test_each_form_of_a_sentence_word_by_word(
    key: str, values: dict[str, Value], text: str
) -> None:
    assert PACK.text(message(key, **values)) == text


def test_a_sentence_that_is_not_there_is_named() -> None:
    with pytest.raises(KeyError, match="'xx' has no sentence for 'missing'"):
        PACK.text(message("missing"))


def test_people_are_called_and_heard_by_names_that_are_no_answers() -> None:
    people = [
        Person(1, "Runa"),
        Person(2, "Ready"),
        Person(3, ""),
        Person(4, "!"),
        Person(5, "Osk"),
    ]
    pack = PACK.naming(people)

    assert pack.names == {1: "Runa", 2: "Ready", 4: "!", 5: "Osk"}
    assert pack.answers["person:1"] == ("Runa",)
    assert pack.answers["person:2"] == ("number two",), "ready is an answer already"
    assert "person:3" not in pack.answers
    assert "person:4" not in pack.answers
    again = PACK.naming([Person(2, "Tarn")])
    assert again.answers["person:2"] == ("Tarn", "number two")
    assert again.answers["done"] == ("all done", "ready")


def test_what_is_typed_is_found_by_phrase_or_by_the_answers_own_name() -> None:
    assert PACK.find("  ALL   done! ") == Answer(Meaning.DONE)
    assert PACK.find("Stop") == Answer(Meaning.STOP)
    assert PACK.find("none of it") is None
    assert PACK.phrase("done") == "all done"
    assert PACK.phrase("stop") == "stop"
    assert PACK.said == {"all done", "ready", "number two"}
    assert PACK.phrases(["done", "stop"]) == {"done": ("all done", "ready")}


@pytest.mark.parametrize(
    ("text", "words"),
    [("It's  DONE!", "its done"), ("a-b c", "a b c"), (" ", ""), ("zu früh", "zu früh")],
)
def test_phrases_are_compared_without_case_signs_and_spaces(text: str, words: str) -> None:
    assert normal(text) == words


def test_a_sentence_takes_its_words_and_a_breath() -> None:
    # 160 words a minute: eight words are three seconds
    assert seconds("one two three four five six seven eight") == pytest.approx(3.25)
    assert seconds("one two", 120.0) == pytest.approx(1.25)
    assert seconds("") == pytest.approx(0.25)
