"""Shares a running session with browsers, where that was asked for and the library is there."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from importlib import import_module
from types import ModuleType

from coach.errors import CoachError
from coach.model.answers import parse
from coach.runtime.sound import Wanted
from coach.session.events import Answered, Event
from coach.session.state import Phase

#: Phases in which the button that pauses carries on.
STANDING = frozenset({Phase.PAUSED, Phase.STOPPED})


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
            "pip install 'coach[web]' adds it.",
        ) from error


@contextmanager
def shared(
    wanted: Wanted,
    phase: Callable[[], Phase],
    now: Callable[[], float],
    send: Callable[[Event], None],
    tell: Callable[[str], None],
) -> Iterator[None]:
    """Serve browsers while entered, if a port was told.

    CoachError where the library is missing, UsageError where the port is taken.
    """
    if wanted.share is None:
        yield
        return
    server = _server()

    def press(what: str) -> None:
        key = "resume" if what == "pause" and phase() in STANDING else what
        send(Answered(now(), parse(key), onset=now()))

    sharing = server.Sharing(wanted.share_host, wanted.share, press)
    sharing.start()
    tell(f"Large view: {sharing.link()}")
    tell(f"Phone: {sharing.link('phone')}")
    try:
        yield
    finally:
        sharing.stop()
