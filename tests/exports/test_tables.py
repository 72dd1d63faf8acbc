"""Tables in CSV and Parquet, read back by programs that are not ours."""

import csv
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest

from coach.errors import CoachError
from coach.exports import tables
from coach.exports.csv_files import write_csv
from coach.exports.parquet import write_parquet
from coach.exports.tables import ExportedSession
from coach.model.body import Feel, Part
from coach.model.facts import EdgeChecked, Felt, Finished, Tried
from docs.tables import reference
from tests.exports.club import gather

duckdb = pytest.importorskip("duckdb")

#: Names that break careless writers: quotes, separators, lines, direction, marks beyond the BMP.
ODD = ['the "big" one', "a,b;c\td", "two\nlines", "crlf\r\nline", "🪨🧗", "'", "", "עברית"]

BEGUN = datetime(2026, 3, 3, 18, 0, tzinfo=timezone(timedelta(hours=1)))


def session(number: int, name: str) -> ExportedSession:
    facts = (
        Tried(10.0, 1, name, 1, "topped", 9.0),
        Felt(11.0, 1, Part.FINGERS, Feel.FINE, None, "gate-fingers"),
        EdgeChecked(12.0, 1, name, "edge-check", "off", Feel.FINE, 48.5),
        EdgeChecked(13.0, 1, name, "edge-check", "off", Feel.SORE, None),
        Finished(14.0, 0, 14.0, None, "done"),
    )
    begun = BEGUN + timedelta(days=number)
    return ExportedSession(name, f"s{number}", begun, "full", name, 90, 5040.0, None, "done", facts)


SESSIONS = [session(n, name) for n, name in enumerate(ODD)]


def test_every_kind_of_fact_is_a_table() -> None:
    assert {"tried", "step_ended", "edge_checked", "finished"} < set(tables.KINDS)
    names = [column.name for column in tables.columns("edge_checked")]
    assert names == ["climber", "session", "n", "at", "edge", "grip", "feet", "feel", "reading"]
    assert [column.name for column in tables.columns("edge_checked") if column.optional] == [
        "reading"
    ]
    names = [column.name for column in tables.columns("sessions")]
    assert names[:3] == ["climber", "session", "begun"]


