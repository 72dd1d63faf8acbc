"""Rosters as any spreadsheet saves them: commas, semicolons or tabs, UTF-8 or Latin-1.

Columns that a roster does not know are left alone, unless one is nearly the name of one that it
does; ages may be in years. A mistake is told with its line and its column.
"""

import csv
import io
import re
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
    "first name": "name", "full name": "name", "vorname": "name", "years old": "age",
    # near to a column and none
    "last name": "", "family name": "", "surname": "", "nachname": "", "nickname": "",
    "no": "number", "nr": "number", "years": "age", "note": "notes",
    "nummer": "number", "alter": "age", "jahre": "age", "grenzen": "limits", "bemerkung": "notes",
}  # fmt: skip
#: Where one of these is there, 'name' is the family's.
FIRST_NAMES = frozenset({"first name", "vorname"})
#: Likeness, 0 to 100, from which on an unknown heading is taken for a mistyped one.
MISTYPED = 75.0
#: Ages in years that a person in a group can have.
YEARS = range(3, 111)
#: "15", "15.0", "15 years", "15 Jahre", "18+".
_YEARS_TOLD = re.compile(
    r"(\d{1,3})(?:[.,]0+)?\s*(?:\+|y(?:ea)?rs?\.?|y\.?|jahre?|j\.?)?", re.IGNORECASE
)
_YES = {"yes": True, "true": True, "1": True, "x": True, "ja": True,
        "no": False, "false": False, "0": False, "nein": False}  # fmt: skip


def read_table(path: Path) -> Document:
    """A table of people as the document that a TOML file would be, lines kept."""
    text = _text(path)
    skipped, mark = _beginning(text)
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=mark)
    people: list[dict[str, Any]] = []
    lines: dict[Key, int] = {}
    try:
        for _ in range(skipped):
            next(rows, [])
        head = _headings(path, next(rows, []), skipped + 1)
        for row in rows:
            cells = [cell.strip() for cell in row]
            if any(cells):
                key: Key = ("people", len(people))
                lines[key] = rows.line_num
                people.append(_person(path, rows.line_num, head, cells, mark))
    except csv.Error as error:
        raise FileError(path, f"is no table: {error}", line=rows.line_num) from error
    return Document(path, {"people": people}, lambda: lines)


def _beginning(text: str) -> tuple[int, str]:
    """Lines before the headings, empty ones and Excel's 'sep=', and what parts the cells."""
    skipped, told = 0, ""
    for line in text.splitlines():
        bare = line.strip(" ,;\t")
        if bare.lower().startswith("sep=") or line.lower().startswith("sep="):
            told = line[4:5]
        elif bare:
            return skipped, told or max(",;\t", key=line.count)
        skipped += 1
    return skipped, told or ","


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


def _headings(path: Path, row: Sequence[str], line: int) -> list[str]:
    """What each column is of a roster, '' for one that it does not know."""
    head: list[str] = []
    names = [" ".join(cell.lower().split()) for cell in row]
    first = FIRST_NAMES.intersection(names)
    for at, name in enumerate(names, 1):
        known = COLUMNS.get(name, "")
        if known == "name" and first and name not in first:
            known = ""  # beside a first name it is the family's
        if known and known in head:
            raise FileError(path, f"column {at}: {known!r} is there twice", line=line)
        near = max((fuzz.ratio(name, one) for one in COLUMNS), default=0.0)
        if name and name not in COLUMNS and near >= MISTYPED:
            what = f"column {at}: {name!r} is no column of a roster"
            raise FileError(path, what, advice(name, tuple(COLUMNS)), line=line)
        head.append(known)
    if names and not any(head):
        what = f"no column of a roster is among {', '.join(map(repr, filter(None, names)))}"
        raise FileError(
            path, what, "The first line names the columns: name, age, limits.", line=line
        )
    return head


def _person(
    path: Path, line: int, head: Sequence[str], cells: Sequence[str], mark: str
) -> dict[str, Any]:
    if any(cells[len(head) :]):
        what = f"{len(cells)} cells, and {len(head)} columns"
        raise FileError(path, what, f"Quote a cell that holds {mark!r}.", line=line)
    found: dict[str, Any] = {}
    for at, (name, cell) in enumerate(zip(head, cells, strict=False), 1):
        if "\n" in cell and name not in ("", "notes"):
            what = f"column {at}: a cell holds several lines"
            raise FileError(path, what, "Look for a quote that is not closed.", line=line)
        if name and cell:
            found[name] = _value(path, line, at, name, cell)
    return found


def _value(path: Path, line: int, column: int, name: str, cell: str) -> Any:
    if name == "limits":
        return limits_told(cell)
    if name == "number":
        return int(cell) if cell.isdecimal() else cell
    if name == "late":
        return _YES.get(cell.lower(), cell)
    if name == "age" and (years := _YEARS_TOLD.fullmatch(cell)):
        band = _band(int(years[1]))
        if band is None:
            what = f"column {column}: nobody is {years[1]} years old"
            raise FileError(path, what, "Years, or under-16, under-18, adult.", line=line)
        return band.value
    return cell.lower() if name == "age" else cell


def limits_told(cell: str) -> list[str]:
    """Limits in one cell or line, parted by commas, semicolons or slashes."""
    parts = cell.replace(";", ",").replace("/", ",").split(",")
    return [part.strip() for part in parts if part.strip()]


def age_told(text: str) -> AgeBand | None:
    """The band of an age in years or by its name; None where it is neither."""
    years = _YEARS_TOLD.fullmatch(text.strip())
    if years:
        return _band(int(years[1]))
    return next((band for band in AgeBand if band.value == text.strip().lower()), None)


def _band(years: int) -> AgeBand | None:
    if years not in YEARS:
        return None
    young = AgeBand.UNDER_16 if years < 16 else AgeBand.UNDER_18
    return young if years < 18 else AgeBand.ADULT
