"""Records out of the pages of a damaged file, without the tables and indexes that led to them.

Reads SQLite's file format by itself (sqlite.org/fileformat2.html: 1.6 b-tree pages, 2.1 records):
every page that is there gives the records that it holds, whatever is wrong with any other.
`carved` puts those of ours into a new database in memory. What belongs together is found out by
who asks: seals have checksums of their own, and so has every transaction.
"""

import sqlite3
import struct
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from coach.journal import migrations

#: Leaves of tables, leaves of indexes, and inner pages of indexes: these hold records.
_TABLE_LEAF, _INDEX_LEAF, _INDEX_INNER = 0x0D, 0x0A, 0x02
#: Bytes of a stored integer by its serial type.
_WIDTHS = {1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8, 7: 8}
_FLOAT = 7
#: The page size of every journal, where the header that says so is damaged.
_USUAL = 4096

Value = str | bytes | int | float | None


class _Pages:
    """The bytes of a file by page, from 1."""

    def __init__(self, data: bytes) -> None:
        size = int.from_bytes(data[16:18], "big")
        self.size = size if 512 <= size <= 32768 and size & (size - 1) == 0 else _USUAL
        self.usable = self.size - (data[20] if len(data) > 20 and data[20] < 32 else 0)
        self._data = data

    def __len__(self) -> int:
        return (len(self._data) + self.size - 1) // self.size

    def page(self, number: int) -> bytes:
        return self._data[(number - 1) * self.size : number * self.size]


def records(data: bytes) -> Iterator[tuple[int | None, tuple[Value, ...]]]:
    """Every record that reads: its row's number (None in an index), and its columns."""
    pages = _Pages(data)
    for number in range(1, len(pages) + 1):
        page = pages.page(number)
        head = 100 if number == 1 else 0
        kind = page[head] if len(page) > head + 8 else 0
        if kind not in (_TABLE_LEAF, _INDEX_LEAF, _INDEX_INNER):
            continue
        first = head + (12 if kind == _INDEX_INNER else 8)
        for n in range(int.from_bytes(page[head + 3 : head + 5], "big")):
            at = int.from_bytes(page[first + 2 * n : first + 2 * n + 2], "big")
            try:
                yield _cell(pages, page, at, kind)
            except (IndexError, ValueError, struct.error):
                continue


def _varint(data: bytes, at: int) -> tuple[int, int]:
    """A number of one to nine bytes, and where what follows begins."""
    value = 0
    for n in range(8):
        byte = data[at + n]
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            return value, at + n + 1
    return value << 8 | data[at + 8], at + 9


def _cell(pages: _Pages, page: bytes, at: int, kind: int) -> tuple[int | None, tuple[Value, ...]]:
    if kind == _INDEX_INNER:
        at += 4
    length, at = _varint(page, at)
    row = None
    if kind == _TABLE_LEAF:
        row, at = _varint(page, at)
    usable = pages.usable
    most = usable - 35 if kind == _TABLE_LEAF else (usable - 12) * 64 // 255 - 23
    here = length
    if length > most:
        least = (usable - 12) * 32 // 255 - 23
        here = least + (length - least) % (usable - 4)
        here = here if here <= most else least
    payload = page[at : at + here]
    if here < length:
        payload += _overflow(pages, page[at + here : at + here + 4], length - here)
    if len(payload) != length:
        raise ValueError("a part of it is missing")
    return row, _columns(payload)


def _overflow(pages: _Pages, following: bytes, length: int) -> bytes:
    found = b""
    while len(found) < length:
        page = pages.page(int.from_bytes(following, "big"))
        if len(following) < 4 or not page:
            raise ValueError("a part of it is missing")
        following = page[:4]
        found += page[4 : pages.usable][: length - len(found)]
        if following == b"\0\0\0\0" and len(found) < length:
            raise ValueError("a part of it is missing")
    return found


def _columns(payload: bytes) -> tuple[Value, ...]:
    length, at = _varint(payload, 0)
    body, found = length, []
    while at < length:
        kind, at = _varint(payload, at)
        value: Value
        if kind in _WIDTHS:
            width = _WIDTHS[kind]
            raw = payload[body : body + width]
            whole = int.from_bytes(raw, "big", signed=True)
            value = struct.unpack(">d", raw)[0] if kind == _FLOAT else whole
        elif kind in (0, 8, 9):
            width, value = 0, {0: None, 8: 0, 9: 1}[kind]
        elif kind >= 12:
            width = (kind - 12) // 2
            raw = payload[body : body + width]
            value = raw.decode() if kind % 2 else raw
        else:
            raise ValueError("no kind of value")
        found.append(value)
        body += width
    if body != len(payload):
        raise ValueError("it is longer or shorter than it says")
    return tuple(found)


def carved(path: Path) -> sqlite3.Connection:
    """A database in memory with what the pages of a file hold; its rows may lack their others."""
    db = sqlite3.connect(":memory:", isolation_level=None, check_same_thread=False)
    migrations.migrate(db)
    db.executescript("PRAGMA foreign_keys = OFF; DROP TRIGGER event_after_close; BEGIN")
    if path.is_file():
        for row, columns in records(path.read_bytes()):
            # one that only looks like a record of ours is refused by its table
            with suppress(sqlite3.Error):
                _take(db, row, columns)
    db.execute("COMMIT")
    return db


def _take(db: sqlite3.Connection, row: int | None, columns: tuple[Value, ...]) -> None:
    shape = "".join("n" if one is None else _LETTERS[type(one)] for one in columns)
    if shape == "nbs":
        table, values = "seal", (row, *columns[1:])
    elif shape.startswith("nsss") and len(columns) in (12, 13):
        table, values = "session", (row, *columns[1:], *([""] * (13 - len(columns))))
    elif shape == "ss" and len(str(columns[0])) == 64:
        table, values = "library", columns
    elif shape in _TABLES:
        table, values = _TABLES[shape], columns
    else:
        return
    places = ", ".join("?" * len(values))
    db.execute(f"INSERT OR IGNORE INTO {table} VALUES ({places})", values)  # noqa: S608


#: The tables whose records are known by what their columns are: 's' a text, 'i' a whole number,
#: 'b' bytes, 'n' nothing.
_TABLES = {"ssb": "shelf", "iisssi": "event", "iiiss": "fact", "ssssi": "statement", "ssi": "aim"}
_LETTERS = {str: "s", int: "i", bytes: "b", float: "f"}
