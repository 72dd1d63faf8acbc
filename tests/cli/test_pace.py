"""`coach plan` and `coach start` take the minutes per boulder that the journal tells."""

import json
import re
from datetime import UTC, datetime
from pathlib import Path

import pytest

from coach.errors import ExitCode
from coach.files.paths import paths
from coach.journal import Journal
from coach.model.facts import StepEnded
from coach.runtime.beginning import begin
from coach.setup.choices import Choices
from coach.setup.earlier_days import at_own_pace, why
from coach.setup.settling import settle
from tests.cli.conftest import Coach
from tests.record.rehearsed import rehearse_into

AT = ("--place", "tarnwick", "--minutes", "90", "--age", "adult")
NOW = datetime(2026, 3, 5, 18, 0, tzinfo=UTC)


@pytest.fixture
def three_sessions(home: Path) -> Path:
    """One's own journal with three normal days at Tarnwick."""
    file = paths().journal
    with Journal.open(file, write=True) as journal:
        for day in (1, 3, 5):
            rehearse_into(journal, f"2026-03-0{day}T18:00:00+01:00")
    return file


def test_a_plan_tells_what_a_boulder_takes_and_from_how_many_sessions(
    coach: Coach, three_sessions: Path
) -> None:
    ran = coach("plan", *AT, "--why")

    assert ran.code == ExitCode.OK
    lines = [line for line in ran.out.splitlines() if line.startswith("pace: ")]
    assert len(lines) == 2
    for tier, line in zip(("An easy", "A middle"), lines, strict=True):
        told = rf"pace: {tier} boulder takes you [\d.]+ minutes? here; learnt from 3 sessions\."
        assert re.match(told, line)
    assert "takes you" not in coach("plan", *AT).out


def test_the_plan_takes_the_pace_at_its_own_place_only(coach: Coach, three_sessions: Path) -> None:
    def easy(place: str) -> set[float]:
        away = ("--today", "break: holiday")  # else the months since then have no reason
        ran = coach("plan", *AT[2:], *away, "--place", place, "--json")
        plan = json.loads(ran.out)
        assert any(one["rule"] == "pace" for one in plan["why"]) == (place == "tarnwick")
        return {
            step["seconds"] / step["amount"]
            for step in plan["steps"]
            if step["block"] == "easy" and step["kind"] == "climb"
        }

    [usual] = easy("umbershaw")
    [own] = easy("tarnwick")
    assert usual == 40.0  # the catalogue's own
    assert abs(own - usual) > 0.2


def test_a_slow_pace_is_told_and_refuses_no_minutes(home: Path) -> None:
    setup = settle(Choices(minutes=46, age=("adult",)), paths(), NOW)
    slow = StepEnded(9.0, 1, "easy.1", "easy-boulders", "climb", "easy", 5.0, 700.0, 350.0, "done")
    with Journal.open(paths().journal, write=True) as journal:
        for _ in range(3):
            begun = begin(journal, setup, NOW, print)
            journal.commit(begun.id, begun.first, (slow,), NOW)
            journal.close_session(begun.id, "done")
        paced = at_own_pace(setup, journal, paths())

    assert list(why(paced)) == [
        "An easy boulder takes you 2.3 minutes here; learnt from 3 sessions."
    ]


def test_without_a_readable_journal_the_usual_minutes_count(coach: Coach, home: Path) -> None:
    usual = coach("plan", *AT, "--json")
    file = paths().journal
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text("no journal", encoding="utf-8")
    ran = coach("plan", *AT, "--json")

    assert ran.code == ExitCode.OK
    assert ran.out == usual.out
    assert "usual minutes per boulder" in ran.err
