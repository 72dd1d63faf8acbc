"""What can be read of a damaged journal, copied into a new one.

Every seal that reads is saved, whatever is wrong beside it: its own row, its library, an index. Of
a session that was not sealed the transactions up to its first fault are saved.
"""

import sqlite3
from dataclasses import dataclass, replace
from typing import NamedTuple

from coach.errors import JournalError
from coach.journal import codec, seals
from coach.journal.aims import add_aim, all_aims
from coach.journal.codec import Recorded
from coach.journal.database import explained
from coach.journal.store import Journal, SessionId
from coach.journal.transfer import CUT, Whole, put
from coach.journal.verify import read_events
from coach.model.aim import Aim
from coach.model.day import Library
from coach.model.place import Place
from coach.model.routine import Routine
from coach.model.start import Start

#: Marks what began without a library that could be read, so that nothing replays it.
NO_LIBRARY = "without its library"


@dataclass(frozen=True, slots=True)
class Rescued:
    """What was saved of a damaged journal."""

    whole: int
    """Sessions without a fault."""
    cut: tuple[str, ...]
    """Sessions of which the beginning was saved, and why no more."""
    lost: tuple[str, ...]
    """Sessions of which nothing was saved, and why."""


class _Row(NamedTuple):
    """A session's row, as far as it reads."""

    id: SessionId
    uid: str
    previous: str
    begun: str
    place: str
    library: str
    body: str
    how: str | None


def rescue(damaged: Journal, into: Journal) -> Rescued:
    """Copy what can be read of a damaged journal; the damaged one is only read."""
    saved, cut, lost = 0, [], []
    rows, unread = _rows(damaged)
    frames = _frames(damaged)
    for session in sorted({*(row.id for row in rows), *frames}):
        row = next((one for one in rows if one.id == session), None)
        name = f"session {session}" + (f" of {row.begun}" if row else "")
        sealed = _sealed(frames.get(session))
        try:
            if sealed is not None:
                one, wrong = _of_seal(damaged, sealed), ""
            elif row is not None and row.body:
                one, wrong = _of_rows(damaged, row)
            else:
                lost.append(f"{name}: its seal can't be read")
                continue
        except JournalError as error:
            lost.append(f"{name}: {error.what}")
            continue
        put(into, one)
        if wrong:
            cut.append(f"{name}: {wrong}; {len(one.recorded)} events were saved")
        else:
            saved += 1
    lost += unread
    lost += _statements_and_aims(damaged, into)
    return Rescued(saved, tuple(cut), tuple(lost))


def _of_seal(damaged: Journal, sealed: seals.Sealed) -> Whole:
    recorded = tuple(one.decoded() for one in sealed.stored())
    start = _start(damaged, sealed.start, sealed.library, sealed.place)
    return Whole(sealed.uid, sealed.previous, start, sealed.how, recorded)


def _of_rows(damaged: Journal, row: _Row) -> tuple[Whole, str]:
    start = _start(damaged, row.body, row.library, row.place)
    recorded: list[Recorded]
    recorded, wrong = read_events(damaged, row.id)
    how = CUT if wrong else row.how
    return Whole(row.uid, row.previous, start, how, tuple(recorded)), wrong


def _start(damaged: Journal, body: str, digest: str, place: str) -> Start:
    """What a session began with; without its library where that can't be read."""
    try:
        library = damaged.library_of(digest)
    except JournalError:
        start = codec.decode_start(body, Library({}, Routine("", {}, 0, 0, ()), Place(place, ())))
        version = f"{start.rules_version} {NO_LIBRARY}"
        return replace(start, rules_version=version)
    return codec.decode_start(body, library)


def _sealed(frame: bytes | None) -> seals.Sealed | None:
    """What a frame holds, by its own checksum; None where it can't be read."""
    try:
        return None if frame is None else seals.unpacked(frame)
    except JournalError:
        return None


def _frames(damaged: Journal) -> dict[SessionId, bytes]:
    """Every frame that can be read, one by one: a damaged page takes no other with it."""
    numbers: list[SessionId] = []
    try:
        for (session,) in damaged.db.execute("SELECT session FROM seal ORDER BY session"):
            numbers.append(session)
    except sqlite3.Error:
        # what stands behind a damaged page may still be asked for by its number
        last = numbers[-1] if numbers else 0
        numbers += [SessionId(n) for n in range(last + 1, last + 20_000)]
    found: dict[SessionId, bytes] = {}
    for session in numbers:
        try:
            query = "SELECT body FROM seal WHERE session = ?"
            row = damaged.db.execute(query, (session,)).fetchone()
        except sqlite3.Error:
            continue
        if row is not None and isinstance(row[0], bytes):
            found[session] = row[0]
    return found


def _rows(damaged: Journal) -> tuple[list[_Row], list[str]]:
    """The sessions that can be read one after the other, and what is lost after them."""
    # In the order of the file and by no index, because an index may be what is damaged.
    query = (
        "SELECT id, uid, previous, begun, place, library, body, how FROM session NOT INDEXED"
        " ORDER BY id"
    )
    rows: list[_Row] = []
    try:
        with explained(damaged.path, "reading the sessions"):
            for row in damaged.db.execute(query):
                rows.append(_Row(*row))  # noqa: PERF401 - what came before an error counts
    except JournalError as error:
        return rows, [f"sessions after {rows[-1].id if rows else 'none'}: {error.what}"]
    return rows, []


def _statements_and_aims(damaged: Journal, into: Journal) -> list[str]:
    lost = []
    aims: list[Aim] = []
    try:
        aims = all_aims(damaged)
    except JournalError as error:
        lost.append(f"aims: {error}")
    for aim in aims:
        add_aim(into, aim)
    try:
        statements = damaged.rows("SELECT uid, wall, kind, body FROM statement")
    except JournalError as error:
        lost.append(f"what was stated of people and sessions: {error}")
    else:
        with into.transaction("keeping statements"):
            into.db.executemany("INSERT OR IGNORE INTO statement VALUES (?, ?, ?, ?)", statements)
    return lost
