"""Sealing what an older journal holds, session by session, with a copy until it is verified.

A kill at any moment leaves a whole journal: each session is sealed in one transaction, and what was
begun goes on where it stopped. The copy of before stays until every seal was read back.
"""

from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path

from coach.errors import JournalError
from coach.journal import seals
from coach.journal.backup import backup
from coach.journal.database import explained, stoppable
from coach.journal.journal_checks import Shown, Verification, verify
from coach.journal.store import Journal, SessionId


def _as_they_come(verdicts: Iterable[Verification], number: int) -> Iterable[Verification]:
    return verdicts


_UNWATCHED: AbstractContextManager[Callable[[], None]] = nullcontext(lambda: None)


def copy_of(path: Path) -> Path:
    """Where the copy stands while older sessions are sealed."""
    return path.with_name(path.name + ".before-sealing")


def pending(journal: Journal) -> list[SessionId]:
    """Sessions that have ended and are not sealed."""
    with explained(journal.path, "reading the journal"):
        return [SessionId(number) for number in seals.unsealed(journal.db)]


def seal_each(journal: Journal) -> Iterator[SessionId]:
    """Seal every session that has ended, and give its number once it is on disk.

    One that is damaged is left as it is: `coach journal verify` names it.
    """
    copy = copy_of(journal.path)
    waiting = pending(journal)
    if waiting and not copy.exists():
        backup(journal.path, copy)
    for session in waiting:
        try:
            journal.seal(session)
        except JournalError:
            continue
        yield session


def finish(
    path: Path,
    shown: Shown = _as_they_come,
    packing: AbstractContextManager[Callable[[], None]] = _UNWATCHED,
) -> None:
    """Verify what was sealed, make the file small, and drop the copy of before.

    JournalError where something is not whole; then the copy stays. `shown` and `packing` are
    for whoever watches; stopped at any moment, it can be done again.
    """
    verdict = verify(path, shown=shown)
    if not verdict.whole:
        first = verdict.findings[0]
        raise JournalError(
            f"after sealing: {first.where}: {first.what}",
            f"The journal of before is {copy_of(path)}; nothing of it was lost.",
        )
    with Journal.open(path, write=True) as journal, explained(path, "making the file small"):
        with packing as told, stoppable(journal.db, told):
            journal.db.execute("VACUUM")
        journal.db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    copy_of(path).unlink(missing_ok=True)
