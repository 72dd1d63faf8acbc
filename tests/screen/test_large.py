"""The large view: what can be read from afar, and that it fits."""

from dataclasses import replace
from math import pi

import pytest

from coach.screen.large import CAPITAL, INCH, PAGE_STAYS, draw_large, legible, readable
from coach.screen.rows import row_cells, row_text
from coach.screen.shapes import ASCII, BLOCKS
from tests.screen.scene import VIEWS, face

LINES = (
    ("board 1", "2", "5"),
    ("board 2", "7", ""),
    ("low wall", "1  3  4  8", "6  9"),
    ("mat", "5  6  9  10  11  12", ""),
)


@pytest.mark.parametrize(
    ("metres", "arc", "height"),
    [
        (4, 16, 18.62),
        (4, 20, 23.27),
        (4.5, 16, 20.94),
        (5, 16, 23.27),
        (5, 20, 29.09),
        (5, 22, 32.00),
    ],
)
def test_a_row_is_as_high_as_the_character_height_rule_asks(
    metres: float, arc: float, height: float
) -> None:
    """NUREG-0700 1.3.1-4: h = 6.283 D MA / 21600; the figures in mm are its, at 0.01."""
    assert 2 * pi * metres * 1000 * arc / 21600 == pytest.approx(height, abs=0.01)
    _, rows = legible(50, metres, arc)
    high = 50 * INCH * 9 / (16**2 + 9**2) ** 0.5

    assert high / rows * CAPITAL >= height - 0.01
    assert high / (rows + 1) * CAPITAL < height


def test_fifty_inches_at_five_metres_are_seventeen_rows() -> None:
    assert legible(50.0, 5.0) == (59, 17)


@pytest.mark.parametrize("shapes", [BLOCKS, ASCII])
@pytest.mark.parametrize(("columns", "rows"), [(59, 17), (47, 13), (20, 6), (120, 40), (3, 2)])
@pytest.mark.parametrize("name", [*VIEWS, ""])
def test_it_fits(columns: int, rows: int, name: str, shapes: object) -> None:
    view = VIEWS[name] if name else None
    for lines in ((), LINES):
        drawn = draw_large(view, lines, 10.0, columns, rows, face(shapes))  # type: ignore[arg-type]
        assert len(drawn) == rows
        if columns >= 20:
            assert max(row_cells(line) for line in drawn) <= columns


def test_everybody_is_on_it_at_that_size() -> None:
    drawn = draw_large(VIEWS["stay"], LINES, 10.0, 59, 17, face())
    text = "\n".join(map(row_text, drawn))

    for number in range(1, 13):
        assert f" {number}" in text


def test_thirty_people_fit_as_well() -> None:
    wall = "  ".join(str(n) for n in range(1, 13))
    mat = "  ".join(str(n) for n in range(13, 31))
    lines = (("wall", wall, ""), ("mat", mat, ""))

    text = "\n".join(map(row_text, draw_large(VIEWS["stay"], lines, 10.0, 59, 17, face())))
    assert all(str(n) in text.split() for n in range(1, 31))


def test_without_a_time_the_word_is_large() -> None:
    view = replace(VIEWS["stay"], counts_to=None, counts_from=None, stands_at=None)

    assert draw_large(view, LINES, 10.0, 59, 17, face()) != draw_large(
        VIEWS["stay"], LINES, 10.0, 59, 17, face()
    )


@pytest.mark.parametrize("people", [12, 30, 60])
@pytest.mark.parametrize("size", [(59, 17), (120, 40), (40, 12)])
def test_everybody_is_shown_on_some_page(people: int, size: tuple[int, int]) -> None:
    here = "  ".join(str(100 + n) for n in range(people))
    lines = (("wall", here, here), ("mat", "", ""))
    seen: set[str] = set()
    for page in range(40):
        drawn = draw_large(VIEWS["stay"], lines, page * PAGE_STAYS, *size, face())
        assert len(drawn) == size[1]
        seen |= {word for line in drawn for word in row_text(line).split()}

    assert {str(100 + n) for n in range(people)} <= seen


def test_what_is_legible_from_so_far_is_readable_from_there() -> None:
    for metres in (3.0, 5.0, 10.0):
        _, rows = legible(65.0, metres)
        assert readable(65.0, rows) >= metres > readable(65.0, rows + 1)
