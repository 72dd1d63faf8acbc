"""The large view: what a whole room reads from afar, on a projector or a television.

Nothing in it is about anybody's age or reasons. It fits a terminal of 59 columns and 17 rows, the
most of which each letter can be read at 5 m on a screen of 50 inches (see `legible`).
"""

from collections.abc import Sequence
from math import hypot, radians, tan

from coach.screen.face import Face, left_label, shown_time
from coach.screen.glyphs import big, rows_of, spells
from coach.screen.rows import EMPTY, Look, Row, Rows, Span, cells, row
from coach.session.view import View

#: Least angle of a capital letter, in minutes of arc (ISO 9241-3 as quoted by handbooks;
#: NUREG-0700 1.3.1-4 has the same least and prefers 20 to 22).
LEAST_ARC = 16.0
#: Height of a capital letter as a share of its row, and width of a column as a share of a row:
#: common practice for terminal fonts, measured on the one in the picture of docs/group.md.
CAPITAL, COLUMN = 0.64, 0.513
INCH = 25.4
#: Seconds for which a page of stations stays, where they don't fit one.
PAGE_STAYS = 8.0

#: A station as it is drawn: its name, who is there, who comes next.
Line = tuple[str, str, str]


def legible(
    inches: float, metres: float, arc: float = LEAST_ARC, shape: tuple[float, float] = (16, 9)
) -> tuple[int, int]:
    """Most columns and rows of which letters can be read from so far away.

    A capital of height h at distance d is seen under arc minutes of arc: h = d tan(arc / 60 deg).
    """
    wide, high = shape
    height = inches * INCH * high / hypot(wide, high)
    width = inches * INCH * wide / hypot(wide, high)
    letter = metres * 1000.0 * tan(radians(arc / 60.0))
    tall = letter / CAPITAL
    return int(width / (tall * COLUMN)), int(height / tall)


def readable(inches: float, rows: int, arc: float = LEAST_ARC) -> float:
    """Metres from which capitals can be read where a 16:9 screen holds so many rows.

    The inverse of `legible`: d = h / tan(arc / 60 deg).
    """
    height = inches * INCH * 9 / hypot(16, 9)
    return height / rows * CAPITAL / tan(radians(arc / 60.0)) / 1000.0


def draw_large(
    view: View | None, lines: Sequence[Line], now: float, columns: int, rows: int, face: Face
) -> Rows:
    """The large view in exactly `rows` rows of at most `columns` columns."""
    if view is None:
        words = face.label("large-waiting")
        return _filled([EMPTY] * (rows // 2) + [_centred(words, columns, Look.STRONG)], rows)
    clock = shown_time(view, now)
    word = face.label(f"word-{view.word.value}")
    drawn: list[Row] = _clock(clock or word.upper(), columns, rows, face)
    drawn.append(EMPTY)
    left = left_label(view, now, face)
    head = face.say(view.step)
    if clock and not lines:
        head = f"{head} {face.shapes.dot} {word}"
    drawn.append(_ends(head, left, columns))
    drawn.append(EMPTY)
    if lines:
        drawn += _paged(_table(lines, columns, face), rows - len(drawn), columns, now)
    else:
        drawn += [row(text) for text in _wrapped(face.say(view.cue), columns)]
    return _filled(drawn, rows)


def _clock(text: str, columns: int, rows: int, face: Face) -> list[Row]:
    """The time, or the word, as large as the upper third allows."""
    text = text if spells(text) else ""
    for tall, wide in ((4, 4), (3, 3), (2, 2), (1, 1)):
        if rows_of(tall) <= rows // 3:
            made = big(text, tall, wide, face.shapes)
            if cells(made[0]) <= columns:
                return [_centred(line, columns, Look.MARK) for line in made]
    return [_centred(text, columns, Look.MARK)]


def _paged(stations: list[list[Row]], rows: int, columns: int, now: float) -> list[Row]:
    """The stations in so many rows; more than fit turn over in pages, and the last row says so."""
    if sum(map(len, stations)) <= rows:
        return [line for station in stations for line in station]
    room = max(rows - 1, 1)
    pages: list[list[Row]] = [[]]
    for line in (line for station in stations for line in station):
        if len(pages[-1]) == room:
            pages.append([])
        pages[-1].append(line)
    at = int(now // PAGE_STAYS) % len(pages)
    shown = pages[at] + [EMPTY] * (room - len(pages[at]))
    return [*shown, _ends("", f"{at + 1} / {len(pages)}", columns)]


def _table(lines: Sequence[Line], columns: int, face: Face) -> list[list[Row]]:
    """The rows of each station: its name, who is there, and after an arrow who comes next."""
    wide = min(max(len(name) for name, _, _ in lines) + 2, columns // 2)
    found: list[list[Row]] = []
    for name, here, soon in lines:
        drawn: list[Row] = []
        found.append(drawn)
        texts = _wrapped(here, columns - wide) or [""]
        for n, text in enumerate(texts):
            label = name[: wide - 1] if n == 0 else ""
            drawn.append((Span(label.ljust(wide), Look.STRONG), Span(text)))
        if soon:
            arrow = f"{face.shapes.arrow} "
            drawn += [
                (Span(" " * wide), Span(arrow if n == 0 else "  ", Look.MARK), Span(text))
                for n, text in enumerate(_wrapped(soon, columns - wide - 3))
            ]
    return found


def _wrapped(text: str, columns: int) -> list[str]:
    found: list[str] = []
    for word in text.split():
        if found and cells(found[-1]) + 1 + cells(word) <= columns:
            found[-1] += f" {word}"
        else:
            found.append(word[:columns])
    return found


def _ends(left: str, right: str, columns: int) -> Row:
    room = columns - cells(left) - cells(right)
    if room < 1:
        return row(left[:columns], Look.STRONG)
    return (Span(left, Look.STRONG), Span(" " * room), Span(right))


def _centred(text: str, columns: int, look: Look) -> Row:
    return row(" " * max((columns - cells(text)) // 2, 0) + text, look)


def _filled(drawn: list[Row], rows: int) -> Rows:
    return tuple((*drawn, *[EMPTY] * rows)[:rows])
