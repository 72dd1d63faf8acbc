"""A process that works on a journal and is killed at any moment of it."""

import os
import shutil
import signal
import sys
import time
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from random import Random

from coach.errors import JournalError
from tests.bench.record import work
from tests.bench.record.after import Course, course, faults

NAMES = tuple(work.STEPS)
#: How far beyond the time that the step takes a kill may come.
BEYOND = 1.1


def kills(folder: Path, numbers: Sequence[int]) -> Counter[str]:
    """So many kills, the steps in turn; what was wrong, and where the kill fell."""
    work.prepare(folder / "begins")
    known: dict[str, tuple[Course, float]] = {}
    found: Counter[str] = Counter()
    for number in numbers:
        name = NAMES[number % len(NAMES)]
        begins = folder / "begins" / work.STEPS[name].begins
        if name not in known:
            known[name] = course(name, begins, folder / "course"), _time(name, begins, folder)
        noted, takes = known[name]
        place = folder / "killed"
        shutil.copytree(begins, place)
        said, ended = _kill(name, place, Random(number).uniform(0.0, BEYOND * takes))
        where = "after its end" if ended else "before its end"
        found.update([f"kills of {name} {where}"])
        found["kills"] += 1
        try:
            wrong = list(faults(name, place, said, noted))
        except JournalError as error:
            wrong = [f"refused: {error.what}"]
        found.update(f"WRONG {name}: {fault}" for fault in wrong)
        shutil.rmtree(place)
    return found


def _time(name: str, begins: Path, folder: Path) -> float:
    """Seconds that a step takes in a process of its own: the shorter of two."""
    taken = []
    for _ in range(2):
        shutil.copytree(begins, folder / "timed")
        began = time.perf_counter()
        _kill(name, folder / "timed", 60.0)
        taken.append(time.perf_counter() - began)
        shutil.rmtree(folder / "timed")
    return min(taken)


def _kill(name: str, place: Path, after: float) -> tuple[int, bool]:
    """Do a step in a child and kill it; its acknowledgements, and whether it had ended."""
    said, told = os.pipe()
    child = os.fork()
    if child == 0:
        code = 1
        try:
            os.close(said)
            work.STEPS[name].work(place, lambda: _written(told))
            code = 0
        finally:
            sys.stderr.flush()
            os._exit(code)
    os.close(told)
    until = time.monotonic() + after
    ended = False
    while time.monotonic() < until and not ended:
        ended = os.waitpid(child, os.WNOHANG) != (0, 0)
        time.sleep(min(0.001, max(until - time.monotonic(), 0.0)))
    if not ended:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
    acknowledged = b""
    while some := os.read(said, 4096):
        acknowledged += some
    os.close(said)
    return len(acknowledged), ended


def _written(told: int) -> None:
    os.write(told, b"+")
