"""Checks a journal without changing it: the file, checksums, digests, and the replay of sessions.

Owns what counts as whole. A session is replayed only under the rules version that made it.
"""

import hashlib
import sqlite3
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, fields, replace
from functools import partial
from pathlib import Path
from typing import Self

from coach.errors import JournalError
from coach.journal import codec, seals, shelf, statements
from coach.journal.codec import Recorded
from coach.journal.database import explained, stoppable
from coach.journal.digests import Maker
from coach.journal.seals import GUARDED
from coach.journal.side_by_side import side_by_side
from coach.journal.store import Journal, SessionId, SessionRow
from coach.model.start import Start
from coach.record.attribution import attributed
from coach.record.digest import VERSION, digest
from coach.record.fixes import amended

#: Sessions that one process takes at a time.
SHARE = 50

Replay = Callable[[Start, Sequence[Recorded]], str]
"""Runs a stored session again; what differs from the record in a few words, '' if nothing."""


@dataclass(frozen=True, slots=True)
class Finding:
    """Something that is not as it should be."""

    where: str
    """'file', or a session by its start."""
    what: str


@dataclass(frozen=True, slots=True)
class Verification:
    """What a verification saw."""

    sessions: int = 0
    events: int = 0
    facts: int = 0
    replayed: int = 0
    """Sessions run again with the same outcome."""
    other_rules: int = 0
    """Whole sessions made under another rules version, so not run again."""
    findings: tuple[Finding, ...] = ()

    @property
    def whole(self) -> bool:
        """Whether nothing is wrong."""
        return not self.findings

    def joined(self, other: Self) -> Self:
        """What both saw."""
        parts = (getattr(self, field.name) + getattr(other, field.name) for field in fields(self))
        return type(self)(*parts)


Shown = Callable[[Iterable[Verification], int], Iterable[Verification]]
"""Lets verdicts through as they come, of so many, so that somebody sees how far it is."""


def unseen(verdicts: Iterable[Verification], number: int) -> Iterable[Verification]:
    """Where nobody watches."""
    return verdicts


def verify(
    path: Path,
    replay: Replay | None = None,
    rules_version: str = "",
    processes: int = 1,
    shown: Shown = unseen,
) -> Verification:
    """Read everything and say what is wrong; JournalError if the file can't be opened at all.

    With more than one process `replay` has to be a function of a module.
    """
    with Journal.open(path, write=False) as journal:
        try:
            rows = journal.sessions(twins=True)
        except JournalError as error:
            return Verification(findings=(*_file(journal.db), Finding("file", error.what)))
        shares = [rows[first : first + SHARE] for first in range(0, len(rows), SHARE)]
        work = partial(_share, path, replay, rules_version)
        with side_by_side(work, shares, processes) as verdicts:
            found = Verification(findings=(*_file(journal.db), *_beside(journal)))
            for verdict in shown(verdicts, len(shares)):
                found = found.joined(verdict)
    return found


def sums(path: Path) -> tuple[Finding, ...]:
    """What is wrong with the file, the rows and the seals by checksums alone: within seconds."""
    with Journal.open(path, write=False) as journal:
        found = list(_file(journal.db))
        try:
            for row in journal.sessions(twins=True):
                for *columns, crc in journal.rows(GUARDED, row.id):
                    if crc != codec.crc(*columns):
                        found.append(Finding(f"session {row.id}", "its row is damaged"))
                seals.checked(journal.db, row.id)
        except JournalError as error:
            found.append(Finding("file", error.what))
        found += _beside(journal)
    return tuple(found)


def _share(
    path: Path, replay: Replay | None, rules_version: str, rows: Sequence[SessionRow]
) -> Verification:
    """What is seen of some sessions."""
    with Journal.open(path, write=False) as journal:
        found = Verification()
        for row in rows:
            found = found.joined(_session(journal, row, replay, rules_version))
    return found


def _session(
    journal: Journal, row: SessionRow, replay: Replay | None, rules_version: str
) -> Verification:
    recorded, broken = read_whole(journal, row.id)
    seen = Verification(1, len(recorded), sum(len(one.facts) for one in recorded))
    name = f"session {row.id} of {row.begun}"
    if broken:
        return replace(seen, findings=(Finding(name, broken),))
    start = journal.start_of(row.id)
    wrong = [_people(journal, row.id, start), _digests(journal, row.id, start, recorded)]
    other = start.rules_version != rules_version
    alike = replay is not None and not other
    if replay is not None and not other and (difference := replay(start, recorded)):
        alike = False
        wrong.append(f"runs differently now: {difference}")
    findings = tuple(Finding(name, what) for what in wrong if what)
    return replace(seen, replayed=int(alike), other_rules=int(other), findings=findings)


