"""What DEVELOPERS.md says under 'How to add' is done in a copy of the program, and works there.

Everything is added first without its German: what finds that missing has to say so.
"""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]

MOVEMENT = """
[movements.lying-arch]
title.en = "Lying arch"
cue.en = "Lie on your back, press your spine down as you breathe out."
form.en = "Slow, from the tailbone."
unit = "breaths"
amount = 6
least = 3
most = 10
seconds_each = 6
does = ["sits", "bends-back"]
load = { back = 1 }
order = 1
"""
MOVEMENT_DE = """title.de = "Bogen im Liegen"
cue.de = "Auf dem Rücken liegen, ausatmend die Wirbelsäule andrücken."
form.de = "Langsam, vom Steißbein an."
"""
ANSWER = """    HOW_WARM = "how-warm", Nature(
        _NEUTRAL, "says the last cue once more", shown=True, called=True
    )  # fmt: skip

    # -- hard tries
"""
RULE = """    Rule(
        name="enough-tries-again",
        fires="she has had enough of hard tries",
        does="leaves out the hard tries that are left",
        when=_enough,
        then=_none,
        say="enough-tries",
        values=(),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
)
"""
QUESTION = """    Question("music", ("yes", "no")),
    # check-in
"""
COMMAND = '''"""`coach greet`: a word of welcome."""

import click

from coach.cli import output


@click.command("greet")
def command() -> None:
    """Say hello."""
    output.line("Hello.")
'''
#: What goes into a pack besides: key of the sentence, or of the answer, with its words.
WORDS = {
    "en": (
        'ask-music = "Some music?"',
        'why-enough-tries-again = "You had enough."',
        '"how-warm" = ["how warm am i"]',
    ),
    "de": (
        'ask-music = "Etwas Musik?"',
        'why-enough-tries-again = "Du hattest genug."',
        '"how-warm" = ["wie warm bin ich"]',
    ),
}


def put(path: Path, before: str, new: str) -> None:
    """Put a text before the first place where another stands."""
    text = path.read_text(encoding="utf-8")
    assert before in text, f"{path.name} has no {before!r}"
    path.write_text(text.replace(before, new, 1), encoding="utf-8")


def add_words(copy: Path, language: str) -> None:
    """Two sentences and a phrase into a pack, where such things stand."""
    path = copy / f"voices/words/{language}.toml"
    *sentences, phrase = WORDS[language]
    put(path, "how-long = ", "\n".join([*sentences, "how-long = "]))
    put(path, '"how-long" = ', f'{phrase}\n"how-long" = ')


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The program with one of each added, in English."""
    copy = tmp_path_factory.mktemp("copy")
    for name in ("coach", "voices", "routines", "tests", "docs"):
        shutil.copytree(ROOT / name, copy / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md", "DEVELOPERS.md"):
        shutil.copy(ROOT / name, copy)
    with (copy / "routines/movements/mat.toml").open("a", encoding="utf-8") as file:
        file.write(MOVEMENT)
    put(copy / "coach/model/answers.py", "    # -- hard tries\n", ANSWER)
    put(copy / "coach/session/commands.py", "    Meaning.HOW_LONG: ",
        "    Meaning.HOW_WARM: _again,\n    Meaning.HOW_LONG: ")  # fmt: skip
    rules = copy / "coach/planning/rules/last_tries.py"
    rules.write_text(re.sub(r"\)\n\Z", RULE, rules.read_text("utf-8")), encoding="utf-8")
    put(copy / "coach/model/questions.py", "    # check-in\n", QUESTION)
    (copy / "coach/cli/greet.py").write_text(COMMAND, encoding="utf-8")
    put(
        copy / "coach/cli/__init__.py", '    "paths": ', '    "greet": "Say hello.",\n    "paths": '
    )
    put(copy / "tests/bare.py", '    ("paths",),\n', '    ("greet",),\n    ("paths",),\n')
    shutil.copy(copy / "voices/plain.toml", copy / "voices/mine.toml")
    add_words(copy, "en")
    return copy


def run(copy: Path, *line: str) -> subprocess.CompletedProcess[str]:
    """Run Python on the copy alone."""
    environment = os.environ | {"PYTHONPATH": str(copy), "COACH_HOME": str(copy / "home")}
    environment.pop("PYTEST_ADDOPTS", None)
    return subprocess.run(
        [sys.executable, *line], cwd=copy, env=environment, capture_output=True, text=True,
        encoding="utf-8",
    )  # fmt: skip


def checked(copy: Path, *files: str) -> subprocess.CompletedProcess[str]:
    """Run what the guide names, in the copy."""
    return run(copy, "-m", "pytest", "-q", "-n0", "-p", "no:cacheprovider", *files)


def test_english_alone_is_found_out_and_both_are_enough(copy: Path) -> None:
    lacking = checked(copy, "tests/language/test_languages.py")
    assert lacking.returncode == 1, lacking.stdout
    assert "how-warm" in lacking.stdout or "ask-music" in lacking.stdout

    add_words(copy, "de")
    mat = copy / "routines/movements/mat.toml"
    english, dose, rest = mat.read_text("utf-8").rpartition('unit = "breaths"')
    mat.write_text(english + MOVEMENT_DE + dose + rest, encoding="utf-8")
    found = checked(
        copy, "tests/language/test_languages.py", "tests/language/test_pack.py",
        "tests/model/test_model.py", "tests/planning/test_rules.py",
        "tests/cli/test_bare.py::test_every_command_is_tried",
    )  # fmt: skip
    assert found.returncode == 0, found.stdout[-3000:]


def test_a_movement_is_verified_against_its_neighbours(copy: Path) -> None:
    ran = run(copy, "-m", "coach", "routines", "verify")
    assert ran.returncode == 0, ran.stderr


def test_a_voice_and_a_command_are_there_by_their_names(copy: Path) -> None:
    assert run(copy, "-m", "coach", "plan", "--voice", "mine").returncode == 0
    assert run(copy, "-m", "coach", "greet").stdout == "Hello.\n"
    assert "Say hello." in run(copy, "-m", "coach").stdout


def test_an_answer_does_in_a_session_what_its_table_says(copy: Path) -> None:
    said = copy / "said.txt"
    said.write_text("03:00 how warm am I\n", encoding="utf-8")
    line = ("mat-and-board", "--minutes", "30", "--hurting", "no", "--same-place")
    ran = run(copy, "-m", "coach", "rehearse", *line, "--answers", str(said))
    assert ran.returncode == 0, ran.stderr
    assert "how warm am i" in ran.stdout
    assert "never said" not in ran.stderr


def test_documents_are_written_anew_by_the_line_of_the_guide(copy: Path) -> None:
    pages = ("docs/commands.md", "docs/answers.md", "docs/figures/rules.md")
    ran = run(copy, "-m", "cogapp", "-r", *pages)
    assert ran.returncode == 0, ran.stderr
    for page, word in zip(pages, ("coach greet", "how-warm", "enough-tries-again"), strict=True):
        assert word in (copy / page).read_text("utf-8"), page
