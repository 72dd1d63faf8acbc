"""Shares a running session with browsers, where that was asked for and the library is there.

What pages show is read from the journal by a follower, so that the session never waits for them.
"""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from importlib import import_module
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

from coach.distribution import add
from coach.errors import CoachError
from coach.journal import follow
from coach.language import Language
from coach.model.messages import message
from coach.runtime.sound import Wanted
from coach.runtime.watching import Watching
from coach.screen.link_codes import Code, Codes
from coach.session.events import Event
from coach.session.view import View

if TYPE_CHECKING:
    from coach.web.roles import Pass
    from coach.web.scene import Scene


@dataclass(frozen=True, slots=True)
class Shared:
    """What browsers are shown of a session, and where their presses go."""

    journal: Path
    language: Language
    people: Sequence[int]
    led: bool
    """Whether a leader answers for everybody."""
    look: Callable[[], View]
    now: Callable[[], float]
    send: Callable[[Event], None]


def check_sharing(wanted: Wanted) -> None:
    """What `shared` would raise, before there is a session that it would leave behind."""
    if wanted.share is not None:
        _server().check(wanted.share_host, wanted.share)


def _server() -> ModuleType:
    """The server's module; CoachError where its library is missing."""
    try:
        return import_module("coach.web.server")
    except ImportError as error:
        raise CoachError(
            f"no browser view: the package {error.name or error} is not installed",
            f"{add('web')} adds it.",
        ) from error


@contextmanager
def shared(
    wanted: Wanted, session: Shared, tell: Callable[[str], None]
) -> "Iterator[Codes | None]":
    """Serve browsers while entered, if a port was told; `tell` is given the links.

    Gives their codes for the screen, None where nothing is shared.

    CoachError where the library is missing, UsageError where the port is taken.
    """
    if wanted.share is None:
        yield None
        return
    server = _server()
    from coach.web.presses import Presses
    from coach.web.roles import passes_for

    sharing = server.Sharing(
        wanted.share_host,
        wanted.share,
        passes_for(session.people, led=session.led),
        Presses(session.look, session.now, session.send),
        follower_scene(session.journal, session.language),
        session.language,
    )
    sharing.start()
    for row in rows_of(sharing.links(), session.language):
        tell(row)
    try:
        yield codes_of(sharing.links(), session.language, lambda: sharing.visited)
    finally:
        sharing.stop()


def _wall_clock() -> datetime:
    return datetime.now().astimezone()


def follower_scene(
    journal: Path, language: Language, clock: Callable[[], datetime] = _wall_clock
) -> "Callable[[], Scene]":
    """A function that gives the newest scene of the session that the journal holds.

    `clock` gives the wall's time, with its zone: what is timed counts on by it between two events.
    The journal is opened at the first call, in the thread that calls: SQLite asks for that.
    """
    from coach.web.scene import Shown, scene_of

    watching: list[Watching] = []

    def scene() -> "Scene":
        if not watching:
            watching.append(Watching(follow(journal)))
        seen = watching[0].picture(clock())
        shown = None
        if seen is not None:
            shown = Shown(seen.view, seen.now, seen.people, seen.stands, seen.over)
        return scene_of(shown, language)

    return scene


def codes_of(
    links: "Sequence[tuple[Pass, str]]", language: Language, connected: Callable[[], bool]
) -> Codes:
    """The links as codes for the screen, whoever answers or leads first."""
    from coach.web.qr_codes import code
    from coach.web.roles import Role

    ordered = sorted(links, key=lambda link: link[0].role is Role.WATCH)
    made = []
    for by, link in ordered:
        name = language.names.get(by.who, str(by.who)) if by.who else ""
        title = language.text(message(f"web-link-{by.role.value}", name=name))
        made.append(Code(title, code(link, light=False)))
    return Codes(tuple(made), connected)


def rows_of(links: "Sequence[tuple[Pass, str]]", language: Language) -> list[str]:
    """Every link with what it is for, and a square that a phone's camera reads."""
    from coach.web.qr_codes import code
    from coach.web.roles import Role

    rows: list[str] = []
    for by, link in links:
        name = language.names.get(by.who, str(by.who)) if by.role is Role.CLIMBER else ""
        what = {Role.WATCH: "To watch", Role.CLIMBER: "To answer", Role.LEADER: "To lead"}[by.role]
        rows += [f"{what}{', person ' + name if name else ''}: {link}", *code(link, light=True)]
    return rows
