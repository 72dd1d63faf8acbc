"""The large view as a program of its own, in a terminal or a browser: it looks, and takes no keys.

Nothing but the drawing may reach its standard output: in a browser that is the picture.
"""

from collections.abc import Callable
from typing import ClassVar

from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType

from coach.screen.rows import Rows
from coach.screen.terminal_app import Sheet

#: Seconds between two looks.
LOOKS_EVERY = 0.5


class LargeApp(App[None]):
    """Draws what `drawn` gives for a number of columns and rows, again and again."""

    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+c,ctrl+q,q", "quit", show=False, priority=True)
    ]
    CSS = "Screen { background: ansi_default; overflow: hidden; }"

    def __init__(self, drawn: Callable[[int, int], Rows]) -> None:
        super().__init__(ansi_color=True)
        self._drawn = drawn

    def compose(self) -> ComposeResult:
        """One sheet."""
        yield Sheet(not self.no_color, self._look)

    def on_mount(self) -> None:
        """Look now, and from then on."""
        self.set_interval(LOOKS_EVERY, self._look)

    def _look(self) -> None:
        size = self.size
        self.query_one(Sheet).put(self._drawn(size.width, size.height))
