"""A TOML file as values whose places are known, and the errors that point at them.

It alone turns a place in a file into a FileError, whatever found the mistake: tomllib, pydantic
or a check between tables.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from tomllib import TOMLDecodeError, loads
from typing import Any

from coach.errors import FileError
from coach.files.names import file_advice
from coach.files.positions import Key, lines_of

_SYNTAX_LINE = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)")


@dataclass(frozen=True, slots=True)
class Document:
    """One file: its values, and a way to the line of each, which only an error goes."""

    path: Path
    values: Mapping[str, Any]
    lines: Callable[[], Mapping[Key, int]] = field(repr=False)

    @property
    def name(self) -> str:
        """What other files call it: the file's name without its ending."""
        return self.path.stem

    def error(self, key: Key, what: str, do: str = "") -> FileError:
        """The error that points at a key, or at the nearest table around it that stands there."""
        lines = self.lines()
        known = next((key[:n] for n in range(len(key), 0, -1) if key[:n] in lines), ())
        return FileError(self.path, what, do, line=lines.get(known, 1), key=dotted(key))


def read(path: Path) -> Document:
    """Read a file; FileError if it can't be read or is not TOML."""
    try:
        text = path.read_bytes().decode("utf-8")
    except OSError as error:
        reason = error.strerror or str(error)
        raise FileError(path, f"can't be read: {reason}", file_advice(path)) from error
    except UnicodeDecodeError as error:
        line = error.object.count(b"\n", 0, error.start) + 1
        raise FileError(path, "is not UTF-8 text", "Save it as UTF-8.", line=line) from error
    text = text.replace("\r\n", "\n")
    try:
        values = loads(text)
    except TOMLDecodeError as error:
        found = _SYNTAX_LINE.search(str(error))
        last = text.count("\n") + 1
        line = int(found.group(1) or last) if found else last
        what = f"is not TOML: {_SYNTAX_LINE.sub('', str(error))}"
        raise FileError(path, what, "Mend that line; toml.io explains.", line=line) from error
    return Document(path, values, partial(lines_of, text))


def dotted(key: Key) -> str:
    """A key as an error shows it; places in arrays are counted from 1: 'blocks[2].floor'."""
    shown = ""
    for part in key:
        if isinstance(part, int):
            shown += f"[{part + 1}]"
        else:
            shown += f".{part}" if shown else part
    return shown
