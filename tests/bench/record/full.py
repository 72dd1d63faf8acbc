"""A disk that is full from one write on: every write of every step in turn, by strace."""

import os
import re
import shutil
import subprocess
import sys
import tempfile
import traceback
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from coach.errors import JournalError
from tests.bench.record import work
from tests.bench.record.after import Course, course, faults

#: Calls by which SQLite makes a file longer or other.
WRITES = "pwrite64,ftruncate,fallocate"
NAMES = tuple(work.STEPS)


@dataclass(frozen=True)
class _Outcome:
    """What a watched step came to."""

    code: int
    out: str
    err: str


def _run(name: str, place: Path, inject: Sequence[str], log: Path) -> _Outcome:
    """A step in a child that strace watches; forked, since to import everything takes longest."""
    held, go = os.pipe()
    out, err = (log.with_name(f"{log.name}-{what}") for what in ("out", "err"))
    child = os.fork()
    if child == 0:
        code = 1
        try:
            os.close(go)
            for number, file in ((1, out), (2, err)):
                os.dup2(os.open(file, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600), number)
            sys.stdout, sys.stderr = open(1, "w", closefd=False), open(2, "w", closefd=False)  # noqa: SIM115
            os.read(held, 1)
            work.main(name, str(place))
            code = 0
        except BaseException:  # noqa: BLE001 - whatever it is, it is told, and the child ends
            traceback.print_exc()
        finally:
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(code)
    os.close(held)
    watch = ("strace", "-f", "-o", str(log), "-e", f"trace={WRITES}", *inject, "-p", str(child))
    strace = subprocess.Popen(watch, stderr=subprocess.PIPE, text=True)
    assert strace.stderr is not None
    attached = strace.stderr.readline()
    os.close(go)
    _, status = os.waitpid(child, 0)
    strace.communicate()
    assert "attached" in attached, attached
    return _Outcome(os.waitstatus_to_exitcode(status), out.read_text(), err.read_text())


def writes(name: str, begins: Path, folder: Path) -> int:
    """How many writes a step makes."""
    place, log = folder / "counted", folder / "strace.log"
    shutil.copytree(begins, place)
    ran = _run(name, place, (), log)
    shutil.rmtree(place)
    assert ran.out.endswith("whole\n"), (name, ran)
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
            if ran.code or "Traceback" in ran.err:
                found[f"WRONG {name}: traceback"] += 1
                print(ran.err[-2000:], file=sys.stderr)
            elif "refused" in ran.out:
                found["refused"] += 1
            try:
                wrong = list(faults(name, place, ran.out.count("ack;"), known[name]))
            except JournalError as error:
                wrong = [f"refused: {error.what}"]
            found.update(f"WRONG {name}: {fault}" for fault in wrong)
            shutil.rmtree(place)
        return found