def read_whole(journal: Journal, session: SessionId) -> tuple[list[Recorded], str]:
    """The transactions of a session up to the first damaged one, and what is wrong with it.

    The text is '' when all is whole.
    """
    try:
        _check_start(journal, session)
    except JournalError as error:
        return [], error.what
    return read_events(journal, session)


def read_events(journal: Journal, session: SessionId) -> tuple[list[Recorded], str]:
    """As `read_whole`, whatever the session began with."""
    read: list[Recorded] = []
    try:
        for one in journal.stored(session):
            if one.seq != len(read) + 1:
                return read, f"event {len(read) + 1} is missing"
            if not one.unharmed:
                return read, f"event {one.seq} ({one.event[0]}) does not match its checksum"
            read.append(one.decoded())
    except JournalError as error:
        return read, error.what
    return read, ""


def _people(journal: Journal, session: SessionId, start: Start) -> str:
    """What is wrong with who is said to have taken part; '' where it is what was told."""
    query = "SELECT who, name, key FROM attendance WHERE session = ? ORDER BY who"
    try:
        ((uid, twin),) = journal.rows("SELECT uid, twin FROM session WHERE id = ?", session)
        told = statements.attending(journal, twin or uid, start)
        if journal.rows(query, session) != sorted(told):
            return "who took part is not what it says"
    except JournalError as error:
        return error.what
    return ""


def _beside(journal: Journal) -> tuple[Finding, ...]:
    """What is wrong with what was stated, and with aims, by their checksums."""
    found = []
    for what, columns in (("statement", "uid, wall, kind, body"), ("aim", "uid, body")):
        try:
            for *texts, crc in journal.rows(f"SELECT {columns}, crc FROM {what}"):  # noqa: S608
                if crc != codec.crc(*texts):
                    found.append(Finding("file", f"{what} {texts[0]!r} is damaged"))
        except JournalError as error:
            found.append(Finding("file", error.what))
    return tuple(found)


def _digests(
    journal: Journal, session: SessionId, start: Start, recorded: Sequence[Recorded]
) -> str:
    """What is wrong with the numbers that stand beside the facts; '' where they are theirs."""
    people = [person.who for person in start.people]
    facts = list(attributed((one.facts for one in recorded), people))
    query = "SELECT who, body FROM digest WHERE session = ? AND version = ?"
    try:
        with explained(journal.path, "reading the corrections"):
            fixes = Maker(journal.db).fixes(session)
        for who, body in journal.rows(query, session, VERSION):
            made = amended(digest(facts, who, start.library.movements), who, fixes)
            if codec.decode_digest(body) != made:
                return f"the numbers of person {who} are not those of the facts"
    except JournalError as error:
        return error.what
    return ""


def _check_start(journal: Journal, session: SessionId) -> None:
    journal.start_of(session)
    for *columns, crc in journal.rows(GUARDED, session):
        if crc != codec.crc(*columns):
            raise JournalError("its beginning does not match its checksum")
        digest, how = columns[7], columns[9]
        body = shelf.text(journal.db, digest)
        if body is None or hashlib.sha256(body.encode()).hexdigest() != digest:
            raise JournalError("its library does not match its digest")
        _check_seal(journal, session, (columns[0], columns[1], how, digest))


def _check_seal(journal: Journal, session: SessionId, beside: tuple[object, ...]) -> None:
    sealed = seals.load(journal.db, session)
    if sealed is None:
        return
    if (sealed.uid, sealed.previous, sealed.how, sealed.library) != beside:
        raise JournalError("its row is not that of its seal")
    query = "SELECT session, seq, n, kind, body FROM told WHERE session = ? ORDER BY seq, n"
    if journal.rows(query, session) != list(seals.told_in(session, sealed)):
        raise JournalError("what stands outside of its seal is not what it holds")


def _file(db: sqlite3.Connection) -> tuple[Finding, ...]:
    try:
        with stoppable(db):
            lines = [str(line) for (line,) in db.execute("PRAGMA integrity_check")]
        broken = db.execute("PRAGMA foreign_key_check").fetchall()
    except sqlite3.Error as error:
        return (Finding("file", str(error)),)
    found = [Finding("file", line) for line in lines if line != "ok"]
    if broken:
        found.append(Finding("file", f"{len(broken)} rows belong to nothing"))
    return tuple(found)
