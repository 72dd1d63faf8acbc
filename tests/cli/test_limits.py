"""Limits of a roster are the words of `--hurting`: none of them means less in a group."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from coach.cli.plan import planned
from coach.files.library import load_library
from coach.files.paths import paths
from coach.files.roster import load_roster
from coach.group.limits import day_of
from coach.model.body import Cap, CapReason, Part
from coach.model.start import Options
from coach.setup.choices import Choices
from coach.setup.settling import settle
from tests.cli.conftest import Coach

LIBRARY = load_library("group", "tarnwick")


def written(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "roster.toml"
    path.write_text(text)
    return path


#: What is typed of somebody, as `--hurting` and a limit of a roster read it.
TYPED = (
    "fingers", "left shoulder sore", "elbow joint sore", "elbow muscle sore", "skin sore",
    "skin of the fingers sore", "ring finger pop", "knee swollen", "chest pain", "hit my head",
    "dizzy", "a fever", "wrist slight pain", "knee severe pain", "back pain 7", "sore", "hurting",
    "weird clicky thing", "nose", "fingrs sore", "fingers stiff", "hips tired", "neck pain",
    "elbow joint sore, shoulder muscle sore", "numb", "banana elbow",
)  # fmt: skip


@pytest.mark.parametrize("age", ["adult", "under-18", "unknown"])
@pytest.mark.parametrize("text", TYPED)
@pytest.mark.usefixtures("home")
def test_a_limit_means_no_less_than_the_same_words_of_one_alone(
    text: str, age: str, tmp_path: Path
) -> None:
    """Nobody answers a question that follows: what may load each part, by its lowest cap."""
    now = datetime(2026, 3, 2, 18, tzinfo=UTC)
    setup = settle(Choices(hurting=text, age=(age,), minutes=90), paths(), now)
    alone = planned(setup).day
    assert alone is not None
    path = written(tmp_path, f'[[people]]\nage = "{age}"\nlimits = ["{text}"]')
    roster = load_roster(path, LIBRARY.place)
    options = Options(roster.people, 90.0, roster.hurting, complaints=roster.complaints)
    there = day_of(options, LIBRARY)
    for part in Part:
        lone = min((c.most for c in alone.caps if c.part is part and not gated(c)), default=3)
        group = min((c.most for c in there.caps if c.part is part and not gated(c)), default=3)
        assert group <= lone, part


def gated(cap: Cap) -> bool:
    """Whether a cap is no matter of what was told: a check that waits."""
    return cap.reason is CapReason.GATE


@pytest.mark.parametrize("text", ["nose", "weird clicky thing", "fingrs sore"])
def test_an_unknown_word_is_hurting_said_back_and_asked_about(
    coach: Coach, home: Path, tmp_path: Path, text: str
) -> None:
    path = written(tmp_path, f'[[people]]\nname = "Runa"\nlimits = ["{text}"]\n[[people]]\n')
    ran = coach("group", "--roster", str(path), "--minutes", "60", "--sheet")
    assert ran.code == 0
    said = f"'{text}' is taken as hurting, of any part: ask where it is."
    assert f"Runa: {said}" in ran.err
    assert said in ran.out
    assert ("did you mean 'fingers'?" in ran.err) is (text == "fingrs sore")
