"""A journal that is verified by several processes gives what one alone sees."""

import os
from pathlib import Path

import pytest

from coach.cli.journal import replayed
from coach.errors import CoachError
from coach.journal import Journal, journal_checks
from coach.journal.side_by_side import NICE, side_by_side
from coach.runtime.replay import rules_version
from tests.record.rehearsed import rehearse_into


def niceness(_: int) -> int:
    """How nice the process is that does it."""
    return os.nice(0)


def ended(_: int) -> None:
    """End the process as the system does when memory runs out."""
    os._exit(9)


def test_processes_see_what_one_alone_sees(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(journal_checks, "SHARE", 1)
    with Journal.open(path, write=True) as journal:
        for day in range(1, 6):
            rehearse_into(journal, f"2026-03-{day:02}T18:00:00+01:00")
        journal.db.execute("UPDATE seal SET body = x'0011' WHERE session = 2")
        journal.db.execute("DELETE FROM told WHERE session = 4")
        journal.db.execute("UPDATE digest SET body = '{' WHERE session = 5")

    alone = journal_checks.verify(path, replayed, rules_version())

    assert journal_checks.verify(path, replayed, rules_version(), processes=2) == alone
    assert (alone.sessions, alone.replayed) == (5, 3)
    assert [finding.where.split()[1] for finding in alone.findings] == ["2", "4", "5"]


def test_they_step_aside_and_keep_the_order() -> None:
    with side_by_side(niceness, range(4), 2) as nice:
        assert list(nice) == [min(os.nice(0) + NICE, 19)] * 4
    with side_by_side(str, range(4), 2) as texts:
        assert list(texts) == ["0", "1", "2", "3"]


def test_a_few_shares_start_no_process() -> None:
    here = os.getpid()
    with side_by_side(lambda _: os.getpid(), range(3), 8) as found:
        assert set(found) == {here}


def test_a_process_that_is_ended_from_outside_is_told() -> None:
    with (
        pytest.raises(CoachError, match="was ended from outside"),
        side_by_side(ended, range(4), 2) as none,
    ):
        list(none)
