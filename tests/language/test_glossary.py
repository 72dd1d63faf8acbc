"""What people read holds no name that only the code knows, and no turn that we never use."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

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


ROOT = Path(__file__).parents[2]


def never_used() -> list[str]:
    """The words of the glossary that stand in bold on the right."""
    rows = [line.split("|") for line in (ROOT / "docs/glossary.md").read_text("utf-8").splitlines()]
    return [word for row in rows if len(row) == 5 for word in re.findall(r"\*\*(.+?)\*\*", row[3])]


def errors() -> Iterator[str]:
    """Every piece of text that an error of ours is made with, read from the source."""
    for path in sorted((ROOT / "coach").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and _name(node.func).endswith(("Error", "Exception")):
                parts = [part for each in node.args for part in ast.walk(each)]
                yield from (
                    part.value
                    for part in parts
                    if isinstance(part, ast.Constant) and isinstance(part.value, str)
                )


def _name(made: ast.expr) -> str:
    return getattr(made, "id", getattr(made, "attr", ""))


def pages() -> Iterator[str]:
    """Documents for those who climb; titles of papers keep their own words.

    The help of every command stands in `docs/commands.md`, word for word.
    """
    quoted = {"glossary.md", "published.md", "provenance.md", "hearing.md", "numbers.md"}
    for path in [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]:
        if path.name not in quoted:
            yield path.read_text("utf-8")


def test_words_that_the_glossary_rules_out_are_read_nowhere() -> None:
    words = never_used()
    assert len(words) > 10
    wrong = re.compile(rf"\b(?:{'|'.join(words)})(?:s|es)?\b", re.IGNORECASE)
    said = (line.text for line in script(load_language("en", MOVEMENTS)))
    found = {hit.group() for text in (*said, *errors(), *pages()) for hit in wrong.finditer(text)}
    assert found == set()
    assert wrong.search("a hard workout")
