"""Figures of the journal: `python -m tests.bench.journal [SESSIONS ...]` prints a table.

Commits are measured on the disk that holds the temporary folder, with a 90-minute day of the real
core. Lists and trends are measured as the command line runs them, less its bare start-up. The
sessions beyond the first few are copies of them on other days.
"""

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

from coach.journal import Journal, SessionId
from coach.model.facts import Rested
from coach.session.events import TimePassed
from tests.journal.made import start
from tests.record.rehearsed import rehearse_into

SIZES = (100, 1500)
COMMITS = 1000
RUNS = 5

_RUN = "from coach.cli import main; main()"


def timed(work: Callable[[], object]) -> float:
    """Seconds that some work takes."""
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def best(work: Callable[[], object]) -> float:
    """Seconds of the median of a few runs."""
    return sorted(timed(work) for _ in range(RUNS))[RUNS // 2]


def commits(folder: Path) -> list[float]:
    """Seconds of each commit, a third of them with two facts."""
    found = []
    with Journal.open(folder / "commits.db", write=True) as journal:
        session = journal.begin(start())
        for n in range(COMMITS):
            facts = [Rested(float(n), 1, 60.0, 90.0, "try")] * (2 * (n % 3 == 0))
            begun = time.perf_counter()
            journal.commit(session, TimePassed(float(n)), facts, datetime.now(UTC))
            found.append(time.perf_counter() - begun)
    return sorted(found)


def bare_syncs(folder: Path) -> list[float]:
    """Seconds of one small write with its fsync: what the disk asks for."""
    found = []
    with (folder / "bare").open("wb", buffering=0) as file:
        for _ in range(COMMITS):
            begun = time.perf_counter()
            file.write(b"x" * 4096)
            os.fdatasync(file.fileno())
            found.append(time.perf_counter() - begun)
    return sorted(found)


def fill(journal: Journal, sessions: int) -> None:
    """Sessions of the real core, the first few run and the others copied in SQL."""
    began = datetime(2016, 1, 4, 18, 0, tzinfo=UTC)
    for n in range(min(sessions, 5)):
        rehearse_into(journal, (began + timedelta(days=2 * n)).isoformat())
    have = min(sessions, 5)
    sources = [SessionId(n + 1) for n in range(have)]
    starts = [journal.start_of(source) for source in sources]
    with journal.transaction("copying"):
        for n in range(have, sessions):
            wall = (began + timedelta(days=2.4 * n)).isoformat()
            new = journal.insert_session(replace(starts[n % have], wall=wall), f"copy {n}", "")
            for query in _COPY:
                journal.db.execute(query, (new, sources[n % have]))
            journal.mark_closed(new, "done")


_COPY = (
    "INSERT INTO event SELECT ?, seq, wall, kind, body, crc FROM event WHERE session = ?",
    "INSERT INTO fact SELECT ?, seq, n, kind, body FROM fact WHERE session = ?",
    "INSERT INTO digest SELECT ?, who, version, body FROM digest WHERE session = ?",
)


def cli(*line: str) -> None:
    """Run a command line to its end."""
    subprocess.run([sys.executable, "-c", _RUN, *line], check=True, capture_output=True)


def percentile(ordered: list[float], part: float) -> float:
    """The value below which a part of them lies."""
    return ordered[min(int(len(ordered) * part), len(ordered) - 1)]


def sized(folder: Path, sessions: int) -> None:
    """Print the figures of a journal of some sessions."""
    path = folder / f"{sessions}.db"
    with Journal.open(path, write=True) as journal:
        fill(journal, sessions)
        journal.db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        events = journal.rows("SELECT count(*) FROM event")[0][0]
    size = path.stat().st_size
    print(f"{sessions} sessions, {events} events, {size / sessions / 1000:.0f} kB per session")
    bare = best(lambda: cli("paths"))
    named = ("--journal", str(path))
    rows = {
        "history (list)": ("history", *named),
        "history --all": ("history", "--all", *named),
        "trends": ("trends", *named),
        "journal verify": ("journal", "verify", *named),
        "export jsonl": ("export", str(folder / f"{sessions}.jsonl"), *named),
        "export parquet": ("export", str(folder / f"{sessions}.d"), "--format", "parquet", *named),
    }
    for name, line in rows.items():
        quick = name.startswith(("history", "trends"))
        seconds = (best if quick else timed)(lambda line=line: cli(*line))  # type: ignore[misc]
        print(f"  {name:18} {seconds - bare:8.3f} s over the {bare:.3f} s of `coach paths`")


def main(*sizes: str) -> None:
    """Print every figure."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for label, values in (
            ("commit", commits(folder)),
            ("bare write + sync", bare_syncs(folder)),
        ):
            p50, p99 = (1000 * percentile(values, part) for part in (0.5, 0.99))
            print(
                f"{label:18} p50 {p50:6.2f} ms  p99 {p99:6.2f} ms  max {1000 * values[-1]:6.2f} ms"
            )
        for size in sizes or SIZES:
            sized(folder, int(size))


if __name__ == "__main__":
    main(*sys.argv[1:])
