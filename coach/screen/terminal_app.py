"""The Textual screen: shows the latest view, turns keys into events, and does nothing else.

It alone imports Textual. What is drawn comes from `coach.screen.layout`, what a key means from
`coach.screen.keys`; time comes from `now`, so that nothing here counts ticks.
"""

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.geometry import Region
from textual.message import Message as Posted
from textual.strip import Strip
from textual.widget import Widget

from coach.model.messages import Message
from coach.screen.face import Face, minutes_left, shown_time
from coach.screen.keys import ASKS, TOUCH, Hint, KeyPresses, ScreenKey
from coach.screen.layout import draw
from coach.screen.link_codes import LETTER, Codes
from coach.screen.naming import Naming
from coach.screen.rows import Look, Row, Rows, row_cells
from coach.screen.shapes import Shapes, shapes_for
from coach.screen.terminal import own_terminal
from coach.screen.weighing import Reading
from coach.session.events import Answered, KeyClaimed
from coach.session.view import View

#: Seconds between two looks at the clock; a repaint follows only where something changed.
LOOKS_EVERY = 0.2

_STYLES = {
    Look.PLAIN: Style(),
    Look.STRONG: Style(bold=True),
    Look.FAINT: Style(dim=True),
    Look.MARK: Style(bold=True, color="cyan"),
    Look.CODE: Style(color="black", bgcolor="bright_white"),
}
#: A code is then as dark as the terminal's ground, on the colour of its letters.
_STYLES_WITHOUT_COLOUR = {
    **_STYLES,
    Look.MARK: Style(bold=True),
    Look.CODE: Style(reverse=True),
}


class Sheet(Widget):
    """Rows of text; repaints the rows that changed."""

    DEFAULT_CSS = "Sheet { width: 1fr; height: 1fr; }"

    def __init__(self, colour: bool, resized: Callable[[], None]) -> None:
        super().__init__()
        self._resized = resized
        self._rows: Rows = ()
        self._styles = _STYLES if colour else _STYLES_WITHOUT_COLOUR

    def put(self, rows: Rows) -> None:
        """Show these rows."""
        before, self._rows = self._rows, rows
        if len(before) != len(rows):
            self.refresh()
            return
        changed = [y for y, (old, new) in enumerate(zip(before, rows, strict=True)) if old != new]
        if changed:
            self.refresh(*(Region(0, y, self.size.width, 1) for y in changed))

    def on_resize(self) -> None:
        """Have the rows drawn for the new size."""
        self._resized()

    def render_line(self, y: int) -> Strip:
        """One row of the terminal."""
        line: Row = self._rows[y] if y < len(self._rows) else ()
        segments = [Segment(span.text, self._styles[span.look]) for span in line]
        strip = Strip(segments, row_cells(line))
        return strip.adjust_cell_length(self.size.width, Style())