def test_odd_names_survive_csv(tmp_path: Path) -> None:
    counts = write_csv(SESSIONS, tmp_path / "out")
    assert counts == {
        "sessions": len(ODD),
        "tried": len(ODD),
        "felt": len(ODD),
        "edge_checked": 2 * len(ODD),
        "finished": len(ODD),
    }
    with (tmp_path / "out" / "tried.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["boulder"] for row in rows] == ODD
    with (tmp_path / "out" / "edge_checked.csv").open(encoding="utf-8", newline="") as file:
        assert [row["reading"] for row in csv.DictReader(file)] == ["48.5", ""] * len(ODD)
    with (tmp_path / "out" / "sessions.csv").open(encoding="utf-8", newline="") as file:
        assert next(csv.DictReader(file))["begun"] == "2026-03-03T18:00:00+01:00"


def ask(query: str, files: Path | str) -> list[Any]:
    """What DuckDB answers; the query names its files as '?'."""
    with duckdb.connect() as db:
        answer: list[Any] = db.execute(query, [str(files)]).fetchall()
        return answer


def test_odd_names_survive_csv_read_by_another_program(tmp_path: Path) -> None:
    write_csv(SESSIONS, tmp_path / "out")
    query = "SELECT coalesce(boulder, '') FROM read_csv(?, header = true, all_varchar = true)"
    assert [name for (name,) in ask(query, tmp_path / "out" / "tried.csv")] == ODD


def test_parquet_is_read_by_duckdb(tmp_path: Path) -> None:
    out = tmp_path / "out"
    write_parquet(SESSIONS, out, {"consent": "yes, for the club"})
    tried = ask("SELECT boulder FROM read_parquet(?) ORDER BY session", out / "tried.parquet")
    assert [name for (name,) in tried] == ODD
    when = "SELECT epoch(begun), begun_offset_minutes FROM read_parquet(?) ORDER BY session"
    assert ask(when, out / "sessions.parquet")[0] == (BEGUN.timestamp(), 60)
    told = ask("SELECT key, value FROM parquet_kv_metadata(?)", out / "sessions.parquet")
    assert (b"notes", b'{"consent": "yes, for the club"}') in told


def test_what_was_not_told_is_null_and_a_whole_number_may_be_a_fraction(tmp_path: Path) -> None:
    write_parquet([replace(SESSIONS[0], seconds=90), *SESSIONS[1:]], tmp_path / "out")
    edges = tmp_path / "out" / "edge_checked.parquet"
    read = ask('SELECT edge, reading FROM read_parquet(?) ORDER BY session, "at"', edges)
    assert read == [(name, reading) for name in ODD for reading in (48.5, None)]
    sessions = "SELECT seconds, effort FROM read_parquet(?) ORDER BY begun"
    told = ask(sessions, tmp_path / "out" / "sessions.parquet")
    assert told == [(90.0, None), *[(5040.0, None)] * (len(ODD) - 1)]
    assert isinstance(told[0][0], float)


def test_a_club_is_queried_in_place(tmp_path: Path) -> None:
    total, readings = gather(tmp_path, 60)
    files = tmp_path / "export=*" / "sessions.parquet"
    counted = ask("SELECT count(DISTINCT climber), count(*) FROM read_parquet(?)", files)
    assert counted == [(60, total)]
    feels = ask(
        "SELECT feel, count(*) FROM read_parquet(?) WHERE reading > 40 GROUP BY feel",
        tmp_path / "export=*" / "edge_checked.parquet",
    )
    assert {feel for feel, _ in feels} <= {item.value for item in Feel}
    # Whoever came with sore or hurt fingers is asked for no hang, so has no reading.
    assert sum(count for _, count in feels) == sum(one > 40 for one in readings)
    assert 0 < len(readings) <= total
    # A folder named KEY=VALUE is what distributed engines call a partition.
    parted = "SELECT DISTINCT export = climber FROM read_parquet(?, hive_partitioning = true)"
    assert ask(parted, files) == [(True,)]


# --- where it can't be written -----------------------------------------------------------------

WRITERS = [write_csv, write_parquet]


@pytest.mark.parametrize("write", WRITERS)
def test_nothing_is_overwritten(write: Any, tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "mine.txt").write_text("mine")
    with pytest.raises(CoachError, match="there already"):
        write(SESSIONS, tmp_path / "out")
    assert [item.name for item in (tmp_path / "out").iterdir()] == ["mine.txt"]


@pytest.mark.parametrize("write", WRITERS)
def test_a_missing_folder_is_named(write: Any, tmp_path: Path) -> None:
    with pytest.raises(CoachError, match="no such folder"):
        write(SESSIONS, tmp_path / "gone" / "out")


@pytest.fixture
def full_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system with 16 KiB left."""
    place = tmp_path / "disk"
    place.mkdir()
    made = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=16k", "tmpfs", str(place)], capture_output=True
    )
    if made.returncode:
        pytest.skip("no file system can be mounted here")
    yield place
    subprocess.run(["umount", str(place)], check=True)


@pytest.mark.parametrize("write", WRITERS)
def test_a_full_disk_leaves_no_half_file(write: Any, full_disk: Path) -> None:
    many = [replace(session(n, f"name {n}" * 20), uid=f"{n}") for n in range(2000)]
    with pytest.raises(CoachError, match=r"can't be written: .*No space left"):
        write(many, full_disk / "out")
    assert list(full_disk.iterdir()) == []


def test_the_columns_are_documented_as_they_are() -> None:
    text = (Path(__file__).parents[2] / "docs" / "journal.md").read_text(encoding="utf-8")
    assert reference() in text, "run: cog -r docs/*.md"
