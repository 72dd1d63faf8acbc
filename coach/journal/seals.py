"""Sealed sessions: one compressed, checksummed row that needs no other row to be read.

A session that runs is stored as events, committed one by one; one that has ended is packed into its
seal. Owns the packed form: a zstd frame (RFC 8878) with its own checksum around one JSON object,
and a SHA-256 of the frame beside it. `unpacked` checks the frame; `load` both.
"""

import hashlib
import sqlite3
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import chain
from typing import Any

from coach.errors import JournalError
from coach.journal import codec
from coach.journal.codec import Encoded, Stored

FORMAT, VERSION = "climbing-session-seal", 1
#: Zstandard's level. The highest makes a seal 1.4 % smaller and takes four times as long, which
#: counts where years are imported; reading is as fast at any of them.
LEVEL = 15
#: No seal unpacks to more: a day of four hours is 0.3 MB.
MOST_BYTES = 64_000_000
#: Seals that are kept unpacked in memory.
KEPT = 64


@dataclass(frozen=True, slots=True)
class Sealed:
    """What a seal holds: texts as they were stored, and what the row beside it says too."""

    uid: str
    previous: str
    how: str
    place: str
    library: str
    """Digest of the library."""
    start: str
    """What the session began with, as JSON without its library."""
    walls: tuple[str, ...]
    events: tuple[Encoded, ...]
    facts: tuple[tuple[Encoded, ...], ...]

    def stored(self, after: int = 0) -> Iterator[Stored]:
        """Every transaction after a number, in order."""
        rows = zip(self.walls, self.events, self.facts, strict=True)
        for seq, (wall, event, caused) in enumerate(rows, 1):
            if seq > after:
                yield Stored(seq, wall, event, codec.checksum(wall, event, caused), caused)


def packed(sealed: Sealed, level: int = LEVEL) -> tuple[bytes, str]:
    """The frame and its SHA-256 in hex."""
    import zstandard  # only those who seal or open one need it

    # By columns: like stands beside like, which packs a tenth smaller.
    fields = {
        "format": FORMAT,
        "version": VERSION,
        "uid": sealed.uid,
        "previous": sealed.previous,
        "how": sealed.how,
        "place": sealed.place,
        "library": sealed.library,
        "start": sealed.start,
        "walls": sealed.walls,
        "kinds": [kind for kind, _ in sealed.events],
        "events": [body for _, body in sealed.events],
        "facts": sealed.facts,
    }
    text = codec.compact(fields).encode()
    frame = zstandard.ZstdCompressor(level=level, write_checksum=True).compress(text)
    return frame, hashlib.sha256(frame).hexdigest()


@lru_cache(maxsize=KEPT)
def unpacked(frame: bytes) -> Sealed:
    """What `packed` packed; JournalError where the frame is damaged or of a newer version."""
    import zstandard
    from pydantic_core import from_json

    try:
        text = zstandard.ZstdDecompressor().decompress(frame, max_output_size=MOST_BYTES)
        # in half the time of the standard library's: hardly a text of it is there twice
        fields: dict[str, Any] = from_json(text, cache_strings=False)
        if fields["format"] != FORMAT:
            raise ValueError("another format")
        if fields["version"] > VERSION:
            raise JournalError(
                "a newer version of this program sealed it",
                "Install that version, or a newer one.",
            )
        return Sealed(
            fields["uid"],
            fields["previous"],
            fields["how"],
            fields["place"],
            fields["library"],
            fields["start"],
            tuple(fields["walls"]),
            tuple(zip(fields["kinds"], fields["events"], strict=True)),
            tuple([tuple([(kind, body) for kind, body in caused]) for caused in fields["facts"]]),
        )
    except (zstandard.ZstdError, KeyError, TypeError, ValueError, RecursionError) as error:
        raise JournalError(f"its seal is damaged: {error}", codec.VERIFY) from error


def load(db: sqlite3.Connection, session: int) -> Sealed | None:
    """The seal of a session, None where it has none; JournalError where it is damaged."""
    frame = checked(db, session)
    return None if frame is None else unpacked(frame)


def checked(db: sqlite3.Connection, session: int) -> bytes | None:
    """The frame of a session, None where it has none; JournalError where its sum is not its own."""
    row = db.execute("SELECT body, sha FROM seal WHERE session = ?", (session,)).fetchone()
    if row is None:
        return None
    frame, sha = row
    if hashlib.sha256(frame).hexdigest() != sha:
        raise JournalError("its seal does not match its checksum", codec.VERIFY)
    return bytes(frame)


def stored(db: sqlite3.Connection, session: int, after: int = 0) -> Iterator[Stored]:
    """Every transaction of a session after a number, in order, sealed or not."""
    sealed = load(db, session)
    return _rows(db, session, after) if sealed is None else sealed.stored(after)


