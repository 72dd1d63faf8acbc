"""Codes of links for phones: on the screen until somebody has opened one; a key shows them again.

A code stands at the left below the word and the time; what is read near keeps the right side.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

from coach.screen.face import Face
from coach.screen.rows import EMPTY, Look, Row, Rows, Span, cells, padded

#: The letter that turns to the next code, then away, then back to the first.
LETTER = "c"
#: Columns between a code and what stands beside it, and the least that this needs.
GAP, LEAST_BESIDE = 3, 40


@dataclass(frozen=True, slots=True)
class Code:
    """A link as a square that a phone's camera reads."""

    title: str
    """What the link is for."""
    rows: tuple[str, ...]
    """Dark squares as blocks, two rows of squares in each; the quiet border counts in."""


@dataclass(slots=True)
class Codes:
    """The codes of a session, and which of them is shown."""

    codes: tuple[Code, ...]
    connected: Callable[[], bool]
    """Whether anybody has opened a link yet."""
    _at: int | None = 0
    _met: bool = field(default=False)

    def shown(self) -> Code | None:
        """The code to show now; None once somebody has come, or it was turned away."""
        if not self._met and self.connected():
            self._met, self._at = True, None
        return None if self._at is None else self.codes[self._at]

    def turn(self) -> None:
        """The next one; after the last one none, then the first again."""
        after = 0 if self._at is None else self._at + 1
        self._at = after if after < len(self.codes) else None


def fits(code: Code, columns: int, rows: int) -> bool:
    """Whether a code, its title and what stands beside it have room."""
    return rows > len(code.rows) and columns >= _wide(code) + GAP + LEAST_BESIDE


def beside_columns(code: Code, columns: int) -> int:
    """Columns for what stands beside a code."""
    return columns - _wide(code) - GAP


def beside(code: Code, near: Rows, face: Face) -> Rows:
    """A code with its title at the left, rows at its right."""
    wide = _wide(code)
    head: Row = (
        Span(code.title, Look.STRONG),
        Span(f" [{LETTER}]", Look.MARK),
        Span(f" {face.label('key-codes-turn')}", Look.FAINT),
    )
    left: list[Row] = [head, *((Span(line, Look.CODE),) for line in code.rows)]
    left += [EMPTY] * (len(near) - len(left))
    return tuple(
        (*padded(one, wide + GAP), *other) if other else one
        for one, other in zip(left, near, strict=True)
    )


def _wide(code: Code) -> int:
    return max(cells(line) for line in code.rows)
