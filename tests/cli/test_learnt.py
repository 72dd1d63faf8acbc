"""What was learnt is seen, changed and forgotten by one command, and a session takes it."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from coach.errors import ExitCode
from coach.files.paths import paths
from coach.journal import Journal
from coach.runtime.beginning import begin
from coach.setup.choices import Choices
from coach.setup.settling import settle
from tests.cli.conftest import Coach
from tests.record.rehearsed import rehearse_into

NOW = datetime(2026, 3, 5, 18, 0, tzinfo=UTC)


@pytest.fixture
def journal(home: Path) -> Path:
    """A journal of one's own with two real sessions."""
    paths().journal.parent.mkdir(parents=True, exist_ok=True)
    with Journal.open(paths().journal, write=True) as made:
        rehearse_into(made, "2026-02-20T18:00:00+01:00")
        rehearse_into(made, "2026-02-24T18:00:00+01:00")
    return paths().journal


def begun(**told: object) -> object:
    """The options of a session that begins now."""
    setup = settle(Choices(age=("adult",), **told), paths(), NOW)  # type: ignore[arg-type]
    with Journal.open(paths().journal, write=True) as journal:
        return begin(journal, setup, NOW, print).session.options


def test_what_is_chosen_counts_until_it_is_forgotten(journal: Path, coach: Coach) -> None:
    assert "you chose it" not in coach("learnt").out
    for line in (("rest", "4:00"), ("tries", "3"), ("warm-up", "long"), ("weeks", "off")):
        ran = coach("learnt", *line)
        assert ran.code == ExitCode.OK
        assert "you chose it" in ran.out
    options = begun()
    assert dict(options.rests)[1] == 240.0  # type: ignore[attr-defined]
    assert {(1, "tries:3"), (1, "long-warm-up")} <= set(options.told)  # type: ignore[attr-defined]
    assert dict(begun(rest="5:00").rests)[1] == 300.0  # type: ignore[attr-defined]
    for name in ("rest", "tries", "warm-up", "weeks"):
        assert "you chose it" not in coach("learnt", name, "--forget").out
    options = begun()
    assert options.rests == ()  # type: ignore[attr-defined]
    assert options.told == ()  # type: ignore[attr-defined]


def test_what_cannot_be_is_refused(journal: Path, coach: Coach) -> None:
    for line in (
        ("rest", "1:00"),
        ("tries", "0"),
        ("warm-up", "short"),
        ("weeks", "13"),
        ("pace", "hard 1:00"),
        ("words", "done"),
        ("words", "--forget"),
        ("--forget",),
    ):
        assert coach("learnt", *line).code == ExitCode.USAGE
    assert coach("learnt", "pace", "easy", "1:30", "--place", "tarnwick").code == ExitCode.OK


def test_a_trial_runs_in_the_sessions_and_one_at_a_time(journal: Path, coach: Coach) -> None:
    assert "No trial yet" in coach("trial").out
    assert "Runs: rest 4:00 between hard tries; 0 of 4 sessions." in coach("trial", "rest", "4").out
    assert coach("trial", "tries", "3").code == ExitCode.USAGE
    assert dict(begun().rests)[1] == 240.0  # type: ignore[attr-defined]
    assert dict(begun(rest="3:00").rests)[1] == 180.0  # type: ignore[attr-defined]
    coach("trial", "--end")
    assert begun().rests == ()  # type: ignore[attr-defined]
    assert coach("trial", "tries", "2").code == ExitCode.OK
    assert (1, "tries:2") in begun().told  # type: ignore[attr-defined]
    assert coach("trial", "focus", "no-such").code == ExitCode.USAGE


@pytest.mark.parametrize("days", [7, 400, 3700])
def test_the_year_is_true_at_a_week_a_year_and_ten(
    home: Path, coach: Coach, days: int, tmp_path: Path
) -> None:
    paths().journal.parent.mkdir(parents=True, exist_ok=True)
    last = datetime(2026, 3, 4, 18, 0, tzinfo=UTC)
    with Journal.open(paths().journal, write=True) as made:
        for n in (days - 1, days // 2, 2):
            rehearse_into(made, (last - timedelta(days=n)).isoformat())
    day = f"{last:%Y-%m-%d}"
    out = coach("year", "--until", day).out
    mine = sum((last - timedelta(days=n)).year == 2026 for n in (days - 1, days // 2, 2))
    assert f"{mine} session" in out
    assert max(map(len, out.splitlines())) <= 80
    assert len(out.splitlines()) < 120
    years = {(last - timedelta(days=n)).year for n in (days - 1, days // 2)} - {2026}
    assert all(f"\n  {one}: " in out for one in years)
    page = tmp_path / "year.html"
    assert coach("year", "--until", day, "--out", str(page)).code == ExitCode.OK
    text = page.read_text()
    assert "<script" not in text
    assert "http" not in text
    assert len(text.split()) < 1500
