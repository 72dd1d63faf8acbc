"""The one owner of stdout: what a program or a person asked to read, and nothing else."""

import json
import sys
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields, is_dataclass
from typing import Any


def line(text: str = "") -> None:
    """Write one line, at once."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def lines(texts: Iterable[str]) -> None:
    """Write lines."""
    for text in texts:
        line(text)


def table(rows: Iterable[Sequence[str]], *, indent: str = "") -> None:
    """Write rows in columns as wide as their widest cell; the last column is left as it is."""
    cells = [tuple(row) for row in rows]
    columns = max((len(row) for row in cells), default=0)
    widths = [max(len(row[i]) for row in cells if i < len(row)) for i in range(columns)]
    for row in cells:
        padded = (cell.ljust(width) for cell, width in zip(row, widths, strict=False))
        line((indent + "  ".join(padded)).rstrip())


def document(value: Any) -> None:
    """Write one JSON document; a dataclass becomes an object, a time or a path its text."""
    line(json.dumps(value, default=_plain, indent=2, ensure_ascii=False))


def _plain(value: Any) -> Any:
    """What JSON has no form for."""
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: getattr(value, field.name) for field in fields(value)}
    if isinstance(value, Mapping):
        return dict(value)
    if isinstance(value, set | frozenset):
        return sorted(value)
    return str(value)
