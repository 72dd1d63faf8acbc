"""What a journal is made to do while it is killed or its disk is full, each as steps that answer.

A step works in a folder that `prepare` filled, and says when something is done for good: from then
on it counts as acknowledged. `python -m tests.bench.record.work STEP FOLDER` does one.
"""

import shutil
import sys
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path

from coach.errors import JournalError
from coach.journal import Journal, SessionId, lines, rolling
from coach.journal.backup import restore
from coach.journal.corrections import fix
from coach.journal.deletion import delete_person, delete_session
from coach.journal.persons import person_of
from coach.journal.sealing import finish, seal_each
from coach.journal.transfer import Whole, merge, put_all
from coach.model.person import Person
from coach.model.start import Start
from coach.runtime import keeper
from tests.journal import older
from tests.record import real
from tests.record.invented import session

NOW = datetime(2026, 3, 3, 18, 0, tzinfo=UTC)
TODAY = date(2026, 3, 3)
#: Transactions of the session that runs while it is killed.
COMMITS = 10

Say = Callable[[], None]


def _whole(seed: int, kind: str, uid: str) -> Whole:
    return session(real.day(seed, kind), real.FIRST + timedelta(days=3 * seed), uid)


@cache
def _sessions() -> tuple[Whole, ...]:
    """A few of the real core, short ones, alone, with a partner, and only rests."""
    return (
        _whole(20, "rests", "one"),
        _whole(21, "rests-pair", "two"),
        _whole(22, "rests", "three"),
        _whole(23, "group", "four"),
    )


def prepare(folder: Path) -> None:
    """Journals that the steps begin with; the same whenever they are made."""
    folder.mkdir(parents=True)
    ours, theirs = _sessions()[:3], _sessions()[1:]
    base = folder / "base"
    with Journal.open(base / "journal.db", write=True) as journal:
        put_all(journal, ours)
    rolling.roll(base / "journal.db", TODAY - timedelta(days=1))
    with Journal.open(base / "other.db", write=True) as other:
        put_all(other, (_sessions()[0], *theirs))
        delete_session(other, SessionId(1), NOW)
        with (base / "other.jsonl").open("w", encoding="utf-8") as to:
            lines.export(other, to)
    old = folder / "old"
    older.write(old / "journal.db", ours)
    running = folder / "running"
    shutil.copytree(base, running)
    with Journal.open(running / "journal.db", write=True) as journal:
        journal.begin(_begun(), "running")
    gone = folder / "gone"
    shutil.copytree(base, gone)
    (gone / "journal.db").rename(gone / "copy.db")


@cache
def _running() -> real.Ran:
    return real.day(7, "alone")


def _begun() -> Start:
    return replace(_running().start, wall=NOW.isoformat())


def _commit(folder: Path, say: Say) -> None:
    """Events of a session, one by one."""
    with Journal.open(folder / "journal.db", write=True) as journal:
        running = journal.unfinished()
        assert running is not None
        for event, facts, wall in _running().committed[:COMMITS]:
            journal.commit(running.id, event, facts, wall)
            say()


def _keep(folder: Path, say: Say) -> None:
    """The same as a session does it: what can't be saved is held, and the session goes on."""
    keeper.LAST_TRIES = 0.1
    with Journal.open(folder / "journal.db", write=True) as journal:
        running = journal.unfinished()
        assert running is not None
        kept = keeper.JournalKeeper(journal, running.id)
        for event, facts, wall in _running().committed[:COMMITS]:
            kept.commit(event, facts, wall)
            if not kept.held:
                say()
        if kept.finish("done"):
            say()


def _seal(folder: Path, say: Say) -> None:
    """A session that ends."""
    with Journal.open(folder / "journal.db", write=True) as journal:
        running = journal.unfinished()
        assert running is not None
        journal.close_session(running.id, "done")
        say()


def _migrate(folder: Path, say: Say) -> None:
    """An older journal is brought up to date and packed."""
    path = folder / "journal.db"
    with Journal.open(path, write=True) as journal:
        for _ in seal_each(journal):
            pass
    finish(path)
    say()


def _merge(folder: Path, say: Say) -> None:
    with (
        Journal.open(folder / "other.db", write=False) as other,
        Journal.open(folder / "journal.db", write=True) as journal,
    ):
        merge(journal, other)
        say()


def _import(folder: Path, say: Say) -> None:
    with Journal.open(folder / "journal.db", write=True) as journal:
        wrong = lines.read(folder / "other.jsonl", journal).wrong
        if wrong:
            raise JournalError(wrong)
        say()


def _delete(folder: Path, say: Say) -> None:
    path = folder / "journal.db"
    with Journal.open(path, write=True) as journal:
        delete_session(journal, SessionId(2), NOW)
        say()
    rolling.renew(path, TODAY)


def _forget(folder: Path, say: Say) -> None:
    path = folder / "journal.db"
    with Journal.open(path, write=True) as journal:
        delete_person(journal, person_of(journal, Person(2, "Runa"), 2), NOW)
        say()
    rolling.renew(path, TODAY)


def _correct(folder: Path, say: Say) -> None:
    with Journal.open(folder / "journal.db", write=True) as journal:
        fix(journal, SessionId(1), NOW, "effort 1", 9)
        say()
        fix(journal, SessionId(2), NOW, "begun", "2025-02-02T10:00:00+00:00")
        say()


def _backup(folder: Path, say: Say) -> None:
    rolling.roll(folder / "journal.db", TODAY)
    say()


def _restore(folder: Path, say: Say) -> None:
    restore(folder / "copy.db", folder / "journal.db")
    say()


@dataclass(frozen=True)
class Step:
    """One kind of work."""

    begins: str
    """The folder it begins with."""
    work: Callable[[Path, Say], None]
    again: bool = True
    """Whether doing it once more, whatever was done of it, gives the same."""


STEPS = {
    "commit": Step("running", _commit, again=False),
    "session": Step("running", _keep, again=False),
    "seal": Step("running", _seal, again=False),
    "migration": Step("old", _migrate),
    "merge": Step("base", _merge),
    "import": Step("base", _import),
    "delete": Step("base", _delete, again=False),
    "forget": Step("base", _forget, again=False),
    "correct": Step("base", _correct, again=False),
    "backup": Step("base", _backup),
    "restore": Step("gone", _restore, again=False),
}


def words(step: str) -> Iterator[str]:
    """What may stand in no file once the step is acknowledged."""
    if step == "delete":
        yield _sessions()[1].start.wall
    elif step == "forget":
        yield "Runa"


def main(step: str, folder: str) -> None:
    """Do one, and say so on standard output; a refusal ends it with a line and no traceback."""

    def say() -> None:
        print("ack;", end="", flush=True)

    with suppress(BrokenPipeError):
        try:
            STEPS[step].work(Path(folder), say)
        except JournalError as error:
            print(f"refused: {error.what}", flush=True)
        else:
            print("whole", flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
