"""Which line of a TOML text each key stands on, so that an error can say where.

`tomllib` reads and judges the text; this scanner only runs on text that tomllib accepted, so it
checks nothing and stays small. It alone knows TOML's layout; `tests/files/test_positions.py`
compares it with tomllib on generated documents.
"""

import re
import tomllib
from bisect import bisect_right
from collections.abc import Mapping

Key = tuple[str | int, ...]
"""Where a value stands: names, and places in arrays counted from 0."""

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_STRING = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}'
    r"|'''.*?'{3,5}"
    r'|"(?:[^"\\\n]|\\.)*"'
    r"|'[^'\n]*'",
    re.DOTALL,
)
_SCALAR = re.compile(r"[^,\]}#\n]+")


def lines_of(text: str) -> Mapping[Key, int]:
    """The line, from 1, of every key, table and array element of a valid TOML text."""
    return _Scanner(text).run()


class _Scanner:
    """One pass over the text; `at` is the next character."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.starts = [0, *(found.end() for found in re.finditer("\n", text))]
        self.lines: dict[Key, int] = {}
        self.last: dict[Key, int] = {}
        """Place of the newest table of each array of tables."""

    def run(self) -> dict[Key, int]:
        base: Key = ()
        self.blank()
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                base = self.header()
            else:
                self.pair(base)
            self.blank()
        return self.lines

    def blank(self) -> None:
        self.take(_BLANK)

    def take(self, pattern: re.Pattern[str]) -> str:
        found = pattern.match(self.text, self.at)
        assert found is not None, "only text that tomllib accepted is scanned"
        self.at = found.end()
        return found.group()

    def mark(self, key: Key) -> None:
        """Note the line of a key, and of the tables that it brings into being."""
        line = bisect_right(self.starts, self.at)
        for length in range(1, len(key) + 1):
            self.lines.setdefault(key[:length], line)

    def names(self) -> list[str]:
        """A key such as a.b."c d"; `at` ends on the first character that is not part of it."""
        parts: list[str] = []
        while True:
            self.blank()
            if self.text[self.at] in "\"'":
                parts.append(tomllib.loads(f"key = {self.take(_STRING)}")["key"])
            else:
                parts.append(self.take(_BARE))
            self.blank()
            if self.text[self.at] != ".":
                return parts
            self.at += 1

    def header(self) -> Key:
        brackets = 2 if self.text.startswith("[[", self.at) else 1
        self.at += brackets
        *parents, name = self.names()
        key: Key = ()
        for part in parents:
            key = self.newest((*key, part))
        key = (*key, name)
        if brackets == 2:
            self.last[key] = self.last.get(key, -1) + 1
            key = self.newest(key)
        self.mark(key)
        self.at += brackets
        return key

    def newest(self, key: Key) -> Key:
        """The table that a header names: the newest one, where it is an array of tables."""
        return (*key, self.last[key]) if key in self.last else key

    def pair(self, base: Key) -> None:
        start = self.at
        key = (*base, *self.names())
        value_at, self.at = self.at, start
        self.mark(key)
        self.at = value_at + 1
        self.blank()
        self.value(key)

    def value(self, key: Key) -> None:
        self.mark(key)
        opening = self.text[self.at]
        if opening in "\"'":
            self.take(_STRING)
        elif opening == "[":
            self.items(key, "]")
        elif opening == "{":
            self.items(key, "}")
        else:
            self.take(_SCALAR)

    def items(self, key: Key, closing: str) -> None:
        """What stands between the brackets of an array or an inline table."""
        self.at += 1
        self.blank()
        place = 0
        while self.text[self.at] != closing:
            if closing == "]":
                self.value((*key, place))
            else:
                self.pair(key)
            place += 1
            self.blank()
            if self.text[self.at] == ",":
                self.at += 1
                self.blank()
        self.at += 1
