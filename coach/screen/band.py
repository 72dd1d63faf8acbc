"""What is read from the mat: one word, the time and the ear, in letters three rows high or more.

At 4 m a letter must be about 23 mm high to stand under 20 minutes of arc (ISO 9241-303 recommends
20 to 22; from memory). The sizes below keep it above an eighth of the screen's height, which is
that on a panel of 190 mm.
"""

from dataclasses import dataclass

from coach.screen.face import Face, shown_time
from coach.screen.glyphs import big, big_ear, rows_of, spells
from coach.screen.rows import EMPTY, Look, Row, Rows, Span, cells, cut, row, row_cells
from coach.session.view import View

#: Columns left free at either side of everything.
MARGIN = 1
#: Columns between two things that stand side by side.
GAP = 2


@dataclass(frozen=True, slots=True)
class Size:
    """Letters of one size on a terminal of at least so many columns and rows."""

    columns: int
    rows: int
    tall: int
    """Half rows a dot."""
    wide: int
    """Columns a dot."""
    stacked: bool
    """The time stands below the word instead of beside it."""

    @property
    def height(self) -> int:
        """Rows that the band takes."""
        return rows_of(self.tall) * 2 + 1 if self.stacked else rows_of(self.tall)


#: From the largest on.
SIZES = (
    Size(160, 54, 4, 3, stacked=True),
    Size(100, 54, 4, 2, stacked=True),
    Size(160, 38, 3, 2, stacked=False),
    Size(100, 38, 3, 2, stacked=True),
    Size(160, 24, 2, 2, stacked=False),
    Size(80, 24, 2, 1, stacked=False),
    Size(52, 16, 1, 1, stacked=True),
)


def size_for(columns: int, rows: int) -> Size | None:
    """The largest size that the terminal has room for; None if only plain words fit."""
    return next((size for size in SIZES if columns >= size.columns and rows >= size.rows), None)


def band(view: View, now: float, columns: int, size: Size | None, face: Face) -> Rows:
    """The word, the time and the ear: `size.height` rows, or one row of plain words."""
    word = face.label(f"word-{view.word.value}")
    time = shown_time(view, now)
    if size is None:
        parts = (word.upper(), time, face.label(f"ear-{view.ear.value}"))
        text = "   ".join(part for part in parts if part)
        return (row(cut(text, columns, face.shapes.ellipsis), Look.STRONG),)
    room = columns - 2 * MARGIN
    ear = big_ear(view.ear, size.tall, size.wide, face.shapes)
    clock = _letters(time, size, room, face)
    if size.stacked:
        name = _letters(word, size, room - len(ear[0]) - GAP, face)
        return (*_spread((name, ear), room), EMPTY, *_spread((clock,), room))
    name = _letters(word, size, room - len(ear[0]) - cells(clock[0]) - 2 * GAP, face)
    return _spread((name, clock, ear), room)


def _letters(text: str, size: Size, room: int, face: Face) -> tuple[str, ...]:
    """Text in large letters; spaced plain ones where the table lacks a letter or room is short."""
    if not text:
        return ("",) * rows_of(size.tall)
    if spells(text):
        large = big(text, size.tall, size.wide, face.shapes)
        if cells(large[0]) <= room:
            return large
    plain = cut(" ".join(text.upper()), room, face.shapes.ellipsis)
    lines = [" " * cells(plain)] * rows_of(size.tall)
    lines[len(lines) // 2] = plain
    return tuple(lines)


def _spread(blocks: tuple[tuple[str, ...], ...], room: int) -> Rows:
    """Blocks of equal height side by side: the first at the left, the others at the right."""
    lines: list[Row] = []
    for parts in zip(*blocks, strict=True):
        right = (" " * GAP).join(parts[1:])
        space = room - cells(parts[0]) - cells(right)
        line: Row = (Span(" " * MARGIN), Span(parts[0] + " " * space + right, Look.STRONG))
        lines.append(line if row_cells(line) > MARGIN else EMPTY)
    return tuple(lines)
