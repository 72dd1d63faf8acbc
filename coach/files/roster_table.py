"""Rosters as any spreadsheet saves them: commas, semicolons or tabs, UTF-8 or Latin-1.

Columns that a roster does not know are left alone, unless one is nearly the name of one that it
does; ages may be in years. A mistake is told with its line and its column.
"""

import csv
import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from rapidfuzz import fuzz

from coach.errors import FileError
from coach.files.document import Document
from coach.files.names import advice, file_advice
from coach.files.positions import Key
from coach.model.person import AgeBand

#: Columns by the names that leaders give them.
COLUMNS = {
    "name": "name", "number": "number", "age": "age", "best": "best",
    "limits": "limits", "late": "late", "notes": "notes",
    "no": "number", "nr": "number", "years": "age", "note": "notes",
    "nummer": "number", "alter": "age", "jahre": "age", "grenzen": "limits", "bemerkung": "notes",
}  # fmt: skip
#: Likeness, 0 to 100, from which on an unknown heading is taken for a mistyped one.
MISTYPED = 75.0
#: Ages in years that a person in a group can have.
YEARS = range(3, 111)
_YES = {"yes": True, "true": True, "1": True, "x": True, "ja": True,
        "no": False, "false": False, "0": False, "nein": False}  # fmt: skip


def read_table(path: Path) -> Document:
    """A table of people as the document that a TOML file would be, lines kept."""
    text = _text(path)
    first = text.partition("\n")[0]
    mark = max(",;\t", key=first.count)
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=mark)
    people: list[dict[str, Any]] = []
    lines: dict[Key, int] = {}
    try:
        head = _headings(path, next(rows, []))
        for row in rows:
            cells = [cell.strip() for cell in row]
            if any(cells):
                key: Key = ("people", len(people))
                lines[key] = rows.line_num
                people.append(_person(path, rows.line_num, head, cells, mark))
    except csv.Error as error:
        raise FileError(path, f"is no table: {error}", line=rows.line_num) from error
    return Document(path, {"people": people}, lambda: lines)


def _text(path: Path) -> str:
    try:
        raw = path.read_bytes()
    except OSError as error:
        reason = error.strerror or str(error)
        raise FileError(path, f"can't be read: {reason}", file_advice(path)) from error
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return raw.decode("utf-16", "replace")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return raw.decode("cp1252", "replace")


def _headings(path: Path, row: Sequence[str]) -> list[str]:
    """What each column is of a roster, '' for one that it does not know."""
    head: list[str] = []
    for at, cell in enumerate(row, 1):
        name = cell.strip().lower()
        known = COLUMNS.get(name, "")
        if known and known in head:
            raise FileError(path, f"column {at}: {known!r} is there twice", line=1)
        near = max((fuzz.ratio(name, one) for one in COLUMNS), default=0.0)
        if name and not known and near >= MISTYPED:
            what = f"column {at}: {name!r} is no column of a roster"
            raise FileError(path, what, advice(name, tuple(COLUMNS)), line=1)
        head.append(known)
    return head


def _person(
    path: Path, line: int, head: Sequence[str], cells: Sequence[str], mark: str
) -> dict[str, Any]:
    if any(cells[len(head) :]):
        what = f"{len(cells)} cells, and {len(head)} columns"
        raise FileError(path, what, f"Quote a cell that holds {mark!r}.", line=line)
    found: dict[str, Any] = {}
    for at, (name, cell) in enumerate(zip(head, cells, strict=False), 1):
        if name and cell:
            found[name] = _value(path, line, at, name, cell)
    return found


def _value(path: Path, line: int, column: int, name: str, cell: str) -> Any:
    if name == "limits":
        parts = cell.replace(";", ",").replace("/", ",").split(",")
        return [part.strip() for part in parts if part.strip()]
    if name == "number":
        return int(cell) if cell.isdecimal() else cell
    if name == "late":
        return _YES.get(cell.lower(), cell)
    if name == "age" and cell.isdecimal():
        return _band(path, line, column, int(cell))
    return cell


def _band(path: Path, line: int, column: int, years: int) -> str:
    if years not in YEARS:
        what = f"column {column}: nobody is {years} years old"
        raise FileError(path, what, "Years, or under-16, under-18, adult.", line=line)
    young = AgeBand.UNDER_16 if years < 16 else AgeBand.UNDER_18
    return (young if years < 18 else AgeBand.ADULT).value
