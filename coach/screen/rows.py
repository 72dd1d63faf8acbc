"""Rows of text with a look, and how wide text is on a terminal.

Everything that is drawn is a tuple of rows, so that a terminal program, a snapshot or a larger
view can show the same drawing. This module alone knows the looks and the widths.
"""

import unicodedata
from collections.abc import Iterable
from enum import StrEnum
from typing import NamedTuple


class Look(StrEnum):
    """How a piece of text stands out. A look never carries a meaning that the text does not."""

    PLAIN = "plain"
    STRONG = "strong"
    FAINT = "faint"
    #: where we are, and the keys: the one accent
    MARK = "mark"
    #: dark on light, whatever the terminal's colours are
    CODE = "code"


class Span(NamedTuple):
    """A piece of one row."""

    text: str
    look: Look = Look.PLAIN


Row = tuple[Span, ...]
Rows = tuple[Row, ...]

EMPTY: Row = ()


def row(text: str, look: Look = Look.PLAIN) -> Row:
    """One row of one look."""
    return (Span(text, look),) if text else EMPTY


def cells(text: str) -> int:
    """Columns that text takes: wide letters (East Asian Width W and F, UAX 11) take two."""
    if text.isascii():
        return len(text)
    return sum(
        0 if unicodedata.combining(char) else 2 if unicodedata.east_asian_width(char) in "WF" else 1
        for char in text
    )


def row_cells(line: Row) -> int:
    """Columns that a row takes."""
    return sum(cells(span.text) for span in line)


def row_text(line: Row) -> str:
    """A row without its looks."""
    return "".join(span.text for span in line)


def cut(text: str, columns: int, ellipsis: str) -> str:
    """Text that takes at most so many columns, with an ellipsis where something was left out."""
    if cells(text) <= columns:
        return text
    if columns <= cells(ellipsis):
        return ellipsis[: max(columns, 0)]
    kept = ""
    for char in text:
        if cells(kept + char) > columns - cells(ellipsis):
            break
        kept += char
    return kept.rstrip() + ellipsis


def cut_row(line: Row, columns: int, ellipsis: str) -> Row:
    """A row that takes at most so many columns."""
    if row_cells(line) <= columns:
        return line
    spans: list[Span] = []
    left = columns
    for span in line:
        text = cut(span.text, left, ellipsis)
        spans.append(Span(text, span.look))
        left -= cells(text)
        if text != span.text or left <= 0:
            break
    return tuple(spans)


def wrap(text: str, columns: int) -> list[str]:
    """Text in lines of at most so many columns, broken at spaces; a longer word stays whole."""
    lines: list[str] = []
    for word in text.split():
        if lines and cells(lines[-1]) + 1 + cells(word) <= columns:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def flow(items: Iterable[Row], columns: int, gap: int = 3) -> list[Row]:
    """Short rows side by side, as many on a line as fit."""
    lines: list[Row] = []
    for item in items:
        if lines and row_cells(lines[-1]) + gap + row_cells(item) <= columns:
            lines[-1] = (*lines[-1], Span(" " * gap), *item)
        else:
            lines.append(item)
    return lines


def padded(line: Row, columns: int) -> Row:
    """A row filled with spaces to so many columns."""
    short = columns - row_cells(line)
    return (*line, Span(" " * short)) if short > 0 else line
