"""Runs a session behind its face: the full screen, or plain lines.

With the screen, Textual owns the main thread and the session runs beside it; with plain lines the
session has the main thread and a thread of its own reads what is typed.
"""

import gc
import os
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import Any, TypeVar

from coach.files.paths import Paths
from coach.journal import Journal, SessionId
from coach.model.facts import Fact
from coach.runtime.beginning import Begun
from coach.runtime.resume import ShiftedWorld, shifted
from coach.runtime.runner import Runner, Stepped, World
from coach.runtime.sharing import shared
from coach.runtime.sound import Live, Wanted
from coach.screen.plain import PlainScreen
from coach.screen.shapes import shapes_for
from coach.session.effects import Effect, Play, Tone
from coach.session.events import Event, SoundStarted
from coach.session.looking import look as look_at
from coach.session.step import step
from coach.session.view import View

S = TypeVar("S", bound=Stepped)

#: Longest time in seconds until the session notices that the person left.
NOTICE = 0.25
#: Number of the one sound that is no cue: by it a recording can be laid over the journal.
SYNC_SOUND = 0


class Left(Exception):
    """The person left the session with Ctrl-C."""


class LeavableWorld:
    """A world that stops waiting, with Left, once `leave` was called."""

    def __init__(self, world: World) -> None:
        self._world = world
        self._left = threading.Event()

    def leave(self) -> None:
        """Let the session end at its next wait; from any thread."""
        self._left.set()

    def now(self) -> float:
        """Seconds on the session's timeline."""
        return self._world.now()

    def wait(self, until: float | None) -> Event | None:
        """The next event, or None once `until` has come."""
        while not self._left.is_set():
            soon = self._world.now() + NOTICE
            event = self._world.wait(soon if until is None else min(soon, until))
            if event is not None or (until is not None and self._world.now() >= until):
                return event
        raise Left

    def carry_out(self, effect: Effect) -> None:
        """Do it."""
        self._world.carry_out(effect)


class JournalKeeper:
    """Commits a session's events to the journal."""

    def __init__(self, journal: Journal, session: SessionId) -> None:
        self._journal = journal
        self._session = session

    def commit(self, event: Event, facts: tuple[Fact, ...], wall: datetime) -> None:
        """On disk when it returns; JournalError where it can't be."""
        self._journal.commit(self._session, event, facts, wall)


def run(
    begun: Begun[S],
    live: Live,
    journal: Journal,
    paths: Paths,
    full: bool,
    wanted: Wanted,
    tell: Callable[[str], None],
    look: Callable[[Any], View] = look_at,
    advance: Callable[[Any, Event], tuple[Any, tuple[Effect, ...]]] = step,
    around: Callable[[World], World] = lambda world: world,
) -> S:
    """Run a session to its end; Left if the person leaves it.

    `look` and `advance` are those of its kind, `around` may put something around its world.
    """
    world = LeavableWorld(ShiftedWorld(live.stage, begun.offset))
    runner = Runner(
        begun.session,
        around(world),
        JournalKeeper(journal, begun.id),
        lambda: datetime.now().astimezone(),
        advance=advance,
    )

    def send(event: Event) -> None:
        live.stage.post(shifted(event, -begun.offset))

    live.stage.carry_out(Play(SYNC_SOUND, Tone.SYNC, live.stage.now()))

    with loaded_for_good(), shared(wanted, lambda: runner.session.phase, world.now, send, tell):
        if full:
            return _on_screen(begun, runner, world, send, paths, look)
        return _in_lines(begun, runner, world, send, look)


@contextmanager
def loaded_for_good() -> Iterator[None]:
    """Spare the collector of garbage what was loaded by now: a look at it all delays an answer."""
    gc.collect()
    gc.freeze()
    try:
        yield
    finally:
        gc.unfreeze()


def _on_screen(
    begun: Begun[S],
    runner: Runner[S],
    world: LeavableWorld,
    send: Callable[[Event], None],
    paths: Paths,
    look: Callable[[S], View],
) -> S:
    from coach.screen import app as screen

    words = begun.language
    app = screen.CoachApp(words.text, words.phrase, world.now, send, world.leave)
    runner.seen = lambda session, event, effects: app.show(look(session))
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


def _in_lines(
    begun: Begun[S],
    runner: Runner[S],
    world: LeavableWorld,
    send: Callable[[Event], None],
    look: Callable[[S], View],
) -> S:
    words = begun.language
    shapes = shapes_for(os.environ, sys.stdout.encoding)
    face = PlainScreen(sys.stdout, words.text, words.phrase, words.find, world.now, send, shapes)

    def seen(session: S, event: Event, effects: tuple[Effect, ...]) -> None:
        if isinstance(event, SoundStarted) and event.what.key != "tone":
            face.said(event.at, event.what)
        face.show(look(session))

    runner.seen = seen
    typed = threading.Thread(target=face.read, args=(sys.stdin,), name="typed", daemon=True)
    typed.start()
    try:
        return runner.run(begun.first)
    except KeyboardInterrupt:
        raise Left from None
