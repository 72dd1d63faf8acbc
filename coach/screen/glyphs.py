"""Large letters: one table of five-by-five letters, drawn at any height from three rows up.

Only the letters, figures and the three signs of the ear are here; where they stand is
`coach.screen.band`.
"""

from math import ceil

from coach.screen.shapes import Shapes
from coach.session.view import Ear

#: Rows of a letter in dots.
HIGH = 5

_LETTERS = {
    "A": ".###. #...# ##### #...# #...#",
    "B": "####. #...# ####. #...# ####.",
    "C": ".#### #.... #.... #.... .####",
    "D": "####. #...# #...# #...# ####.",
    "E": "##### #.... ####. #.... #####",
    "F": "##### #.... ####. #.... #....",
    "G": ".#### #.... #..## #...# .####",
    "H": "#...# #...# ##### #...# #...#",
    "I": "### .#. .#. .#. ###",
    "J": "..### ...#. ...#. #..#. .##..",
    "K": "#...# #..#. ###.. #..#. #...#",
    "L": "#.... #.... #.... #.... #####",
    "M": "#...# ##.## #.#.# #...# #...#",
    "N": "#...# ##..# #.#.# #..## #...#",
    "O": ".###. #...# #...# #...# .###.",
    "P": "####. #...# ####. #.... #....",
    "Q": ".###. #...# #.#.# #..#. .##.#",
    "R": "####. #...# ####. #..#. #...#",
    "S": ".#### #.... .###. ....# ####.",
    "T": "##### ..#.. ..#.. ..#.. ..#..",
    "U": "#...# #...# #...# #...# .###.",
    "V": "#...# #...# #...# .#.#. ..#..",
    "W": "#...# #...# #.#.# ##.## #...#",
    "X": "#...# .#.#. ..#.. .#.#. #...#",
    "Y": "#...# .#.#. ..#.. ..#.. ..#..",
    "Z": "##### ...#. ..#.. .#... #####",
    "0": "##### #...# #...# #...# #####",
    "1": "..#.. .##.. ..#.. ..#.. .###.",
    "2": "####. ....# .###. #.... #####",
    "3": "####. ....# .###. ....# ####.",
    "4": "#..#. #..#. ##### ...#. ...#.",
    "5": "##### #.... ####. ....# ####.",
    "6": ".###. #.... ####. #...# .###.",
    "7": "##### ....# ...#. ..#.. ..#..",
    "8": ".###. #...# .###. #...# .###.",
    "9": ".###. #...# .#### ....# .###.",
    ":": ". # . # .",
    "-": "... ... ### ... ...",
    "'": "# # . . .",
    " ": ".. .. .. .. ..",
}

_EARS = {
    # a wide open ring with something in it, a closed line, a cross: told apart by outline alone
    Ear.OPEN: ".#####. #.....# #.###.# #.....# .#####.",
    Ear.SHUT: "....... ....... ####### ....... .......",
    Ear.GONE: "##...## .##.##. ..###.. .##.##. ##...##",
}


def rows_of(tall: int) -> int:
    """Terminal rows of a letter whose dots are `tall` half rows high."""
    return ceil(HIGH * tall / 2)


def spells(text: str) -> bool:
    """Whether every letter of text is in the table."""
    return all(char in _LETTERS for char in text.upper())


def big(text: str, tall: int, wide: int, shapes: Shapes) -> tuple[str, ...]:
    """Text in large letters: rows of equal length, `rows_of(tall)` of them.

    A dot is `tall` half rows high and `wide` columns wide; letters stand one dot apart.
    KeyError for a letter that the table lacks (see `spells`).
    """
    dots = [_LETTERS[char].split() for char in text.upper()]
    lines = [".".join(letter[line] for letter in dots) for line in range(HIGH)]
    return _render(lines, tall, wide, shapes)


def big_ear(ear: Ear, tall: int, wide: int, shapes: Shapes) -> tuple[str, ...]:
    """The sign of the ear, as high as the letters."""
    return _render(_EARS[ear].split(), tall, wide, shapes)


def _render(lines: list[str], tall: int, wide: int, shapes: Shapes) -> tuple[str, ...]:
    halves = [line for line in lines for _ in range(tall)]
    if len(halves) % 2:
        halves.append("." * len(halves[0]))
    cell = {
        ("#", "#"): shapes.full,
        ("#", "."): shapes.upper,
        (".", "#"): shapes.lower,
        (".", "."): " ",
    }
    pairs = zip(halves[::2], halves[1::2], strict=True)
    return tuple(
        "".join(cell[dots] * wide for dots in zip(top, bottom, strict=True))
        for top, bottom in pairs
    )
