"""Whose voice may be asked for: in a first session, alone, where nothing was taught yet."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from coach.files.paths import paths
from coach.journal import Journal
from coach.model.person import AgeBand
from coach.runtime.beginning import begin
from coach.setup.choices import Choices
from coach.setup.settling import Setup, settle

NOW = datetime(2026, 3, 3, 18, 0, tzinfo=UTC)

pytestmark = pytest.mark.usefixtures("home")


@pytest.fixture
def journal(tmp_path: Path) -> Iterator[Journal]:
    with Journal.open(tmp_path / "journal.db", write=True) as opened:
        yield opened


def asks(journal: Journal, setup: Setup, day: int = 0) -> bool:
    begun = begin(journal, setup, NOW + timedelta(days=day), print)
    journal.close_session(begun.id, "done")
    return begun.start.settled.learn_voice


def alone(**more: object) -> Setup:
    return settle(Choices(age=(AgeBand.ADULT,), **more), paths(), NOW)  # type: ignore[arg-type]


def test_in_the_first_session_it_may_be_asked_and_in_no_later_one(journal: Journal) -> None:
    assert asks(journal, alone())
    assert not asks(journal, alone(), 2)


def test_a_pair_is_not_asked(journal: Journal) -> None:
    usual = alone()
    assert not asks(journal, replace(usual, kind="pair"))


def test_another_language_is_not_asked(journal: Journal) -> None:
    assert not asks(journal, alone(voice="ruhig"))


def test_what_can_not_learn_is_not_asked(journal: Journal) -> None:
    usual = alone()
    vosk = replace(usual, settings=replace(usual.settings, recogniser="vosk"))
    assert not asks(journal, vosk)


def test_who_has_taught_before_is_not_asked(journal: Journal) -> None:
    folder = paths().takes("en")
    folder.mkdir(parents=True)
    (folder / "0123.npz").touch()
    assert not asks(journal, alone())
