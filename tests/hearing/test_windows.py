"""What is offered is heard well, judged by what was measured (`confused.toml`).

Each answer is shown by a phrase of two words, and of near answers in one window both have one.
"""

import tomllib
from itertools import combinations
from pathlib import Path

import pytest

from coach.files.library import load_library
from coach.files.words import load_language
from coach.model.answers import ANYTIME
from coach.model.questions import QUESTIONS

MEASURED = tomllib.loads(Path(__file__).with_name("confused.toml").read_text("utf-8"))

#: Looks from which on two answers count as near to each other.
NEAR = 3

#: A single word that is offered first, of three syllables and never among the weak.
ALONE = {"moderate"}


@pytest.fixture(scope="module")
def answers() -> dict[str, tuple[str, ...]]:
    found = load_language("en", load_library("full", None, ()).movements).answers
    return {key: tuple(some) for key, some in found.items()}


def test_what_is_offered_first_is_two_words_and_never_a_weak_one(
    answers: dict[str, tuple[str, ...]],
) -> None:
    first = {some[0] for some in answers.values()}
    assert {phrase for phrase in first if " " not in phrase} <= ALONE
    assert not first & set(MEASURED["weak"])


@pytest.mark.parametrize("name", sorted(QUESTIONS))
def test_answers_of_a_window_that_are_near_differ_by_more_than_one_short_word(
    name: str, answers: dict[str, tuple[str, ...]]
) -> None:
    near = {frozenset(pair[:2]) for pair in MEASURED["pairs"] if pair[2] >= NEAR}
    open_now = [key for key in (*QUESTIONS[name].answers, *ANYTIME) if key in answers]
    for one, other in combinations(dict.fromkeys(open_now), 2):
        if frozenset((one, other)) in near:
            strong = [any(len(p.split()) > 1 for p in answers[key]) for key in (one, other)]
            assert all(strong), f"{one} and {other}: offer each by two words"
