"""Runs a session behind its face: the full screen, or plain lines.

With the screen, Textual owns the main thread and the session runs beside it; with plain lines the
session has the main thread and a thread of its own reads what is typed.
"""

import gc
import os
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress

from coach.files.paths import Paths
from coach.language import Language
from coach.runtime.beginning import Begun
from coach.runtime.live_world import LiveWorld
from coach.runtime.runner import Runner
from coach.screen.link_codes import Codes
from coach.screen.plain import PlainScreen
from coach.screen.shapes import shapes_for
from coach.session.effects import Effect
from coach.session.events import Event, SoundStarted
from coach.session.kinds import S

#: How often Python itself looks for garbage: in a session memory counts, and little of it is new.
USUAL = (700, 10, 10)


@contextmanager
def loaded_for_good() -> Iterator[None]:
    """Spare the collector of garbage what was loaded by now: a look at it all delays an answer."""
    gc.freeze()
    gc.set_threshold(*USUAL)
    gc.enable()
    try:
        yield
    finally:
        gc.unfreeze()


@contextmanager
def loading() -> Iterator[None]:
    """Leave the collector of garbage out until `loaded_for_good`: what is read by then stays."""
    gc.disable()
    try:
        yield
    finally:
        gc.enable()


def on_screen(
    begun: Begun[S],
    runner: Runner[S],
    world: LiveWorld,
    words: Language,
    paths: Paths,
    codes: Codes | None,
) -> S:
    """Run the session behind the full screen; Left if the person leaves it."""
    from coach.screen import terminal_app as screen

    post, leave = world.post, world.leave
    app = screen.CoachApp(words.text, words.phrase, world.now, post, leave, codes=codes)
    runner.seen = lambda session, event, effects: app.show(begun.kind.look(session))
    ended: list[S] = []
    failed: list[BaseException] = []

    def session() -> None:
        try:
            ended.append(runner.run(begun.first))
        except BaseException as error:  # noqa: BLE001 - raised again where the screen has ended
            failed.append(error)
        finally:
            app.close()

    thread = threading.Thread(target=session, name="session")
    thread.start()
    try:
        screen.run(app, paths.log)
    finally:
        if not ended:
            world.leave()
        thread.join()
    if failed:
        raise failed[0]
    return ended[0]


def in_lines(begun: Begun[S], runner: Runner[S], world: LiveWorld, words: Language) -> S:
    """Run the session with plain lines; Left if the person leaves it."""
    shapes = shapes_for(os.environ, sys.stdout.encoding)
    face = PlainScreen(
        sys.stdout, words.text, words.phrase, words.breath, world.now, world.post, shapes
    )

    def seen(session: S, event: Event, effects: tuple[Effect, ...]) -> None:
        # who reads along may go, or have no room for more: the session is for who climbs
        with suppress(OSError):
            if isinstance(event, SoundStarted) and event.what.key != "tone":
                face.said(event.at, event.what)
            face.show(begun.kind.look(session))

    runner.seen = seen
    typed = threading.Thread(target=_read, args=(face,), name="typed", daemon=True)
    typed.start()
    return runner.run(begun.first)


def _read(face: PlainScreen) -> None:
    """Take what is typed, until the terminal goes."""
    with suppress(OSError, ValueError):
        face.read(sys.stdin)
