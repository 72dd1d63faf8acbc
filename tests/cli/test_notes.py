"""`coach notes`: list, delete; and what a session finds of them."""

from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from coach.audio.note_files import list_notes, path_of, save
from coach.audio.sound_device import RATE
from coach.errors import ExitCode
from coach.files.paths import paths
from coach.journal import Journal
from coach.model.facts import BoulderNamed, Fact, Filmed, NoteMade
from coach.runtime.beginning import begin
from coach.session.events import Started
from tests.cli.conftest import Coach
from tests.cli.test_setup import NOW, settled


def note(name: str, seconds: float = 3.0) -> None:
    save(paths().notes, name, np.full(round(seconds * RATE), 0.1, np.float32))


def session(*facts: Fact) -> None:
    """A session of an earlier day with these facts."""
    with Journal.open(paths().journal, write=True) as journal:
        begun = begin(journal, settled(), NOW, print)
        journal.commit(begun.id, Started(0.0), facts, datetime(2026, 3, 3, tzinfo=UTC))
        journal.close_session(begun.id, "done")


@pytest.mark.usefixtures("home")
def test_notes_are_listed_with_length_and_boulder(coach: Coach) -> None:
    assert coach("notes").out == ""
    note("20260303183000-1")
    note("20260303183000-2", 12.0)
    session(NoteMade(9.0, 1, "flint 4", "20260303183000-1", 3.0))

    ran = coach("notes")

    assert ran.code == ExitCode.OK
    assert [line.split() for line in ran.out.splitlines()] == [
        ["20260303183000-1", "3", "s", "flint", "4"],
        ["20260303183000-2", "12", "s"],
    ]


@pytest.mark.usefixtures("home")
def test_a_note_is_deleted_by_its_name_only(coach: Coach, tmp_path: Path) -> None:
    note("one")
    note("two")
    other = tmp_path / "other.wav"
    other.write_bytes(b"")

    assert coach("notes", "delete", "one").out == "Deleted: one\n"
    refused = coach("notes", "delete", "two", "../../other")

    assert refused.code == ExitCode.USAGE
    assert "there is no note '../../other'" in refused.err
    assert list_notes(paths().notes) == ["two"]
    assert other.exists()


@pytest.mark.usefixtures("home")
def test_a_note_that_is_not_there_is_not_played(coach: Coach) -> None:
    ran = coach("notes", "play", "none")

    assert (ran.code, ran.out) == (ExitCode.USAGE, "")


@pytest.mark.usefixtures("home")
def test_the_next_session_has_the_notes_that_are_there_and_asks_about_films() -> None:
    for name in ("old", "new", "gone", "unnamed"):
        note(name)
    path_of(paths().notes, "gone").unlink()
    session(
        BoulderNamed(0.0, 1, "flint 4"),
        NoteMade(1.0, 1, "flint 4", "old", 3.0),
        NoteMade(2.0, 1, "flint 4", "new", 3.0),
        NoteMade(3.0, 1, "slate 2", "gone", 3.0),
        NoteMade(4.0, 1, "boulder 1", "unnamed", 3.0),
        Filmed(5.0, 1, "flint 4", 2, "18:40"),
        Filmed(6.0, 1, "flint 4", 3, "18:45"),
        Filmed(7.0, 1, "boulder 1", 4, "18:50"),
    )

    with Journal.open(paths().journal, write=True) as journal:
        options = begin(journal, settled(), NOW, print).session.options

    assert options.notes == ((1, "flint 4", "new"),)
    assert options.films == ((1, "flint 4"),)
    assert options.wall == "2026-03-03 18:30:00"
