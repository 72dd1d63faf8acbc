"""Large letters can be told apart, fit, and are large enough for four metres."""

from itertools import combinations
from math import atan, degrees

import pytest

from coach.screen.band import MARGIN, SIZES, band, size_for
from coach.screen.glyphs import _EARS, _LETTERS, HIGH, big, big_ear, rows_of, spells
from coach.screen.rows import row_cells, row_text
from coach.screen.shapes import ASCII, BLOCKS, CONSOLE
from coach.session.view import Ear, Word
from tests.screen.scene import VIEWS, face

SHOWN_SIZES = [(80, 24), (120, 40), (200, 60), (60, 20)]


def dots(lines: str) -> list[str]:
    return lines.split()


@pytest.mark.parametrize("letter", _LETTERS)
def test_each_letter_is_a_block_of_five_rows(letter: str) -> None:
    lines = dots(_LETTERS[letter])
    assert len(lines) == HIGH
    assert len({len(line) for line in lines}) == 1


def test_any_two_letters_differ_in_two_dots_or_more() -> None:
    solid = {letter: lines for letter, lines in _LETTERS.items() if letter != " "}
    for (one, these), (other, those) in combinations(solid.items(), 2):
        if len(these) == len(those):
            differing = sum(a != b for a, b in zip(these, those, strict=True))
            # D and O, U and V, 5 and S: two dots are a fifth of a letter's outline
            assert differing >= 2, (one, other)


def test_the_three_signs_of_the_ear_differ_in_most_of_their_outline() -> None:
    for one, other in combinations(Ear, 2):
        differing = sum(a != b for a, b in zip(_EARS[one], _EARS[other], strict=True))
        assert differing >= 10


@pytest.mark.parametrize("shapes", [BLOCKS, ASCII, CONSOLE])
@pytest.mark.parametrize("tall", [1, 2, 3, 4])
def test_letters_are_as_high_as_asked_and_full_of_both_kinds(shapes: object, tall: int) -> None:
    lines = big("Stay", tall, 1, shapes)  # type: ignore[arg-type]
    assert len(lines) == rows_of(tall)
    assert len({len(line) for line in lines}) == 1
    assert big("stay", tall, 1, shapes) == lines  # type: ignore[arg-type]


def test_a_dot_grows_both_ways() -> None:
    assert big(":", 2, 2, BLOCKS) == ("  ", "██", "  ", "██", "  ")
    assert big(":", 4, 1, BLOCKS) == tuple("  ██  ██  ")
    assert big_ear(Ear.SHUT, 2, 1, BLOCKS)[2] == "█" * 7


def test_a_letter_that_the_table_lacks_is_told() -> None:
    assert spells("off 12:30")
    assert not spells("쉬기")


@pytest.mark.parametrize("word", Word)
@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size.columns}x{size.rows}")
def test_every_word_fits_every_size_in_large_letters(word: Word, size: object) -> None:
    view = VIEWS["stay"].__class__(
        **{field: getattr(VIEWS["stay"], field) for field in VIEWS["stay"].__slots__}
        | {"word": word, "counts_to": 5999.0}
    )
    columns = size.columns  # type: ignore[attr-defined]
    lines = band(view, 0.0, columns, size, face())  # type: ignore[arg-type]
    assert len(lines) == size.height  # type: ignore[attr-defined]
    assert all(row_cells(line) <= columns - MARGIN for line in lines)
    letters = "".join(row_text(line) for line in lines)
    assert set(letters) <= set(" █▀▄"), "a word was too wide and came as plain text"


@pytest.mark.parametrize(("columns", "rows"), SHOWN_SIZES)
def test_letters_have_three_rows_or_more(columns: int, rows: int) -> None:
    size = size_for(columns, rows)
    assert size is not None
    assert rows_of(size.tall) >= 3


@pytest.mark.parametrize(("columns", "rows"), [(80, 24), (120, 40), (200, 60)])
def test_letters_stand_under_20_minutes_of_arc_at_4_m(columns: int, rows: int) -> None:
    # ISO 9241-303: 20 to 22 minutes of arc are recommended for reading (from memory). A panel of
    # 190 mm is that of a 14 inch 16:10 laptop; the terminal fills it.
    size = size_for(columns, rows)
    assert size is not None
    dots_high = HIGH * size.tall / 2
    millimetres = dots_high * 190 / rows
    assert degrees(atan(millimetres / 4000)) * 60 >= 20


def test_below_the_sizes_words_are_plain() -> None:
    assert size_for(51, 20) is None
    assert size_for(60, 15) is None
    (line,) = band(VIEWS["sore"], 0.0, 60, None, face())
    assert row_text(line) == "REST   2:05   ear open"
