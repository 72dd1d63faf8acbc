"""A disk that is full from one write on: every write of every step in turn, by strace."""

import re
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from coach.errors import JournalError
from tests.bench.record import work
from tests.bench.record.after import Course, course, faults

#: Calls by which SQLite makes a file longer or other.
WRITES = "pwrite64,ftruncate,fallocate"
NAMES = tuple(work.STEPS)


def _run(
    name: str, place: Path, inject: Sequence[str], log: Path
) -> "subprocess.CompletedProcess[str]":
    """A step in a process of its own, watched."""
    watch = ("strace", "-f", "--seccomp-bpf", "-o", str(log), "-e", f"trace={WRITES}")
    line = (sys.executable, "-m", "tests.bench.record.work", name, str(place))
    return subprocess.run([*watch, *inject, *line], capture_output=True, text=True, timeout=300)


def writes(name: str, begins: Path, folder: Path) -> int:
    """How many writes a step makes."""
    place, log = folder / "counted", folder / "strace.log"
    shutil.copytree(begins, place)
    ran = _run(name, place, (), log)
    shutil.rmtree(place)
    assert ran.stdout.endswith("whole\n"), (name, ran.stdout, ran.stderr)
    call = re.compile(r"^\d+ +(?:pwrite64|ftruncate|fallocate)\(", re.MULTILINE)
    return len(call.findall(log.read_text()))


def plan() -> list[tuple[str, int]]:
    """Every write of every step: its name and the number of the write."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        work.prepare(folder / "begins")
        return [
            (step, n)
            for step in NAMES
            for n in range(1, writes(step, folder / "begins" / work.STEPS[step].begins, folder) + 1)
        ]


class Full:
    """The campaign over a plan of writes."""

    def __init__(self, every: Sequence[tuple[str, int]]) -> None:
        self.every = every

    def __call__(self, folder: Path, numbers: Sequence[int]) -> Counter[str]:
        """Those of these numbers."""
        work.prepare(folder / "begins")
        known: dict[str, Course] = {}
        found: Counter[str] = Counter()
        for number in numbers:
            name, write = self.every[number]
            begins = folder / "begins" / work.STEPS[name].begins
            if name not in known:
                known[name] = course(name, begins, folder / "course")
            place = folder / "full"
            shutil.copytree(begins, place)
            inject = ("-e", f"inject={WRITES}:error=ENOSPC:when={write}+")
            ran = _run(name, place, inject, folder / "strace.log")
            found[f"writes of {name}"] += 1
            found["writes"] += 1
            if ran.returncode or "Traceback" in ran.stderr:
                found[f"WRONG {name}: traceback"] += 1
                print(ran.stderr[-2000:], file=sys.stderr)
            elif "refused" in ran.stdout:
                found["refused"] += 1
            try:
                wrong = list(faults(name, place, ran.stdout.count("ack;"), known[name]))
            except JournalError as error:
                wrong = [f"refused: {error.what}"]
            found.update(f"WRONG {name}: {fault}" for fault in wrong)
            shutil.rmtree(place)
        return found
