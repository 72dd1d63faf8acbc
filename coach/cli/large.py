"""`coach large`: shows the running session large, for everybody who reads from afar."""

import os
import sys
from collections.abc import Callable
from contextlib import ExitStack
from datetime import datetime
from shutil import get_terminal_size

import click

from coach.cli import output
from coach.files.movements import load_movements
from coach.files.paths import paths
from coach.files.settings import load_settings
from coach.files.voices import load_voice
from coach.files.words import load_language
from coach.journal import follow
from coach.runtime.watching import Watching, lines
from coach.screen.face import Face
from coach.screen.large import draw_large, legible, readable
from coach.screen.rows import Rows, row_text
from coach.screen.shapes import shapes_for


@click.command("large")
@click.option("--once", is_flag=True, help="Print it as text, once, and leave.")
@click.option(
    "--size",
    type=(int, int),
    metavar="COLUMNS ROWS",
    help="Of --once and --check; else what 5 m and 50 inches allow, or this terminal's.",
)
@click.option("--check", is_flag=True, help="Say from how far this terminal can be read.")
@click.option(
    "--inches",
    type=click.FloatRange(5, 300),
    default=50.0,
    show_default=True,
    help="Of --check: the screen's diagonal, 16 to 9.",
)
def command(once: bool, size: tuple[int, int] | None, check: bool, inches: float) -> None:
    """Show the running session large, for reading from afar.

    Only looks: it never writes, and the session needs nothing of it. It waits for a session where
    none runs. Ctrl-C leaves.
    """
    if check:
        columns, rows = size or get_terminal_size()
        metres = readable(inches, rows)
        output.line(f"{columns} x {rows} on {inches:g} inches: readable from {metres:.1f} m.")
        return
    known = paths()
    profile = load_voice(load_settings(known.settings).voice or "steady", known.user_dirs)
    language = load_language(profile.language, load_movements(known.user_dirs), known.user_dirs)
    shapes = shapes_for(os.environ, sys.stdout.encoding)
    with ExitStack() as opened:
        followed: list[Watching] = []

        def drawn(columns: int, rows: int) -> Rows:
            if not followed and known.journal.exists():  # the first session of all makes it
                followed.append(Watching(opened.enter_context(follow(known.journal))))
            now = datetime.now().astimezone()
            picture = followed[0].picture(now) if followed else None
            words = language.naming(picture.people) if picture is not None else language
            face = Face(words.text, words.phrase, shapes)
            view = picture.view if picture is not None else None
            at = picture.now if picture is not None else 0.0
            return draw_large(view, lines(picture, words.names), at, columns, rows, face)

        if once:
            output.lines(row_text(line).rstrip() for line in drawn(*(size or legible(50.0, 5.0))))
        else:
            _show(drawn)


def _show(drawn: Callable[[int, int], Rows]) -> None:
    from coach.screen.large_app import LargeApp

    LargeApp(drawn).run()
