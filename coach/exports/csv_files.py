"""Tables as CSV (RFC 4180, UTF-8): a folder with one file for each table that has rows.

An empty field is no value. Times are ISO 8601 with their offset from UTC.
"""

import csv
from collections.abc import Iterable
from contextlib import ExitStack
from datetime import datetime
from pathlib import Path
from typing import Any

from coach.exports.tables import SESSIONS, Cell, ExportedSession, columns, rows
from coach.exports.whole import whole_folder


def write_csv(sessions: Iterable[ExportedSession], to: Path) -> dict[str, int]:
    """Write a new folder; rows by table. CoachError when it can't be written."""
    counts: dict[str, int] = {}
    writers: dict[str, Any] = {}
    with whole_folder(to) as part, ExitStack() as files:

        def writer(table: str) -> Any:
            if table not in writers:
                path = part / f"{table}.csv"
                opened = files.enter_context(path.open("w", encoding="utf-8", newline=""))
                writers[table] = csv.writer(opened)
                writers[table].writerow(column.name for column in columns(table))
            return writers[table]

        writer(SESSIONS)
        for table, cells in rows(sessions):
            counts[table] = counts.get(table, 0) + 1
            writer(table).writerow(map(_text, cells))
    return counts


def _text(cell: Cell) -> str | int | float:
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "true" if cell else "false"
    return cell.isoformat() if isinstance(cell, datetime) else cell
