"""Deletions and corrections: they travel, hold nothing of what they are about, and stay."""

import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import permutations
from pathlib import Path

import pytest

from coach.cli import commands, diagnostics
from coach.errors import ExitCode, UsageError
from coach.journal import Journal, SessionId, lines, rolling
from coach.journal.clock_doubts import doubt
from coach.journal.corrections import fix
from coach.journal.deletion import delete_person, delete_session, find
from coach.journal.entries import entries
from coach.journal.journal_checks import verify
from coach.journal.persons import known_people, person_of
from coach.journal.sealing import copy_of, finish, pending, seal_each
from coach.journal.transfer import Transferred, merge, wholes
from coach.model.person import Person
from tests.record import real

NOW = datetime(2026, 3, 3, 18, 0, tzinfo=UTC)


@contextmanager
def a_journal() -> Iterator[Journal]:
    with (
        tempfile.TemporaryDirectory() as folder,
        Journal.open(Path(folder) / "journal.db", write=True) as journal,
    ):
        yield journal


def content(journal: Journal) -> bytes:
    """All that a journal holds, byte by byte, in an order that does not depend on its history."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "all.jsonl"
        with path.open("w", encoding="utf-8") as to:
            lines.export(journal, to)
        return path.read_bytes()


def add(journal: Journal, *seeds: int) -> None:
    for seed in seeds:
        ran = real.day(seed, "rests-pair" if seed % 2 else "rests")
        real.put(journal, ran, real.FIRST + timedelta(days=seed), f"uid-{seed}")


def test_three_journals_merge_to_equal_bytes_in_all_orders_with_deletions_between() -> None:
    def first(journal: Journal) -> None:
        add(journal, 0, 1)

    def second(journal: Journal) -> None:
        add(journal, 1, 2, 3)
        delete_session(journal, SessionId(2), NOW)
        fix(journal, SessionId(1), NOW, "effort 1", 9)

    def third(journal: Journal) -> None:
        add(journal, 0, 3)
        delete_person(journal, person_of(journal, Person(2, "Runa"), 2), NOW)
        fix(journal, SessionId(1), NOW, "begun", "2025-02-02T10:00:00+00:00")

    found = set()
    with ExitStack() as stack:
        made = [stack.enter_context(a_journal()) for _ in range(3)]
        for journal, fill in zip(made, (first, second, third), strict=True):
            fill(journal)
        for order in permutations(made):
            with a_journal() as into:
                for one in order:
                    merge(into, one)
                merge(into, order[0])
                found.add(content(into))
        assert b"Runa" not in found.copy().pop()
    assert len(found) == 1


def test_what_was_deleted_does_not_come_back(tmp_path: Path) -> None:
    with a_journal() as journal, a_journal() as other:
        add(journal, 0, 1)
        merge(other, journal)
        export = tmp_path / "before.jsonl"
        export.write_bytes(content(journal))
        delete_session(journal, SessionId(1), NOW)
        assert merge(journal, other)[Transferred.DELETED] == 1
        assert lines.read(export, journal).outcomes[Transferred.DELETED] == 1
        assert [one.uid for one in wholes(journal)] == ["uid-1"]
        assert merge(other, journal)[Transferred.SAME] == 1
        assert [one.uid for one in wholes(other)] == ["uid-1"], "it goes where the other is, too"


def test_a_deleted_partner_leaves_the_others_and_no_word() -> None:
    with a_journal() as journal:
        add(journal, 1, 3)
        mine = entries(journal, Person(1))
        gone = delete_person(journal, person_of(journal, Person(2, "runa"), 2), NOW)
        assert (gone.alone, gone.shared, gone.scoured) == (0, 2, True)
        assert list(find(journal.path.parent.iterdir(), gone.words)) == []
        assert [one.name for one in known_people(journal).people] == [""]
        after = entries(journal, Person(1))
        assert [one.digest for one in after] == [one.digest for one in mine]
        for one in wholes(journal):
            assert {fact.who for each in one.recorded for fact in each.facts} <= {0, 1}
        assert verify(journal.path).whole


def test_a_reader_is_waited_for_and_then_named() -> None:
    with a_journal() as journal:
        add(journal, 0, 1)
        with Journal.open(journal.path, write=False) as reader:
            reader.db.execute("BEGIN")
            reader.db.execute("SELECT count(*) FROM session").fetchone()
            from coach.journal.deletion import scour

            assert scour(journal, patience=0.2) is False
            reader.db.execute("ROLLBACK")
        assert scour(journal, patience=0.2) is True


# --- corrections -------------------------------------------------------------------------------


def test_corrections_count_and_the_old_values_stay() -> None:
    with a_journal() as journal:
        add(journal, 4)
        (was,) = entries(journal, Person(1))
        tries = was.digest.tried
        fix(journal, SessionId(1), NOW, "begun", "2025-03-01T09:30:00+01:00")
        fix(journal, SessionId(1), NOW + timedelta(1), "effort 1", 9)
        fix(journal, SessionId(1), NOW + timedelta(2), "place", "Old Sluice")
        fix(journal, SessionId(1), NOW + timedelta(3), "name 1", "Lena")
        if tries:
            fix(journal, SessionId(1), NOW + timedelta(4), "try 1 1", "topped")
        (one,) = entries(journal, Person(1, "lena"))
        assert (one.day, one.place, one.digest.effort) == (date(2025, 3, 1), "Old Sluice", 9)
        assert not tries or one.digest.tried[0][1] == "topped"
        start = journal.start_of(SessionId(1))
        assert start.wall == was.begun.isoformat(), "the record itself is as it was"
        assert verify(journal.path).whole
        with a_journal() as other:
            merge(other, journal)
            copied = entries(other, Person(1, "lena"))
            assert [replace(each, id=1) for each in copied] == [one]
        with pytest.raises(UsageError, match="nobody has number 5"):
            fix(journal, SessionId(1), NOW, "effort 5", 3)


def test_history_fix_on_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    with a_journal() as journal:
        add(journal, 4)
        path = str(journal.path)
        journal.close()

        def typed(*line: str) -> tuple[ExitCode, str]:
            code = diagnostics.guarded(commands, ["history", *line, "--journal", path])
            return code, capsys.readouterr().out

        assert typed("fix", "1", "--date", "2025-02-03", "--effort", "8")[0] is ExitCode.OK
        listed = typed()[1]
        assert "2025-02-03" in listed
        assert "effort 8" in listed
        assert "(Corrected: effort is 8; it was" in typed("1")[1]
        assert "(Corrected: date is 03 February 2025, " in typed("1")[1]
        assert typed("fix", "1")[0] is ExitCode.USAGE
        assert typed("fix", "7", "--effort", "8")[0] is ExitCode.USAGE
        assert typed("fix", "1", "--try", "1=banana")[0] is ExitCode.USAGE
        assert typed("fix", "1", "--place", " ")[0] is ExitCode.USAGE
        assert typed("fix", "1", "--date", "2099-01-01")[0] is ExitCode.USAGE
        before = typed("1")
        # of several that can't all be, none is
        assert typed("fix", "1", "--effort", "2", "--try", "999=topped")[0] is ExitCode.USAGE
        assert typed("1") == before


# --- sealing an older journal, and rolling backups ---------------------------------------------


def test_an_older_journal_is_sealed_bit_by_bit(monkeypatch: pytest.MonkeyPatch) -> None:
    with a_journal() as journal:
        monkeypatch.setattr(Journal, "seal", lambda *_: None)
        add(journal, 0, 1, 2)
        monkeypatch.undo()
        before = content(journal)
        assert len(pending(journal)) == 3
        steps = seal_each(journal)
        next(steps)
        del steps  # killed
        assert copy_of(journal.path).exists()
        assert content(journal) == before
        assert len(pending(journal)) == 2
        assert len(list(seal_each(journal))) == 2
        journal.close()
        finish(journal.path)
        assert not copy_of(journal.path).exists()
        with Journal.open(journal.path, write=False) as again:
            assert content(again) == before


def test_backups_roll_by_day_week_and_month() -> None:
    days = [date(2026, 1, 1) + timedelta(days=n) for n in range(700)]
    kept = rolling.keep(days)
    assert set(days[-7:]) <= kept
    assert len(kept) <= 7 + 4 + 12
    months = {(day.year, day.month) for day in kept}
    assert len(months) == 12
    assert max(days) in kept


def test_a_rolled_backup_is_whole_and_a_deletion_renews_it() -> None:
    with a_journal() as journal:
        add(journal, 0, 1)
        made = rolling.roll(journal.path, date(2026, 3, 3))
        assert verify(made).whole
        assert [day for day, _ in rolling.backups(journal.path)] == [date(2026, 3, 3)]
        gone = delete_session(journal, SessionId(1), NOW)
        assert rolling.renew(journal.path, date(2026, 3, 4)) == 1
        files = journal.path.parent.rglob("*")
        assert list(find(files, gone.words)) == []


# --- private files, clocks, aims ---------------------------------------------------------------


def test_nobody_else_may_read_the_record(tmp_path: Path) -> None:
    path = tmp_path / "data" / "journal.db"
    with Journal.open(path, write=True) as journal:
        add(journal, 0)
        rights = {file.name: file.stat().st_mode & 0o777 for file in path.parent.iterdir()}
        assert {right for name, right in rights.items() if name.startswith("journal")} == {0o600}
        assert path.parent.stat().st_mode & 0o777 == 0o700
        made = rolling.roll(path, date(2026, 3, 3))
        assert made.stat().st_mode & 0o777 == 0o600
        assert made.parent.stat().st_mode & 0o777 == 0o700


def test_a_clock_that_runs_against_the_record_is_doubted() -> None:
    with a_journal() as journal:
        add(journal, 0)
        assert doubt(journal, NOW) == ""
        assert "session 1 began on 2025-01-06" in doubt(journal, NOW - timedelta(days=900))


def test_an_aim_is_a_grade_or_circuit_that_there_is(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = str(tmp_path / "journal.db")

    def typed(*line: str) -> ExitCode:
        return diagnostics.guarded(commands, ["journal", "aim", *line, "--journal", path])

    assert typed("grade", "banana") is ExitCode.USAGE
    assert typed("focus", "banana") is ExitCode.USAGE
    assert typed("grade", "7A") is ExitCode.OK
    assert "7A" in capsys.readouterr().out
