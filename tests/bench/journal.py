"""Figures of the journal: `python -m tests.bench.journal [SESSIONS|FILE ...]` prints a table.

Commits are measured on the disk that holds the temporary folder, with a 90-minute day of the real
core. Commands are measured as a climber runs them, modules compiled before: wall and processor
seconds, both less those of a bare start-up, and the most memory. A start is from the command line
to the first sentence, without sound. The sessions are so many of the real core (alone, pairs,
groups, only rests), all that follow are copies of them on other days, each sealed anew. A FILE is a
journal that was made before, by `... make SESSIONS FILE`.
"""

import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, fields, replace
from datetime import UTC, datetime, timedelta
from functools import partial
from itertools import islice
from multiprocessing import get_context
from pathlib import Path
from random import Random
from statistics import median

from coach.journal import Journal, SessionId, codec, seals
from coach.journal.seals import Sealed
from coach.journal.transfer import Whole, put_all
from coach.model.facts import Rested
from coach.session.events import TimePassed
from tests.journal.made import start
from tests.record import real
from tests.record.invented import session

SIZES = ("150", "1500")
#: Sessions that are run; the others are copies.
DIFFERENT = 60
#: Up to so many sessions copies are packed as a session is; more of them are packed quickly, so
#: that the size of such a journal tells nothing.
MOST_PACKED, QUICK = 1500, 3
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
            facts = [Rested(float(n), 0, 60.0, 90.0, "hard.2.rest")] * (2 * (n % 3 == 0))
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
    """Sessions of the real core, the first ones run and the others copied and sealed anew."""
    have = min(sessions, DIFFERENT)
    evenings = list(islice(real.evenings(Random(1)), sessions))
    # the last one was yesterday: what a command makes of them is what it makes of a climber's own
    early = (datetime.now(UTC) - timedelta(days=1)).date() - evenings[-1].date()
    evenings = [evening + early for evening in evenings]
    put_all(journal, (_after(session(real.day(n), evenings[n], f"{n:08}"), n) for n in range(have)))
    sources = [SessionId(n + 1) for n in range(have)]
    sealed = [seals.load(journal.db, source) for source in sources]
    starts = [journal.start_of(source) for source in sources]

    def copies() -> Iterator[Sealed]:
        for n in range(have, sessions):
            begun = codec.encode_start(replace(starts[n % have], wall=evenings[n].isoformat()))
            source = sealed[n % have]
            assert source is not None
            yield replace(source, uid=f"{n:08}", previous=f"{n - 1:08}", start=begun)

    pack = partial(seals.packed, level=seals.LEVEL if sessions <= MOST_PACKED else QUICK)
    with (
        ProcessPoolExecutor(1, get_context("spawn")) as pool,
        journal.transaction("copying"),
    ):
        for n, (frame, sha) in enumerate(pool.map(pack, copies(), chunksize=16), have):
            wall = evenings[n].isoformat()
            start_of = replace(starts[n % have], wall=wall)
            new = journal.insert_session(start_of, f"{n:08}", f"{n - 1:08}")
            source, packed = sources[n % have], sealed[n % have]
            assert packed is not None
            journal.db.execute("INSERT INTO seal VALUES (?, ?, ?)", (new, frame, sha))
            for query in _COPY:
                journal.db.execute(query, (new, source))
            journal.db.execute("UPDATE session SET body = '' WHERE id = ?", (new,))
            journal.mark_closed(new, packed.how)


def _after(one: Whole, n: int) -> Whole:
    """A session as a journal has it: begun with the one before it on the record."""
    return replace(one, previous=f"{n - 1:08}" if n else "")


_COPY = (
    "INSERT INTO told SELECT ?, seq, n, kind, body FROM told WHERE session = ?",
    "INSERT INTO digest SELECT ?, who, version, body FROM digest WHERE session = ?",
)


def cli(*line: str) -> Took:
    """Run a command line to its end."""
    begun = time.perf_counter()
    with tempfile.TemporaryFile("w+") as told:
        process = subprocess.Popen(
            [sys.executable, "-c", _RUN, *line],
            stdout=subprocess.DEVNULL,
            stderr=told,
            env=compiled(),
        )
        _, status, used = os.wait4(process.pid, 0)
        wall = time.perf_counter() - begun
        process.returncode = os.waitstatus_to_exitcode(status)
        told.seek(0)
        last = told.read().splitlines()[-1]
    assert process.returncode == 0, (line, last)
    return Took(wall, used.ru_utime + used.ru_stime, 1024.0 * int(last))


def compiled() -> dict[str, str]:
    """An environment in which a module is compiled once, as where a climber runs it."""
    environment = os.environ | {"PYTHONPYCACHEPREFIX": str(Path(tempfile.gettempdir()) / "bench")}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    return environment


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
        ((sessions,),) = journal.rows("SELECT count(*) FROM session")
    size = path.stat().st_size
    print(f"{sessions} sessions, {size / sessions / 1000:.1f} kB per session (goal at 1,500: 15)")
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
    started(path)
    begins = [median(taken) for taken in zip(*(started(path) for _ in range(RUNS)), strict=True)]
    print(
        f"  to the first sentence of a session {begins[0]:.2f} s, {begins[1]:.2f} s of the"
        " processor (goal 1.0)",
        flush=True,
    )
    cli("trends", *named)
    bare = best(RUNS, "paths")
    print(f"  {'':16} {'wall s':>9} {'processor s':>12} {'most MB':>8}   over `coach paths`:")
    print(f"  {'coach paths':16} {bare.wall:9.3f} {bare.processor:12.3f} {_mb(bare):8.0f}")
    for name, line in rows.items():
        took = best(1 if name.startswith(("export", "journal")) else RUNS, *line)
        wall, processor = took.wall - bare.wall, took.processor - bare.processor
        print(f"  {name:16} {wall:9.3f} {processor:12.3f} {_mb(took):8.0f}", flush=True)


def started(path: Path) -> tuple[float, float]:
    """Seconds from the command line to the first sentence of a session, and of the processor."""
    with tempfile.TemporaryDirectory() as home:
        (Path(home) / "data").mkdir()
        shutil.copy(path, Path(home) / "data" / "journal.db")
        began = time.perf_counter()
        running = subprocess.Popen(
            [sys.executable, "-c", "from coach.cli import main; main()", *_START],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            env=compiled() | {"COACH_HOME": home},
        )
        assert running.stdout is not None
        heard = any("Hello" in line for line in running.stdout)
        took = time.perf_counter() - began
        running.kill()
        used = os.wait4(running.pid, 0)[2]
        running.returncode = -9
        running.communicate()
    assert heard, "the session ended before its first sentence"
    return took, used.ru_utime + used.ru_stime


_START = (
    "start", "--new", "--plain", "--no-sound", "--age", "adult", "--minutes", "90",
    "--hurting", "no",
)  # fmt: skip


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
