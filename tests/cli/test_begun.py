"""What a new session takes from the record of earlier ones."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from coach import planning
from coach.errors import UsageError
from coach.files.paths import paths
from coach.journal import Journal, lines
from coach.journal.kept_aims import add_aim
from coach.model.aim import Aim, AimKind
from coach.model.messages import message
from coach.planning import focus
from coach.runtime.beginning import begin, take_up
from coach.setup.choices import Choices
from coach.setup.settling import settle
from tests.cli.conftest import Coach
from tests.record import real
from tests.record.rehearsed import rehearse_into

NOW = datetime(2026, 3, 5, 18, 0, tzinfo=UTC)


def test_the_next_session_offers_the_focuses_practised_least(home: Path, tmp_path: Path) -> None:
    setup = settle(Choices(age=("adult",)), paths(), NOW)
    with Journal.open(tmp_path / "journal.db", write=True) as journal:
        assert begin(journal, setup, NOW, print).session.options.practised == ()
        rehearse_into(journal)
        add_aim(journal, Aim("a", AimKind.FOCUS, "soft-grip"))
        add_aim(journal, Aim("b", AimKind.GRADE, "6C"))
        session = begin(journal, setup, NOW, print).session

    practised = [name for _, name in session.options.practised]
    assert practised == sorted(practised, key=practised.index)
    assert "long-arms" in practised
    assert session.options.favoured == ("soft-grip",)
    today = planning.open_day(session.options.people, 90, session.library)
    offered = focus.offer(today, session.library, 1, practised, session.options.favoured)
    assert offered[0] == "soft-grip"
    assert not set(offered) & set(practised)


@pytest.mark.parametrize(
    ("days", "told", "away"),
    [
        (1, ((1, "hard-yesterday"),), ()),
        (2, (), ()),
        (13, (), ()),
        (14, (), (1,)),
    ],
)
def test_the_record_tells_of_a_hard_yesterday_and_of_a_break(
    home: Path, tmp_path: Path, days: int, told: tuple[object, ...], away: tuple[int, ...]
) -> None:
    setup = settle(Choices(age=("adult",)), paths(), NOW)
    with Journal.open(tmp_path / "journal.db", write=True) as journal:
        rehearse_into(journal)
        now = datetime(2026, 3, 3 + days, 18, 0, tzinfo=UTC)
        options = begin(journal, setup, now, print).session.options

    assert (options.told, options.away) == (told, away)


def test_what_was_typed_of_a_break_is_not_asked(home: Path, tmp_path: Path) -> None:
    setup = settle(Choices(age=("adult",), today="break: holiday"), paths(), NOW)
    with Journal.open(tmp_path / "journal.db", write=True) as journal:
        rehearse_into(journal)
        later = NOW + timedelta(days=400)
        options = begin(journal, setup, later, print).session.options

    assert (options.told, options.away) == (((1, "break:holiday"),), ())


def test_an_aim_is_told_at_the_check_in(home: Path, tmp_path: Path) -> None:
    setup = settle(Choices(age=("adult",)), paths(), NOW)
    with Journal.open(tmp_path / "journal.db", write=True) as journal:
        assert begin(journal, setup, NOW, print).session.options.aim is None
        add_aim(journal, Aim("b", AimKind.GRADE, "6C", "2026-03-10"))
        options = begin(journal, setup, NOW, print).session.options

    assert options.aim == message("aim-climb", what="6C", days=5)


def test_a_plan_after_a_break_is_the_careful_one(coach: Coach, home: Path) -> None:
    home.mkdir(parents=True, exist_ok=True)
    paths().journal.parent.mkdir(parents=True, exist_ok=True)
    with Journal.open(paths().journal, write=True) as journal:
        rehearse_into(journal)
    careful = coach("plan", "--age", "adult", "--why")
    holiday = coach("plan", "--age", "adult", "--why", "--today", "break: holiday")

    assert "back-after-break: After illness, injury or birth" in careful.out
    assert "back-after-holiday:" in holiday.out


def _left_elsewhere(path: Path, wall: datetime) -> Path:
    """The export of another machine, whose session was not over."""
    with Journal.open(path / "other.db", write=True) as other:
        ran = real.day(20, "rests")
        left = other.begin(replace(ran.start, wall=wall.isoformat()), "left")
        for event, facts, _ in ran.committed[:40]:
            other.commit(left, event, facts, wall)
        with (path / "other.jsonl").open("w", encoding="utf-8") as to:
            lines.export(other, to)
    return path / "other.jsonl"


@pytest.mark.parametrize("hours", [0.1, 26.0, -700_000.0])
def test_an_unfinished_session_of_elsewhere_hinders_no_start(
    home: Path, tmp_path: Path, hours: float
) -> None:
    """Of just now, of yesterday, and of 2106 by a clock that stood wrong."""
    file = _left_elsewhere(tmp_path, NOW - timedelta(hours=hours))
    told: list[str] = []
    with Journal.open(tmp_path / "journal.db", write=True) as journal:
        assert lines.read(file, journal).wrong == ""
        assert take_up(journal, ["session"], None if hours > 1 else False, NOW, told.append) is None
        setup = settle(Choices(age=("adult",)), paths(), NOW)
        begun = begin(journal, setup, NOW, told.append)
        journal.close_session(begun.id, "done")
        assert all(row.how is not None for row in journal.sessions())
    assert any("closed" in line for line in told)
    assert any("By this clock it is" in line for line in told) == (hours < 0)


def test_a_clock_against_the_record_is_asked_about(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []

    def confirm(text: str, **_: object) -> bool:
        asked.append(text)
        return len(asked) > 1

    for stream in ("stdin", "stderr"):
        monkeypatch.setattr(f"coach.runtime.beginning.sys.{stream}.isatty", lambda: True)
    monkeypatch.setattr("coach.runtime.beginning.click.confirm", confirm)
    setup = settle(Choices(age=("adult",)), paths(), NOW)
    with Journal.open(tmp_path / "journal.db", write=True) as journal:
        rehearse_into(journal, "2099-03-03T18:00:00+01:00")
        with pytest.raises(UsageError, match="the clock is wrong"):
            begin(journal, setup, NOW, print)
        assert len(journal.sessions()) == 1, "nothing was begun"
        begin(journal, setup, NOW, print)
    assert asked[0].startswith("By this clock it is 2026-03-05 18:00, but session 1 began on 2099")
