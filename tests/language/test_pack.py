"""The language pack: sentences, plurals, phrases, and what it must hold."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from coach.files.words import list_languages, load_language
from coach.language.pack import normal
from coach.model.answers import ANYTIME, Answer, Meaning, parse
from coach.model.body import Feel, Part, Tissue
from coach.model.messages import message
from coach.model.questions import QUESTIONS
from coach.model.voice_profile import BREATH, seconds
from coach.planning import MESSAGES
from tests.session.stage import LANGUAGE

#: Answers, whose words a cue avoids, since nothing that our own voice says may be obeyed.
COMMANDS = {"stop", "pause", "skip", "resume"}


def test_every_message_of_planning_has_a_sentence_and_takes_its_values() -> None:
    for key, names in MESSAGES.items():
        text = LANGUAGE.text(message(key, **dict.fromkeys(names, 2)))
        assert text
        assert "{" not in text


def test_every_question_is_worded_and_every_answer_has_a_phrase() -> None:
    for question in QUESTIONS.values():
        assert LANGUAGE.text(message(question.words, about="skip", part="fingers", who=0))
        assert set(question.answers) <= set(LANGUAGE.answers)
    assert set(ANYTIME) <= set(LANGUAGE.answers)


def test_an_answer_is_found_by_its_phrase_or_its_own_name() -> None:
    assert LANGUAGE.find("done") == Answer(Meaning.DONE)
    assert LANGUAGE.find("Skip!") == Answer(Meaning.SKIP)
    assert LANGUAGE.find("fingers sore") == Answer(Meaning.FEEL, Part.FINGERS, Feel.SORE)
    assert LANGUAGE.find("tissue:skin") == Answer(Meaning.TISSUE, tissue=Tissue.SKIN)
    assert LANGUAGE.find("gibberish") is None
    assert {"done", "skip that", "fingers sore"} <= LANGUAGE.said
    assert "gibberish" not in LANGUAGE.said


def test_no_phrase_means_two_things() -> None:
    phrases = [normal(text) for texts in LANGUAGE.answers.values() for text in texts]
    assert len(phrases) == len(set(phrases))


def test_a_focus_is_called_by_its_title_unless_that_means_something_else() -> None:
    quiet = LANGUAGE.movements["quiet-feet"]
    again = replace(quiet, name="twice")
    done = replace(quiet, name="over", title={"en": "All done"})
    untitled = replace(quiet, name="untitled", title={"xx": "Cicho"})
    language = load_language("en", {m.name: m for m in (quiet, again, done, untitled)})

    assert language.find("quiet feet") == Answer(Meaning.FOCUS, focus="quiet-feet")
    assert language.find("all done") == Answer(Meaning.DONE)
    focuses = [key for key in language.answers if key.startswith("focus:")]
    assert focuses == ["focus:1", "focus:2", "focus:3", "focus:quiet-feet"]
    assert language.find("number two") == Answer(Meaning.FOCUS, number=2)


def test_cues_avoid_the_words_of_answers() -> None:
    for movement in LANGUAGE.movements.values():
        words = set(re.findall(r"[a-z]+", movement.cue["en"].lower()))
        assert not words & COMMANDS, movement.name


@pytest.mark.parametrize(
    ("lost", "said"),
    [
        (0, "Only gentle on the fingers now."),
        (1, "One hard try left out."),
        (3, "3 hard tries left out."),
    ],
)
def test_a_plural_has_a_form_for_none_one_and_many(lost: int, said: str) -> None:
    text = LANGUAGE.text(message("sore", part="fingers", lost=lost, minutes=9))
    assert text.endswith(said)


def test_values_are_put_in_by_their_own_words() -> None:
    assert LANGUAGE.word("go-ahead") == "go-ahead"
    assert LANGUAGE.word("skip") == LANGUAGE.phrase("skip")
    assert LANGUAGE.word("cat-arch") == "Cat arch"
    assert LANGUAGE.word("no such thing") == "no such thing"
    assert LANGUAGE.word(2.5) == "2.5"
    assert LANGUAGE.phrase("no-such-answer") == "no-such-answer"
    assert LANGUAGE.phrases(["skip", "nothing-like-it"]) == {"skip": LANGUAGE.answers["skip"]}


def test_a_movement_that_is_unknown_is_told_by_its_kind() -> None:
    assert LANGUAGE.text(message("next", movement="gone", kind="try")) == "After this: a hard try."


def test_who_is_addressed_by_number() -> None:
    assert LANGUAGE.text(message("try", number=1, who=2)).startswith("Person 2: ")


def test_a_missing_sentence_is_named() -> None:
    with pytest.raises(KeyError, match="no sentence for 'unheard-of'"):
        LANGUAGE.text(message("unheard-of"))


def test_a_sentence_takes_as_long_as_its_words() -> None:
    assert seconds("one two three four", 160.0) == pytest.approx(BREATH + 1.5)


def test_a_person_can_bring_a_language(tmp_path: Path) -> None:
    folder = tmp_path / "voices" / "words"
    folder.mkdir(parents=True)
    (folder / "xx.toml").write_text(
        '[say]\nwelcome = "Dzień dobry"\n[answers]\n"done" = ["gotowe"]\n[words]\n'
    )
    language = load_language("xx", {}, (tmp_path,))
    assert "xx" in list_languages((tmp_path,))
    assert language.text(message("welcome")) == "Dzień dobry"
    assert language.find("Gotowe.") == parse("done")


@pytest.mark.parametrize(
    ("side", "one", "other"), [("left", "Left", "right"), ("right", "Right", "left")]
)
def test_a_cue_names_the_hand_of_its_side_and_the_other(side: str, one: str, other: str) -> None:
    said = LANGUAGE.text(message("cue-for", movement="uneven-hang", side=side, amount=1))
    assert said.startswith(f"{one} hand on the edge, {other} hand"), said


def test_those_who_share_a_place_are_named_together() -> None:
    said = LANGUAGE.text(message("group-move", people="1+2 3", station="wall"))
    named = replace(LANGUAGE, names={1: "Runa", 2: "Osk"})
    assert "1 and 2" in said
    assert "Runa and Osk" in named.text(message("group-move", people="1+2 3", station="wall"))
