"""What may be there after a step that was cut off: a judge by content alone.

The step is done once undisturbed, and after each of its acknowledgements the whole content is
noted. Whatever is cut off later, the journal must hold what was acknowledged, or that and the next
thing, and nothing between; it must be whole, and so must every copy beside it.
"""

import hashlib
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from coach.errors import JournalError
from coach.journal import Journal, rolling
from coach.journal.deletion import find
from coach.journal.journal_checks import verify
from coach.journal.sealing import copy_of
from tests.bench.record import work
from tests.journal.content import print_of

#: Where no journal is.
NOTHING = ""


@dataclass(frozen=True)
class Course:
    """A step that nothing disturbed."""

    states: tuple[str, ...]
    """The content at its beginning and after each acknowledgement."""


def course(step: str, begins: Path, folder: Path) -> Course:
    """Do a step in a copy of what it begins with."""
    shutil.copytree(begins, folder)
    states = [_state(folder)]
    work.STEPS[step].work(folder, lambda: states.append(_state(folder)))
    shutil.rmtree(folder)
    return Course(tuple(states))


def _state(folder: Path) -> str:
    """The content, read from a copy: reading an older journal would bring it up to date."""
    path = folder / "journal.db"
    if not path.exists():
        return NOTHING
    sums = _sums(path)
    if sums not in _PRINTS:
        _PRINTS[sums] = _print(folder)
    return _PRINTS[sums]


def _sums(path: Path) -> tuple[str, ...]:
    """Of a file and its log: of the same bytes everything is asked once."""
    files = (path, *sorted(path.parent.glob(f"{path.name}-wal")))
    return tuple(hashlib.sha256(file.read_bytes()).hexdigest() for file in files)


_PRINTS: dict[tuple[str, ...], str] = {}


def _print(folder: Path) -> str:
    beside = folder.with_name(folder.name + "-read")
    shutil.copytree(folder, beside)
    try:
        with Journal.open(beside / "journal.db", write=False) as journal:
            return print_of(journal)
    finally:
        shutil.rmtree(beside)


def faults(step: str, folder: Path, acknowledged: int, noted: Course) -> Iterator[str]:
    """What is wrong in the folder, by a word for each kind of fault."""
    states = noted.states
    state = _state(folder)
    if state not in states[acknowledged : acknowledged + 2]:
        yield "lost" if state in states[:acknowledged] else "between"
    path = folder / "journal.db"
    if path.exists() and not _is_whole(path):
        yield "not whole"
    copies = [file for _, file in rolling.backups(path)]
    if copy_of(path).exists():
        copies.append(copy_of(path))
    if not all(map(_is_whole, copies)):
        yield "a copy is not whole"
    if step == "migration" and state != states[-1] and not copy_of(path).exists():
        yield "no copy of before"
    if acknowledged == len(states) - 1 and any(find(_files(folder), work.words(step))):
        yield "not gone"
    if work.STEPS[step].again:
        work.STEPS[step].work(folder, lambda: None)
        if _state(folder) != states[-1]:
            yield "not done again"


def _files(folder: Path) -> list[Path]:
    """The journal and its log; what a deletion leaves in backups goes after it is acknowledged."""
    return [file for file in folder.glob("journal.db*") if file.is_file()]


def _is_whole(path: Path) -> bool:
    """Whether nothing is wrong with a file and its log."""
    sums = _sums(path)
    if sums not in _SEEN:
        _SEEN[sums] = _verified(path)
    return _SEEN[sums]


_SEEN: dict[tuple[str, ...], bool] = {}


def _verified(path: Path) -> bool:
    copy = path.with_name("looked-at.db")
    shutil.copy(path, copy)
    for log in path.parent.glob(f"{path.name}-wal"):
        shutil.copy(log, path.with_name(copy.name + "-wal"))
    try:
        return verify(copy).whole
    except JournalError:
        return False
    finally:
        for file in path.parent.glob(f"{copy.name}*"):
            file.unlink()
