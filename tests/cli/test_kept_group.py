"""A group that is asked for once and then kept, at a terminal that a test types on."""

import sys
from pathlib import Path

import pytest

from coach.cli.kept_group import roster_path
from coach.errors import FileError
from coach.files.library import load_library
from coach.files.paths import Paths, paths
from coach.files.roster import load_roster
from coach.model.body import Feel, Part
from coach.model.person import AgeBand, Person

PLACE = load_library("group", None).place
TYPED = ["", "Runa", "15", "", "runa", 'Osk "O"', "130", "adult", "left shoulder sore; wrist", ""]


@pytest.fixture
def known(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Paths:
    monkeypatch.setenv("COACH_HOME", str(tmp_path))
    return paths()


def test_who_is_in_it_is_asked_once_and_kept(known: Paths, monkeypatch: pytest.MonkeyPatch) -> None:
    answers = iter(TYPED)
    monkeypatch.setattr("coach.cli.kept_group._typed", lambda _: next(answers))
    for stream in (sys.stdin, sys.stderr):
        monkeypatch.setattr(stream, "isatty", lambda: True)

    first = load_roster(roster_path(Path("Monday youth"), known), PLACE)
    again = load_roster(roster_path(Path("monday-youth"), known), PLACE)

    assert list(answers) == []
    assert first == again
    assert first.people == (
        Person(1, "Runa", AgeBand.UNDER_16),
        Person(2, 'Osk "O"', AgeBand.ADULT),
    )
    assert first.hurting == (
        (2, Part.SHOULDERS, Feel.SORE),
        (2, Part.WRISTS, Feel.HURTING),
    )


def test_where_nobody_can_be_asked_it_is_said_how(known: Paths) -> None:
    with pytest.raises(FileError, match="no group of that name is kept"):
        roster_path(Path("monday-youth"), known)
    assert roster_path(Path("some/where"), known) == Path("some/where")
