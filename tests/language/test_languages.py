"""Every shipped language says all that another says, and a session in it says nothing else."""

import re
from pathlib import Path

import pytest

from coach.files.answers_file import read_answers
from coach.files.library import load_library
from coach.files.voices import list_voices, load_voice
from coach.files.words import list_languages, load_language
from coach.language import Language
from coach.language.pack import normal
from coach.model.messages import message
from coach.model.movement import Family
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.runtime.rehearsal import rehearse
from coach.session.step import new_session
from tests.session.stage import LANGUAGE, LIBRARY

OTHERS = [code for code in list_languages() if code != "en"]
DAY = Path(__file__).parents[1] / "cli" / "normal-day.txt"
#: What is asked and told on a day that is not so normal.
MORE = """
02:00 why
05:00 what's next
06:00 how long
08:00 more time
12:00 something easier
21:30 take a pause
21:40 carry on
30:00 fingers sore
31:00 only the skin
45:00 skip this
52:00 short of time
"""
#: Answers that stand with what they name, not in the pack.
BY_TITLE = ("focus:", "variation:")
SLOT = re.compile(r"\{([a-z_]+)")
WORD = re.compile(r"[^\W\d_]+")


@pytest.fixture(params=OTHERS)
def other(request: pytest.FixtureRequest) -> Language:
    return load_language(request.param, LIBRARY.movements)


def words_of(texts: list[str]) -> set[str]:
    """Every word, without the names of values."""
    return {word.lower() for text in texts for word in WORD.findall(SLOT.sub(" ", text))}


def all_texts(language: Language) -> list[str]:
    movements = language.movements.values()
    return [
        *language.says.values(),
        *language.words.values(),
        *(phrase for some in language.answers.values() for phrase in some),
        *(one.title[language.code] for one in movements),
        *(one.cue[language.code] for one in movements),
    ]


def test_there_is_a_second_language() -> None:
    assert OTHERS == ["de"]


def test_it_has_the_same_keys(other: Language) -> None:
    assert other.says.keys() == LANGUAGE.says.keys()
    assert other.words.keys() == LANGUAGE.words.keys()
    assert {key for key in other.answers if not key.startswith(BY_TITLE)} == {
        key for key in LANGUAGE.answers if not key.startswith(BY_TITLE)
    }


def test_each_sentence_takes_the_same_values(other: Language) -> None:
    for key, sentence in LANGUAGE.says.items():
        assert set(SLOT.findall(other.says[key])) == set(SLOT.findall(sentence)), key


def test_no_phrase_means_two_things(other: Language) -> None:
    phrases = [normal(text) for texts in other.answers.values() for text in texts]
    assert len(phrases) == len(set(phrases))


def test_each_movement_has_its_words_and_a_cue_is_short(other: Language) -> None:
    for movement in LIBRARY.movements.values():
        at_rest = movement.family in {Family.MAT, Family.COOL_DOWN}
        assert len(movement.cue[other.code].split()) <= (14 if at_rest else 9), movement.name
        assert 1 <= len(movement.title[other.code].split()) <= 4, movement.name
        assert movement.form[other.code]


def test_no_cue_of_a_movement_says_an_answer_that_counts_at_any_time(other: Language) -> None:
    anytime = [normal(p) for key in ("stop", "pause", "hurt") for p in other.answers[key]]
    for movement in LIBRARY.movements.values():
        said = f" {normal(movement.cue[other.code])} {normal(movement.title[other.code])} "
        assert not [phrase for phrase in anytime if f" {phrase} " in said], movement.name


def test_a_voice_speaks_it(other: Language) -> None:
    voices = [load_voice(name) for name in list_voices()]
    assert [one.name for one in voices if one.language == other.code]


def test_large_words_are_letters_that_the_screen_can_draw(other: Language) -> None:
    for key, text in other.says.items():
        if key.startswith("word-"):
            assert re.fullmatch("[a-z]+", text), key


@pytest.mark.parametrize("more", ["", MORE], ids=["normal", "more"])
def test_a_whole_session_says_no_word_of_english(
    other: Language, more: str, tmp_path: Path
) -> None:
    (tmp_path / "day.txt").write_text(DAY.read_text("utf-8") + more, "utf-8")
    script = read_answers(tmp_path / "day.txt", LANGUAGE.breath)
    people = (Person(1, age=AgeBand.ADULT, edge="medium"),)
    options = Options(people, 90.0, (), same_place=True)
    done = rehearse(new_session(load_library("full"), options), other, script)

    said = [entry.text for entry in done.transcript.entries if entry.kind == "said"]
    english = words_of(all_texts(LANGUAGE)) - words_of(all_texts(other))
    assert len(said) > 60
    assert {"stop", "rest", "the", "slowly"} <= english
    assert words_of(said) & english == set()
    assert len([entry for entry in done.transcript.entries if entry.kind == "heard"]) > 15


def test_the_mat_is_called_by_its_name_and_another_station_by_its_own(other: Language) -> None:
    for station, called in (("mat", other.words["station-mat"]), ("far end", "far end")):
        said = other.text(message("group-move", people="1", station=station))
        assert said == f"1: {called}."


def test_a_block_is_called_by_its_name_in_the_language(other: Language) -> None:
    said = other.text(message("why-length", block="cool-down", minutes=5, kept=0))
    assert said.startswith(other.says["block-cool-down"])
    assert other.text(message("why-length-none", block="mine")).startswith("mine")
