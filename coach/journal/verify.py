"""Checks a journal without changing it: the file, checksums, digests, and the replay of sessions.

Owns what counts as whole. A session is replayed only under the rules version that made it.
"""

import hashlib
import sqlite3
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from coach.errors import JournalError
from coach.journal import codec
from coach.journal.codec import Recorded
from coach.journal.store import GUARDED, Journal, SessionId, SessionRow
from coach.model.start import Start
from coach.record.digest import VERSION, digest

Replay = Callable[[Start, Sequence[Recorded]], str]
"""Runs a stored session again; what differs from the record in a few words, '' if nothing."""


@dataclass(frozen=True, slots=True)
class Finding:
    """Something that is not as it should be."""

    where: str
    """'file', or a session by its start."""
    what: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a verification saw."""

    sessions: int
    events: int
    facts: int
    replayed: int
    """Sessions run again with the same outcome."""
    other_rules: int
    """Whole sessions made under another rules version, so not run again."""
    findings: tuple[Finding, ...]

    @property
    def whole(self) -> bool:
        """Whether nothing is wrong."""
        return not self.findings


def verify(path: Path, replay: Replay | None = None, rules_version: str = "") -> Verdict:
    """Read everything and say what is wrong; JournalError if the file can't be opened at all."""
    with Journal.open(path, write=False) as journal:
        findings = _file(journal.db)
        events = facts = replayed = other = 0
        try:
            rows = journal.sessions()
        except JournalError as error:
            return Verdict(0, 0, 0, 0, 0, (*findings, Finding("file", error.what)))
        for row in rows:
            recorded, broken = read_whole(journal, row.id)
            events += len(recorded)
            facts += sum(len(one.facts) for one in recorded)
            if broken:
                findings.append(Finding(_name(row), broken))
                continue
            start = journal.start_of(row.id)
            if differing := _digests(journal, row.id, start, recorded):
                findings.append(Finding(_name(row), differing))
            if replay is None or start.rules_version != rules_version:
                other += start.rules_version != rules_version
            elif difference := replay(start, recorded):
                findings.append(Finding(_name(row), f"runs differently now: {difference}"))
            else:
                replayed += 1
    return Verdict(len(rows), events, facts, replayed, other, tuple(findings))


def read_whole(journal: Journal, session: SessionId) -> tuple[list[Recorded], str]:
    """The transactions of a session up to the first damaged one, and what is wrong with it.

    The text is '' when all is whole.
    """
    read: list[Recorded] = []
    try:
        _check_start(journal, session)
        for one in journal.stored(session):
            if one.seq != len(read) + 1:
                return read, f"event {len(read) + 1} is missing"
            if not one.unharmed:
                return read, f"event {one.seq} ({one.event[0]}) does not match its checksum"
            read.append(one.decoded())
    except JournalError as error:
        return read, error.what
    return read, ""


def _digests(
    journal: Journal, session: SessionId, start: Start, recorded: Sequence[Recorded]
) -> str:
    """What is wrong with the numbers that stand beside the facts; '' where they are theirs."""
    facts = [fact for one in recorded for fact in one.facts]
    query = "SELECT who, body FROM digest WHERE session = ? AND version = ?"
    for who, body in journal.rows(query, session, VERSION):
        try:
            if codec.decode_digest(body) == digest(facts, who, start.library.movements):
                continue
        except JournalError as error:
            return error.what
        return f"the numbers of person {who} are not those of the facts"
    return ""


def _check_start(journal: Journal, session: SessionId) -> None:
    journal.start_of(session)
    for *columns, crc in journal.rows(GUARDED, session):
        if crc != codec.crc(*columns):
            raise JournalError("its beginning does not match its checksum")
    rows = journal.rows(
        "SELECT digest, body FROM library WHERE digest ="
        " (SELECT library FROM session WHERE id = ?)",
        session,
    )
    for key, body in rows:
        if hashlib.sha256(body.encode()).hexdigest() != key:
            raise JournalError("its library does not match its digest")


def _file(db: sqlite3.Connection) -> list[Finding]:
    try:
        lines = [str(line) for (line,) in db.execute("PRAGMA integrity_check")]
        broken = db.execute("PRAGMA foreign_key_check").fetchall()
    except sqlite3.Error as error:
        return [Finding("file", str(error))]
    found = [Finding("file", line) for line in lines if line != "ok"]
    if broken:
        found.append(Finding("file", f"{len(broken)} rows belong to nothing"))
    return found


def _name(row: SessionRow) -> str:
    return f"session {row.id} of {row.begun}"
