"""Libraries of sessions, packed: what the files held, once for each content.

A library is packed against the first one on the shelf, since from day to day little of it changes:
a learnt pace makes 60 kB that differ in a few bytes. Owns that none is left behind by a deletion,
and that none is packed against one that is gone.
"""

import hashlib
import sqlite3
from typing import TYPE_CHECKING

from coach.errors import JournalError
from coach.journal import codec
from coach.journal.seals import LEVEL, MOST_BYTES

if TYPE_CHECKING:
    import zstandard


def text(db: sqlite3.Connection, digest: str) -> str | None:
    """A library as JSON; None where it is missing, JournalError where it is damaged."""
    row = db.execute("SELECT body FROM library WHERE digest = ?", (digest,)).fetchone()
    if row is None:
        return None
    if row[0]:
        return str(row[0])
    packed = db.execute("SELECT base, body FROM shelf WHERE digest = ?", (digest,)).fetchone()
    return None if packed is None else _unpacked(db, *packed)


def _unpacked(db: sqlite3.Connection, base: str, frame: bytes) -> str:
    import zstandard

    known = None
    if base:
        under = text(db, base)
        if under is None:
            raise JournalError("the library that a session's was packed against is missing")
        known = _dictionary(under)
    try:
        opener = zstandard.ZstdDecompressor(dict_data=known)
        return opener.decompress(frame, max_output_size=MOST_BYTES).decode()
    except (zstandard.ZstdError, UnicodeError) as error:
        raise JournalError(f"a packed library is damaged: {error}", codec.VERIFY) from error


def _dictionary(under: str) -> "zstandard.ZstdCompressionDict":
    import zstandard

    raw = zstandard.DICT_TYPE_RAWCONTENT
    return zstandard.ZstdCompressionDict(under.encode(), dict_type=raw)


def pack(db: sqlite3.Connection, digest: str) -> None:
    """Pack a library, inside the caller's transaction; one packed before stays as it is.

    JournalError where it is not what its digest says.
    """
    import zstandard

    row = db.execute("SELECT body FROM library WHERE digest = ?", (digest,)).fetchone()
    if row is None or not row[0]:
        return
    body = row[0]
    if hashlib.sha256(body.encode()).hexdigest() != digest:
        raise JournalError("a library does not match its digest", codec.VERIFY)
    first = db.execute("SELECT digest FROM shelf WHERE base = '' ORDER BY digest").fetchone()
    base = first[0] if first else ""
    under = text(db, base) if base else None
    known = None if under is None else _dictionary(under)
    packer = zstandard.ZstdCompressor(level=LEVEL, write_checksum=True, dict_data=known)
    frame = packer.compress(body.encode())
    db.execute("INSERT INTO shelf VALUES (?, ?, ?)", (digest, base, frame))
    if text_of_packed(db, digest) != body:
        raise JournalError("a library could not be read back from what it was packed to")
    db.execute("UPDATE library SET body = '' WHERE digest = ?", (digest,))


def text_of_packed(db: sqlite3.Connection, digest: str) -> str:
    """A packed library as JSON."""
    return _unpacked(
        db, *db.execute("SELECT base, body FROM shelf WHERE digest = ?", (digest,)).fetchone()
    )


def drop_orphans(db: sqlite3.Connection) -> None:
    """Drop the libraries of no session, inside the caller's transaction.

    What was packed against one of them is packed anew.
    """
    orphans = "SELECT digest FROM library WHERE digest NOT IN (SELECT library FROM session)"
    leaning = db.execute(
        f"SELECT digest FROM shelf WHERE base IN ({orphans}) AND digest NOT IN ({orphans})"  # noqa: S608
    ).fetchall()
    for (digest,) in leaning:
        body = text_of_packed(db, digest)
        db.execute("UPDATE library SET body = ? WHERE digest = ?", (body, digest))
        db.execute("DELETE FROM shelf WHERE digest = ?", (digest,))
    db.execute(f"DELETE FROM library WHERE digest IN ({orphans})")  # noqa: S608
    for (digest,) in leaning:
        pack(db, digest)