class CoachApp(App[None]):
    """Draws views until `close` is called or the person leaves with Ctrl-C."""

    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+c,ctrl+q", "leave", show=False, priority=True)
    ]
    CSS = "Screen { background: ansi_default; overflow: hidden; }"

    class Changed(Posted):
        """A view is waiting in the cell."""

    class Closed(Posted):
        """The session is over."""

    def __init__(
        self,
        words: Callable[[Message], str],
        answer_text: Callable[[str], str],
        now: Callable[[], float],
        send: Callable[[Answered | KeyClaimed], None],
        on_quit: Callable[[], None],
        shapes: Shapes | None = None,
        codes: Codes | None = None,
    ) -> None:
        """A screen that is not yet running; `run` runs it in the main thread.

        `words` and `answer_text` come from the language pack, `now` is seconds on the session's
        timeline, `send` must be safe to call from this thread, and `on_quit` is called once, when
        the person leaves. `shapes` are chosen by the locale unless given; `codes` are the links for
        phones, where the session is shared.
        """
        colour = not os.environ.get("NO_COLOR")
        with _empty_no_color_unset():
            super().__init__(ansi_color=True)
        self.theme = "ansi-dark"
        self.animation_level = "none"
        chosen = shapes or shapes_for(os.environ, getattr(sys.__stdout__, "encoding", None))
        self._face = Face(words, answer_text, chosen)
        self._now = now
        self._send = send
        self._on_quit = on_quit
        self._sheet = Sheet(colour, self.look)
        self._view: View | None = None
        self._over = False
        self._codes = codes
        self._presses = KeyPresses(frozenset({LETTER} if codes is not None else ()))
        self._reading = Reading()
        self._naming = Naming()
        self._hint: tuple[Hint, float] | None = None
        self._painted: tuple[object, ...] = ()

    def show(self, view: View) -> None:
        """Draw this view next. From any thread, before, while and after the screen runs."""
        self._view = view
        if self.is_running:
            self.post_message(self.Changed())

    def close(self) -> None:
        """End the screen, or keep it from starting. From any thread."""
        self._over = True
        if self.is_running:
            self.post_message(self.Closed())

    def compose(self) -> ComposeResult:
        """One sheet."""
        yield self._sheet

    def on_mount(self) -> None:
        """Start looking at the clock, unless the session is over already."""
        if self._over:
            self.exit()
        self.set_interval(LOOKS_EVERY, self.look)

    def on_coach_app_changed(self) -> None:
        """Draw the view in the cell; several that came at once are one."""
        self.look()

    def on_coach_app_closed(self) -> None:
        """Leave the terminal as it was."""
        self.exit()

    def action_leave(self) -> None:
        """Leave at once; the session stays on disk and can be resumed."""
        self._on_quit()
        self.exit()

    def on_key(self, event: events.Key) -> None:
        """Note the press; it counts once the touch is over."""
        event.stop()
        event.prevent_default()
        if self._view is not None:
            character = event.character or ""
            name = character.lower() if character.isalnum() else event.key
            for typing in (self._reading, self._naming):
                if typing.press(name, self._view):
                    self._typed(typing, name, self._view)
                    return
            self._presses.press(name, self._now(), self._view)
            self.set_timer(TOUCH + 0.01, self.look)

    def _typed(self, typing: Reading | Naming, name: str, view: View) -> None:
        """A key of a reading or of a number that is typed: send it, or show how far it is."""
        told = typing.take(name, view, self._now())
        if told is not None:
            self._send(told)
        self.look()

    def look(self) -> None:
        """Send what a key has settled to, and repaint what the time or a view has changed."""
        now = self._now()
        outcome = self._presses.settle(now)
        if isinstance(outcome, Hint):
            self._hint = (outcome, now + ASKS)
        elif isinstance(outcome, ScreenKey):
            if self._codes is not None:
                self._codes.turn()
        elif outcome is not None:
            self._hint = None
            self._send(outcome)
        if self._hint is not None and now >= self._hint[1]:
            self._hint = None
        if self._view is not None:
            typing = self._reading.hint() or self._naming.hint()
            self._paint(self._view, now, typing or (self._hint[0] if self._hint else None))

    def _paint(self, view: View, now: float, hint: Hint | None) -> None:
        size = self._sheet.size
        code = self._codes.shown() if self._codes is not None else None
        state = (view, hint, size, shown_time(view, now), minutes_left(view, now), code)
        if state != self._painted:
            self._painted = state
            face, codes = self._face, self._codes
            self._sheet.put(draw(view, now, size.width, size.height, face, hint, codes))


def run(app: CoachApp, noise: Path) -> None:
    """Run the screen in the main thread until it is closed or left.

    What C libraries print meanwhile is appended to the file `noise`.
    """
    with own_terminal(noise):
        app.run(mouse=False)


@contextmanager
def _empty_no_color_unset() -> Iterator[None]:
    """Textual takes an empty NO_COLOR as set; no-color.org takes it as not set."""
    if os.environ.get("NO_COLOR") == "":
        del os.environ["NO_COLOR"]
        try:
            yield
        finally:
            os.environ["NO_COLOR"] = ""
    else:
        yield
