"""What can be read of a damaged journal, copied into a new one.

Every seal that reads is saved, whatever is wrong beside it: its own row, its library, an index. Of
a session that was not sealed the transactions up to its first fault are saved. What SQLite can't
reach any more is looked for in the pages of the file (`coach.journal.carving`).
"""

import sqlite3
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import NamedTuple

from coach.errors import JournalError
from coach.journal import codec, seals, statements
from coach.journal.carving import carved
from coach.journal.codec import Recorded
from coach.journal.database import explained
from coach.journal.journal_checks import read_events
from coach.journal.kept_aims import add_aim, all_aims
from coach.journal.statements import Stated
from coach.journal.store import Journal, SessionId
from coach.journal.transfer import CUT, Whole, put
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
    twin: str


class _Source:
    """One way to what the file holds: by its tables, or by its pages."""

    def __init__(self, journal: Journal) -> None:
        self.journal = journal
        rows, self.unread = _rows(journal)
        self.rows = {row.id: row for row in rows}
        self.frames = _frames(journal)

    def sessions(self) -> set[SessionId]:
        """The numbers of sessions of which something reads."""
        return {*self.rows, *self.frames}

    def read(self, session: SessionId) -> tuple[Whole | None, str]:
        """A session as far as it reads, and what is wrong with it; '' where nothing is."""
        row, sealed = self.rows.get(session), _sealed(self.frames.get(session))
        try:
            if sealed is not None:
                return _of_seal(self.journal, sealed, row.twin if row else ""), ""
            if row is not None and row.body:
                return _of_rows(self.journal, row)
        except JournalError as error:
            return None, error.what
        return None, "its seal can't be read"


Shown = Callable[[Iterable[SessionId], int], Iterable[SessionId]]
"""Lets sessions through as they are, of so many, so that somebody sees how far it is."""


def _unseen(sessions: Iterable[SessionId], number: int) -> Iterable[SessionId]:
    return sessions


def rescue(damaged: Journal, into: Journal, shown: Shown = _unseen) -> Rescued:
    """Copy what can be read of a damaged journal; the damaged one is only read."""
    with Journal(damaged.path, carved(damaged.path), None) as pages:
        sources = [_Source(damaged), _Source(pages)]
        # first, so that what was deleted stays so, and what was corrected is
        lost = _statements_and_aims(damaged, into)
        if lost:
            lost = _statements_and_aims(pages, into) and lost
        saved, cut = 0, []
        every = sorted(set().union(*(source.sessions() for source in sources)))
        for session in shown(every, len(every)):
            rows = [row for source in sources if (row := source.rows.get(session))]
            name = f"session {session}" + (f" of {rows[0].begun}" if rows else "")
            one, wrong = _best(sources, session)
            if one is None:
                lost.append(f"{name}: {wrong}")
                continue
            put(into, one)
            if wrong:
                cut.append(f"{name}: {wrong}; {len(one.recorded)} events were saved")
            else:
                saved += 1
        if not sources[1].sessions() or sources[0].unread:
            lost += sources[0].unread
    return Rescued(saved, tuple(cut), tuple(lost))


def _best(sources: Sequence[_Source], session: SessionId) -> tuple[Whole | None, str]:
    """What reads best: whole, with its library, the most of it; the first source where alike."""
    best = sources[0].read(session)
    for source in sources[1:]:
        if best[0] is not None and not best[1] and best[0].start.library.movements:
            return best
        other = source.read(session)
        if _worth(*other) > _worth(*best):
            best = other
    return best


def _worth(one: Whole | None, wrong: str) -> tuple[bool, bool, bool, int]:
    if one is None:
        return (False, False, False, 0)
    return (True, not wrong, bool(one.start.library.movements), len(one.recorded))


def _of_seal(damaged: Journal, sealed: seals.Sealed, twin: str) -> Whole:
    recorded = tuple(one.decoded() for one in sealed.stored())
    start = _start(damaged, sealed.start, sealed.library, sealed.place)
    return Whole(sealed.uid, sealed.previous, start, sealed.how, recorded, twin)


def _of_rows(damaged: Journal, row: _Row) -> tuple[Whole, str]:
    start = _start(damaged, row.body, row.library, row.place)
    recorded: list[Recorded]
    recorded, wrong = read_events(damaged, row.id)
    how = CUT if wrong else row.how
    return Whole(row.uid, row.previous, start, how, tuple(recorded), row.twin), wrong


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
    """Every frame that can be read, up to the first damaged page of its table."""
    found: dict[SessionId, bytes] = {}
    with suppress(sqlite3.Error):
        rows = damaged.db.execute("SELECT session, body FROM seal ORDER BY session")
        # what came before an error counts
        found.update((session, body) for session, body in rows if isinstance(body, bytes))
    return found


def _rows(damaged: Journal) -> tuple[list[_Row], list[str]]:
    """The sessions that can be read one after the other, and what is lost after them."""
    # In the order of the file and by no index, because an index may be what is damaged.
    query = "SELECT * FROM session NOT INDEXED ORDER BY id"
    rows: list[_Row] = []
    try:
        with explained(damaged.path, "reading the sessions"):
            found = damaged.db.execute(query)
            names = [name for name, *_ in found.description]
            for values in found:
                told = dict(zip(names, values, strict=True))
                rows.append(_Row(*(told.get(name, "") for name in _Row._fields)))
    except JournalError as error:
        return rows, [f"sessions after {rows[-1].id if rows else 'none'}: {error.what}"]
    return rows, []


def _statements_and_aims(damaged: Journal, into: Journal) -> list[str]:
    """Keep what was stated and what she is after, each that reads; what is lost of them."""
    lost: list[str] = []
    try:
        given = list(_stated(damaged, lost))
        with into.transaction("keeping statements"):
            statements.take(into, given)
    except JournalError as error:
        lost.append(f"what was stated of people and sessions: {error.what}")
    aims: list[Aim] = []
    try:
        aims = all_aims(damaged)
    except JournalError as error:
        lost.append(f"aims: {error.what}")
    for aim in aims:
        add_aim(into, aim)
    return lost


def _stated(damaged: Journal, lost: list[str]) -> Iterator[Stated]:
    """Statements that match their checksums; those of an older journal have none."""
    for uid, wall, kind, body, *sums in damaged.rows("SELECT * FROM statement"):
        try:
            if sums and sums[0] != codec.crc(uid, wall, kind, body):
                raise JournalError("it does not match its checksum")
            one = Stated(uid, wall, kind, codec.decode_stated(body))
            statements.check(one)
        except (JournalError, TypeError, ValueError) as error:
            lost.append(f"the statement {uid!r}: {error}")
        else:
            yield one