def facts(db: sqlite3.Connection, session: int) -> Iterator[Encoded]:
    """Every fact of a session, in order; what is sealed was checked as a whole."""
    sealed = load(db, session)
    caused = sealed.facts if sealed else (one.facts for one in _rows(db, session, 0))
    return chain.from_iterable(caused)


def _rows(db: sqlite3.Connection, session: int, after: int) -> Iterator[Stored]:
    # Events first: what is committed between the two queries then has no event here, and
    # no event is without its facts.
    events = db.execute(
        "SELECT seq, wall, kind, body, crc FROM event WHERE session = ? AND seq > ? ORDER BY seq",
        (session, after),
    ).fetchall()
    facts = db.execute(
        "SELECT seq, kind, body FROM fact WHERE session = ? AND seq > ? ORDER BY seq, n",
        (session, after),
    ).fetchall()
    caused: dict[int, list[Encoded]] = {}
    for seq, kind, body in facts:
        caused.setdefault(seq, []).append((kind, body))
    for seq, wall, kind, body, crc in events:
        yield Stored(seq, wall, (kind, body), crc, caused.get(seq, ()))


def start_text(db: sqlite3.Connection, session: int) -> str | None:
    """What a session began with, as JSON without its library; None where there is no session."""
    row = db.execute("SELECT body FROM session WHERE id = ?", (session,)).fetchone()
    if row is None:
        return None
    if row[0]:
        return str(row[0])
    sealed = load(db, session)
    return "" if sealed is None else sealed.start


#: Kinds of events and facts that are looked for over all sessions, so that they stand outside of
#: the seals as well.
TOLD_EVENTS = ("KeyClaimed",)
TOLD_FACTS = ("SignTold", "Felt", "AgeTold", "ClimbedTold", "ComfortableTold")


def seal(db: sqlite3.Connection, session: int) -> None:
    """Pack a session that has ended, inside the caller's transaction; one packed before stays.

    JournalError where it has not ended, or a transaction of it is damaged.
    """
    uid, previous, how, place, library, body = db.execute(
        "SELECT uid, previous, how, place, library, body FROM session WHERE id = ?", (session,)
    ).fetchone()
    if how is None:
        raise JournalError("a session that runs can't be sealed")
    if not body:
        return
    rows = list(_rows(db, session, 0))
    for number, one in enumerate(rows, 1):
        if one.seq != number or not one.unharmed:
            raise JournalError(f"event {number} does not match its checksum", codec.VERIFY)
    packing = Sealed(
        uid,
        previous,
        how,
        place,
        library,
        body,
        tuple(one.wall for one in rows),
        tuple(one.event for one in rows),
        tuple(tuple(one.facts) for one in rows),
    )
    frame, sha = packed(packing)
    if unpacked(frame) != packing:
        raise JournalError("a session could not be read back from its seal")
    db.execute("INSERT INTO seal VALUES (?, ?, ?)", (session, frame, sha))
    db.executemany("INSERT INTO told VALUES (?, ?, ?, ?, ?)", told_in(session, packing))
    db.execute("DELETE FROM event WHERE session = ?", (session,))
    db.execute("UPDATE session SET body = '' WHERE id = ?", (session,))
    guard(db, session)


def told_in(session: int, sealed: Sealed) -> Iterator[tuple[int, int, int, str, str]]:
    """What of a session stands outside of its seal: session, seq, n (0: the event), kind, body."""
    for one in sealed.stored():
        if one.event[0] in TOLD_EVENTS:
            yield (session, one.seq, 0, *one.event)
        for n, fact in enumerate(one.facts, 1):
            if fact[0] in TOLD_FACTS:
                yield (session, one.seq, n, *fact)


#: The columns of a session under its checksum, in order, and the checksum.
GUARDED = """
SELECT uid, previous, begun, instant, routine, minutes, place, library, body, how, crc
FROM session WHERE id = ?
"""


def guard(db: sqlite3.Connection, session: int) -> None:
    """Write the checksum of a session's row anew, inside the caller's transaction."""
    *columns, _ = db.execute(GUARDED, (session,)).fetchone()
    db.execute("UPDATE session SET crc = ? WHERE id = ?", (codec.crc(*columns), session))


def unsealed(db: sqlite3.Connection) -> Sequence[int]:
    """Sessions that have ended and are not sealed, the earliest first."""
    query = (
        "SELECT id FROM session WHERE how IS NOT NULL AND id NOT IN (SELECT session FROM seal)"
        " ORDER BY id"
    )
    return [session for (session,) in db.execute(query)]
