"""Links as squares that a phone's camera reads (QR codes, ISO/IEC 18004), drawn with text."""

import segno

#: Squares of quiet border, fewer than the standard's four: with four no terminal of 24 rows has
#: room, and cameras read it (looked at, not measured).
BORDER = 2
#: What stands for two squares, one above the other: whether the upper and the lower are drawn.
_HALVES = {(0, 0): " ", (1, 0): "▀", (0, 1): "▄", (1, 1): "█"}


def code(link: str, *, light: bool) -> tuple[str, ...]:
    """The rows of a code, two of its squares a character high.

    The light squares are drawn for a dark terminal, the dark ones for dark on light.
    """
    squares = [list(line) for line in segno.make(link, error="l").matrix_iter(border=BORDER)]
    squares += [[0] * len(squares[0])] * (len(squares) % 2)
    drawn = [[one ^ light for one in line] for line in squares]
    return tuple(
        "".join(_HALVES[pair] for pair in zip(upper, lower, strict=True))
        for upper, lower in zip(drawn[::2], drawn[1::2], strict=True)
    )
