"""What people read holds no name that only the code knows, and no turn that we never use."""

import re

import pytest

from coach.files.words import list_languages, load_language
from coach.language.script import script
from tests.language.test_script import MOVEMENTS

#: Three words joined by hyphens, or a head with a colon: a name of a rule, question or answer.
SLUG = re.compile(r"\b[a-z]+(?:-[a-z]+){2,}\b|\b(?:feel|cause|part|person|minutes|count):[a-z0-9]+")
#: Words with two hyphens that English has.
ENGLISH = frozenset(
    {"one-to-one", "day-to-day", "up-to-date", "two-hands-together", "warm-up-time", "step-by-step"}
)
#: Turns that stand for plainer ones (German sentence order, or a word for another).
TURNS = ("in a moment.", "how long there is", "how many there are to", "by figure")


@pytest.mark.parametrize("code", list_languages())
def test_nothing_that_is_said_is_a_name_of_the_code(code: str) -> None:
    pack = load_language(code, MOVEMENTS)
    found = {
        (line.key, slug)
        for line in script(pack)
        for slug in SLUG.findall(line.text)
        if slug not in ENGLISH
    }
    assert found == set()


def test_no_banned_turn_is_said() -> None:
    pack = load_language("en", MOVEMENTS)
    said = [line for line in script(pack) for turn in TURNS if turn in line.text]
    assert said == []


@pytest.mark.parametrize("code", list_languages())
def test_one_is_one_and_several_are_several(code: str) -> None:
    """'1 tries', '1 minutes', '1 Versuche' read wrong in any voice."""
    pack = load_language(code, MOVEMENTS)
    many = "tries|minutes|boulders|moves|holds|seconds|weeks|days|Versuche|Minuten|Tage|Sekunden"
    wrong = re.compile(rf"\b1 (?:\w+ )?(?:{many})\b")
    assert [line for line in script(pack) if wrong.search(line.text)] == []
