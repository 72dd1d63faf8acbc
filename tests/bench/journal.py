"""Figures of the journal: `python -m tests.bench.journal [SESSIONS|FILE ...]` prints a table.

Commits are measured on the disk that holds the temporary folder, with a 90-minute day of the real
core. Commands are measured as a climber runs them, modules compiled before: wall and processor
seconds, both less those of a bare start-up, and the most memory. The sessions beyond the first few
are copies of them on other days. A FILE is a journal that was made before, by `... make SESSIONS
FILE`.
"""

import os
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, fields, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median

from coach.journal import Journal, SessionId
from coach.model.facts import Rested
from coach.session.events import TimePassed
from tests.journal.made import start
from tests.record.rehearsed import rehearse_into

SIZES = ("100", "1500")
COMMITS = 1000
RUNS = 5

#: `wait4` would tell the memory of this process, from which the other one was forked.
_RUN = """
import atexit, re, sys
from coach.cli import main
status = open("/proc/self/status")
atexit.register(lambda: print(re.search(r"VmHWM:\\s+(\\d+)", status.read())[1], file=sys.stderr))
main()
"""


@dataclass(frozen=True)
class Took:
    """What a command took."""

    wall: float
    """Seconds."""
    processor: float
    """Seconds of the processor, its own and the system's."""
    memory: float
    """The most that it held, in bytes."""


def best(times: int, *line: str) -> Took:
    """The median of a few runs of a command line, by wall and by processor apart."""
    runs = [cli(*line) for _ in range(times)]
    return Took(*(median(getattr(run, field.name) for run in runs) for field in fields(Took)))


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


def cli(*line: str) -> Took:
    """Run a command line to its end."""
    environment = os.environ | {"PYTHONPYCACHEPREFIX": str(Path(tempfile.gettempdir()) / "bench")}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    begun = time.perf_counter()
    with tempfile.TemporaryFile("w+") as told:
        process = subprocess.Popen(
            [sys.executable, "-c", _RUN, *line],
            stdout=subprocess.DEVNULL,
            stderr=told,
            env=environment,
        )
        _, status, used = os.wait4(process.pid, 0)
        wall = time.perf_counter() - begun
        process.returncode = os.waitstatus_to_exitcode(status)
        told.seek(0)
        last = told.read().splitlines()[-1]
    assert process.returncode == 0, (line, last)
    return Took(wall, used.ru_utime + used.ru_stime, 1024.0 * int(last))


def percentile(ordered: list[float], part: float) -> float:
    """The value below which a part of them lies."""
    return ordered[min(int(len(ordered) * part), len(ordered) - 1)]


def made(path: Path, sessions: int) -> None:
    """A journal of some sessions, in one file."""
    with Journal.open(path, write=True) as journal:
        fill(journal, sessions)
        journal.db.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def sized(folder: Path, path: Path) -> None:
    """Print the figures of a journal."""
    with Journal.open(path, write=False) as journal:
        ((sessions, events),) = journal.rows(
            "SELECT (SELECT count(*) FROM session), (SELECT count(*) FROM event)"
        )
    size = path.stat().st_size
    print(f"{sessions} sessions, {events} events, {size / sessions / 1000:.0f} kB per session")
    named = ("--journal", str(path))
    rows = {
        "history (list)": ("history", *named),
        "history --all": ("history", "--all", *named),
        "trends": ("trends", *named),
        "suggest": ("suggest", *named),
        "export jsonl": ("export", str(folder / f"{sessions}.jsonl"), *named),
        "export parquet": ("export", str(folder / f"{sessions}.d"), "--format", "parquet", *named),
        "journal verify": ("journal", "verify", *named),
    }
    cli("trends", *named)
    bare = best(RUNS, "paths")
    print(f"  {'':16} {'wall s':>9} {'processor s':>12} {'most MB':>8}   over `coach paths`:")
    print(f"  {'coach paths':16} {bare.wall:9.3f} {bare.processor:12.3f} {_mb(bare):8.0f}")
    for name, line in rows.items():
        took = best(1 if name.startswith(("export", "journal")) else RUNS, *line)
        wall, processor = took.wall - bare.wall, took.processor - bare.processor
        print(f"  {name:16} {wall:9.3f} {processor:12.3f} {_mb(took):8.0f}", flush=True)


def _mb(took: Took) -> float:
    return took.memory / 1e6


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
            path = Path(size)
            if size.isdecimal():
                path = folder / f"{size}.db"
                made(path, int(size))
            sized(folder, path)


if __name__ == "__main__":
    if sys.argv[1:2] == ["make"]:
        made(Path(sys.argv[3]), int(sys.argv[2]))
    else:
        main(*sys.argv[1:])
