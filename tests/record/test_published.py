"""Published values reach the printed result, through a real journal and the command line."""

import json
from pathlib import Path
from statistics import median
from typing import Any

import pytest

from coach.cli import commands, diagnostics
from coach.errors import ExitCode
from coach.record.baseline import mad
from tests.record.days import check, ended, on, write

#: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4: target 50, s 2.0539, weight 0.3.
NIST = (
    "52.0 47.0 53.0 49.3 50.1 47.0 51.0 50.1 51.2 50.5 "
    "49.6 47.6 49.9 51.3 47.8 51.2 52.6 52.4 53.6 52.1"
).split()
NIST_AVERAGES = (
    "50.60 49.52 50.56 50.18 50.16 49.21 49.75 49.85 50.26 50.33 "
    "50.11 49.36 49.52 50.05 49.38 49.92 50.73 51.23 51.94 51.99"
).split()
NIST_LIMITS = (47.4115, 52.5884)

#: Leys et al. 2013, J Exp Soc Psychol 49(4):764-766: median 7, MAD 5.1891.
LEYS = (1, 3, 3, 6, 8, 10, 10, 1000)


def run(capsys: pytest.CaptureFixture[str], *line: object) -> str:
    """What a command line prints."""
    assert diagnostics.guarded(commands, [str(word) for word in line]) is ExitCode.OK
    return capsys.readouterr().out


def run_json(capsys: pytest.CaptureFixture[str], *line: object) -> Any:
    """The document that a command line prints."""
    return json.loads(run(capsys, *line, "--json"))


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Where the journal goes."""
    return tmp_path / "journal.db"


def test_nist_moving_average(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write(file, [(on(n), [check(reading=float(x))]) for n, x in enumerate(NIST)])
    line = ("trends", "edge-readings", "--journal", file, "--baseline", "50,2.0539")
    printed = run(capsys, *line, "--table")
    rows = [row.split() for row in printed.splitlines() if row.startswith("2026-")]
    assert [row[2] for row in rows] == NIST_AVERAGES
    assert "Moving average 51.99, inside 47.41 to 52.59; outside 0 times in all." in printed
    (panel,) = run_json(capsys, *line)
    levels = {level["name"]: level["values"] for level in panel["levels"]}
    last = (levels["lower limit"][-1], levels["limits"][-1])
    assert last == pytest.approx(NIST_LIMITS, abs=1e-3)
    # Exact early limits; computed from the handbook's formula, not published.
    assert levels["limits"][:3] == pytest.approx([51.8485, 52.2564, 52.4314], abs=1e-4)


def test_leys_median_absolute_deviation() -> None:
    """Leys et al. 2013: the MAD of 1, 3, 3, 6, 8, 10, 10 and 1000 is 5.1891, their median 7."""
    assert median(LEYS) == 7
    assert mad([float(one) for one in LEYS]) == pytest.approx(5.1891, abs=1e-4)


def test_foster_session_load(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """RPE 7 for 60 minutes is 420 (Foster et al. 2001, from a secondary source)."""
    write(file, [(on(0), [ended(60, 7)])])
    printed = run(capsys, "trends", "load", "--journal", file, "--until", "2026-03-08")
    assert "2026-W10, 420." in printed


def test_foster_monotony_and_strain(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Foster 1998's formulas on a week of our own (computed, no published table was found)."""
    days = [
        (on(n), [ended(load / 5, 5)])
        for n, load in enumerate((300, 0, 420, 180, 0, 540, 0))
        if load
    ]
    write(file, days)
    asked = ("load", "monotony", "strain")
    printed = run(capsys, "trends", *asked, "--journal", file, "--until", "2026-03-08")
    assert "Last week with a monotony: 2026-W10, 0.93." in printed
    assert "Last week with a strain: 2026-W10, 1338." in printed
    assert "forecast no injury" in printed


def test_grades_of_a_circuit(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Font 6A and 6B are 15 and 17 in Draper et al. 2015, Sports Technology 8(3-4):88-94."""
    from coach.journal import Journal
    from coach.journal.transfer import put_all
    from tests.record.invented import sessions

    with Journal.open(file, write=True) as journal:
        put_all(journal, sessions(weeks=13))
    printed = run(capsys, "trends", "tops", "--journal", file)
    assert "marble (6A to 6B; IRCRA 15 to 17)" in printed
