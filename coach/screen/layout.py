"""The whole screen as rows of text: slope above, what is read from afar in the middle, near below.

Pure: a view, a time and a size in, exactly that many rows out, none wider than the terminal.
"""

from coach.screen.band import MARGIN, band, size_for
from coach.screen.face import Face, share_done
from coach.screen.keys import Hint
from coach.screen.link_codes import Code, Codes, beside, beside_columns, fits
from coach.screen.near import answer_parts, stack, step_parts
from coach.screen.rows import EMPTY, Look, Row, Rows, Span, cut, cut_row, padded, row
from coach.screen.slope import block_names, columns_of, draw_slope
from coach.session.view import View

#: The least that the full layout needs.
FULL_COLUMNS, FULL_ROWS = 80, 24
#: Rows for near reading and for the slope at that size; of each row more, the slope gets three
#: quarters, up to its most.
NEAR_ROWS, SLOPE_ROWS = 11, 6
MOST_SLOPE_ROWS = 24
#: From here on what to do and what to answer stand side by side.
TWO_COLUMNS = 150


def draw(
    view: View,
    now: float,
    columns: int,
    rows: int,
    face: Face,
    hint: Hint | None = None,
    codes: Codes | None = None,
) -> Rows:
    """The screen in exactly `rows` rows of at most `columns` columns."""
    if columns < 1 or rows < 1:
        return ()
    code = codes.shown() if codes is not None else None
    if code is not None and not face.shapes.ascii and _has_room(code, columns, rows):
        lines = _with_code(view, now, columns, rows, face, hint, code)
    elif columns < FULL_COLUMNS or rows < FULL_ROWS:
        lines = _small(view, now, columns, rows, face, hint)
    else:
        lines = _full(view, now, columns, rows, face, hint, codes is not None)
    return tuple(cut_row(line, columns, face.shapes.ellipsis) for line in lines)


def _has_room(code: Code, columns: int, rows: int) -> bool:
    size = size_for(columns, rows)
    return size is not None and fits(code, columns - 2 * MARGIN, rows - size.height - 1)


def _with_code(
    view: View, now: float, columns: int, rows: int, face: Face, hint: Hint | None, code: Code
) -> Rows:
    """A code in the place of the slope, beside what is read near."""
    middle = band(view, now, columns, size_for(columns, rows), face)
    free = rows - len(middle) - 1
    room = beside_columns(code, columns - 2 * MARGIN)
    parts = step_parts(view, now, room, face) + answer_parts(view, room, face, hint)
    near = stack(parts, room, free, face)
    return (*middle, EMPTY, *_indented(beside(code, near, face)))


def _full(
    view: View,
    now: float,
    columns: int,
    rows: int,
    face: Face,
    hint: Hint | None,
    phones: bool,
) -> Rows:
    room = columns - 2 * MARGIN
    size = size_for(columns, rows)
    middle = band(view, now, columns, size, face)
    free = rows - len(middle) - 2
    extra = free - NEAR_ROWS - SLOPE_ROWS
    slope_rows = min(SLOPE_ROWS + extra - extra // 4, MOST_SLOPE_ROWS)
    near_rows = free - slope_rows
    return (
        *_indented(_slope(view, now, room, slope_rows, face)),
        EMPTY,
        *middle,
        EMPTY,
        *_indented(_near(view, now, room, near_rows, face, hint, phones=phones)),
    )


def _slope(view: View, now: float, columns: int, rows: int, face: Face) -> Rows:
    drawn = draw_slope(
        columns_of(view.slope, columns, share_done(view, now)), rows - 1, face.shapes
    )
    return (*drawn, block_names(view.slope, columns, lambda block: face.label(f"block-{block}")))


def _near(
    view: View,
    now: float,
    columns: int,
    rows: int,
    face: Face,
    hint: Hint | None,
    *,
    phones: bool = False,
) -> Rows:
    if columns < TWO_COLUMNS - 2 * MARGIN:
        parts = step_parts(view, now, columns, face)
        parts += answer_parts(view, columns, face, hint, phones=phones)
        return stack(parts, columns, rows, face)
    half = (columns - 4) // 2
    left = stack(step_parts(view, now, half, face), half, rows, face)
    right = stack(answer_parts(view, half, face, hint, phones=phones), half, rows, face)
    return tuple((*padded(one, half + 4), *other) for one, other in zip(left, right, strict=True))


def _small(view: View, now: float, columns: int, rows: int, face: Face, hint: Hint | None) -> Rows:
    """Below the full size: no slope, and a line that says so where there is room for one."""
    wanted = face.label("show-small", columns=FULL_COLUMNS, rows=FULL_ROWS)
    size = size_for(columns, rows)
    middle = band(view, now, columns, size, face)
    free = rows - len(middle)
    if free < 1:
        return middle[:rows]
    gap: Rows = (EMPTY,) if size is not None else ()
    notice: Rows = ()
    if free > 4:
        notice = (row(cut(wanted, columns - 2 * MARGIN, face.shapes.ellipsis), Look.FAINT),)
    room = columns - 2 * MARGIN if size is not None else columns
    near_rows = free - len(gap) - len(notice)
    near = _near(view, now, room, near_rows, face, hint)
    below = (*near, *notice)
    return (*middle, *gap, *(_indented(below) if size is not None else below))


def _indented(lines: Rows) -> Rows:
    return tuple(_indent(line) for line in lines)


def _indent(line: Row) -> Row:
    return (Span(" " * MARGIN), *line) if line else EMPTY
