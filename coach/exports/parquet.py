"""Tables as Parquet, a folder with one file for each table that has rows.

Needs pyarrow. A row's time zone would be lost in a Parquet timestamp, so that `begun` is stored
as an instant in UTC and its offset beside it, in minutes.
"""

import json
from collections.abc import Iterable, Mapping
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from coach.distribution import add
from coach.errors import CoachError
from coach.exports.tables import Cell, Column, ExportedSession, columns, rows
from coach.exports.whole import whole_folder

if TYPE_CHECKING:
    import pyarrow as pa

FORMAT = "climbing-session-tables"
VERSION = "1"
#: Rows that are kept in memory before a group of them is written.
GROUP = 100_000
OFFSET = "begun_offset_minutes"


def write_parquet(
    sessions: Iterable[ExportedSession], to: Path, notes: Mapping[str, str] | None = None
) -> dict[str, int]:
    """Write a new folder; rows by table. `notes` (consent, origin) go into each file's metadata.

    CoachError when pyarrow is missing or the folder can't be written.
    """
    try:
        import pyarrow.parquet as pq
    except ImportError as error:
        raise CoachError(
            "Parquet needs the library pyarrow", f"{add('exports')}, or export CSV."
        ) from error
    counts: dict[str, int] = {}
    waiting: dict[str, list[tuple[Cell, ...]]] = {}
    writers: dict[str, pq.ParquetWriter] = {}
    with whole_folder(to) as part:

        def flush(table: str) -> None:
            if table not in writers:
                schema = schema_of(table, notes or {})
                path = part / f"{table}.parquet"
                writers[table] = pq.ParquetWriter(path, schema, compression="zstd")
            writers[table].write_table(_table(table, waiting[table], writers[table].schema))
            waiting[table] = []

        try:
            for table, cells in rows(sessions):
                counts[table] = counts.get(table, 0) + 1
                waiting.setdefault(table, []).append(cells)
                if len(waiting[table]) >= GROUP:
                    flush(table)
            for table in waiting:
                flush(table)
        finally:
            for writer in writers.values():
                writer.close()
    return counts


def schema_of(table: str, notes: Mapping[str, str]) -> "pa.Schema":
    """The Parquet schema of a table."""
    import pyarrow as pa

    kinds = {
        str: pa.string(),
        int: pa.int64(),
        float: pa.float64(),
        bool: pa.bool_(),
        datetime: pa.timestamp("us", tz="UTC"),
    }
    fields = []
    for column in columns(table):
        fields.append(pa.field(column.name, kinds[column.kind], nullable=column.optional))
        if column.kind is datetime:
            fields.append(pa.field(OFFSET, pa.int16(), nullable=False))
    told = {"format": FORMAT, "version": VERSION, "notes": json.dumps(dict(notes))}
    return pa.schema(fields, metadata=told)


def _table(table: str, cells: list[tuple[Cell, ...]], schema: "pa.Schema") -> "pa.Table":
    import pyarrow as pa

    data: list[list[Cell]] = []
    for i, column in enumerate(columns(table)):
        values = [row[i] for row in cells]
        data.append(values)
        if column.kind is datetime:
            data.append([_offset(value) for value in values])
    arrays = [
        pa.array(_as(column, values), type=field.type)
        for column, values, field in zip(_doubled(table), data, schema, strict=True)
    ]
    return pa.Table.from_arrays(arrays, schema=schema)


def _doubled(table: str) -> list[Column]:
    """The columns as stored: a time is followed by its offset."""
    found = []
    for column in columns(table):
        found.append(column)
        if column.kind is datetime:
            found.append(Column(OFFSET, int))
    return found


def _as(column: Column, values: list[Cell]) -> list[Cell]:
    """Whole numbers where a float is meant, as the model allows."""
    if column.kind is float:
        return [None if value is None else float(value) for value in values]  # type: ignore[arg-type]
    return values


def _offset(value: Cell) -> int:
    assert isinstance(value, datetime)
    offset = value.utcoffset()
    assert offset is not None
    return int(offset.total_seconds() // 60)
