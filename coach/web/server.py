"""Runs the web app beside a session, with a thread, a loop and a socket of its own; silently."""

import asyncio
import errno
import socket
import threading
import time
from collections.abc import Callable
from typing import Any

import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from coach.errors import CoachError, UsageError
from coach.language import Language
from coach.web.presses import Presses
from coach.web.roles import Pass, Passes
from coach.web.scene import Scene
from coach.web.web_app import MOST_HEAD, MOST_VIEWERS, Scenes, Site

#: Seconds until the server has to be up, or gone.
PATIENCE = 5.0
#: Seconds within which a connection has to have asked for something.
SILENT = 10.0
#: Connections at once: viewers, and room for their pages and presses.
MOST_CONNECTIONS = 2 * MOST_VIEWERS
#: Seconds between two looks at the journal.
LOOKS_EVERY = 0.15


def check(host: str, port: int) -> None:
    """UsageError where nothing could be served there now."""
    with socket.socket() as trial:
        # as the server does
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)  # mutant: any true number
        try:
            trial.bind((host, port))
        except OSError as error:
            raise _explained(error, host, port) from error


def _explained(error: OSError, host: str, port: int) -> CoachError:
    if error.errno == errno.EADDRINUSE:
        return UsageError(f"port {port} is in use", f"Choose another: --share {port + 1}")
    what = f"can't serve at {host}:{port}: {error.strerror or error}"
    return UsageError(what, "Choose an address of this machine and a port from 1024 on.")


def reachable(host: str) -> str:
    """An address that others can open, where the server listens on every one of this machine.

    Asking the system which address it would send from sends nothing. The address asked about is
    one that is kept for documents (RFC 5737).
    """
    if host not in ("0.0.0.0", "::", ""):  # noqa: S104  # compared, not bound
        return host
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))
            return str(probe.getsockname()[0])
        except OSError:
            return "127.0.0.1"


def names_of(host: str, port: int) -> frozenset[str]:
    """Every 'host:port' under which this machine may be asked for its pages."""
    here = {host, reachable(host), "localhost", "127.0.0.1", "[::1]", socket.gethostname().lower()}
    return frozenset(f"{name}:{port}" for name in here if name)


class _Connection(H11Protocol):
    """A connection: let go when it asks for nothing, refused where there are too many."""

    open_now = 0

    def connection_made(self, transport: Any) -> None:
        """Count it; give it some seconds to ask."""
        super().connection_made(transport)
        _Connection.open_now += 1
        if _Connection.open_now > MOST_CONNECTIONS:
            transport.write(b"HTTP/1.1 429 Too Many Requests\r\ncontent-length: 0\r\n\r\n")
            transport.close()
            return
        self.loop.call_later(SILENT, self._look)

    def connection_lost(self, exc: Exception | None) -> None:
        """Count it no more."""
        _Connection.open_now -= 1
        super().connection_lost(exc)

    def _look(self) -> None:
        asked: object = self.cycle  # None until a whole head has come, whatever its type says
        if asked is None and not self.transport.is_closing():
            self.transport.close()


class Sharing:
    """The web app from `start` to `stop`."""

    def __init__(
        self,
        host: str,
        port: int,
        passes: tuple[Pass, ...],
        presses: Presses,
        scene: Callable[[], Scene],
        language: Language,
    ) -> None:
        """`scene` makes the newest scene; it is called in the server's thread alone."""
        self._host, self._asked, self._scene = host, port, scene
        self._passes, self._presses, self._language = Passes(passes), presses, language
        self._socket: socket.socket | None = None
        self._server: uvicorn.Server | None = None
        self._scenes: Scenes | None = None
        self._thread = threading.Thread(target=self._run, name="web", daemon=True)

    @property
    def port(self) -> int:
        """The port; of the system's choice where 0 was asked for."""
        assert self._socket is not None
        return int(self._socket.getsockname()[1])

    @property
    def visited(self) -> bool:
        """Whether anybody has opened a page yet."""
        return self._scenes is not None and self._scenes.ever > 0

    def links(self) -> tuple[tuple[Pass, str], ...]:
        """Each pass with the address that opens it."""
        head = f"http://{reachable(self._host)}:{self.port}"
        return tuple((by, f"{head}/{token}/") for token, by in self._passes.tokens().items())

    def start(self) -> None:
        """Begin to serve; UsageError where the port is taken."""
        made = socket.socket()
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)  # mutant: any true number
        try:
            made.bind((self._host, self._asked))
        except OSError as error:
            made.close()
            raise _explained(error, self._host, self._asked) from error
        self._socket = made
        self._scenes = Scenes(Scene("none", ""))
        site = Site(
            self._passes,
            self._scenes,
            self._presses,
            self._language,
            names_of(self._host, self.port),
        )
        self._server = uvicorn.Server(
            uvicorn.Config(
                site.app(),
                http=_Connection,
                ws="none",
                lifespan="off",
                log_config=None,
                access_log=False,
                server_header=False,
                timeout_keep_alive=15,
                h11_max_incomplete_event_size=MOST_HEAD,
                timeout_graceful_shutdown=1,
            )
        )
        self._thread.start()
        began = time.monotonic()
        while not self._server.started:
            if not self._thread.is_alive() or time.monotonic() - began > PATIENCE:
                made.close()
                raise CoachError("the browser view does not come up", "Leave --share out for now.")
            time.sleep(0.01)

    def stop(self) -> None:
        """End; safe to call twice."""
        if self._server is not None and self._thread.is_alive():
            self._server.should_exit = True
            self._thread.join(timeout=PATIENCE)

    def _run(self) -> None:
        assert self._server is not None
        assert self._socket is not None
        asyncio.run(self._serve(self._server, self._socket))

    async def _serve(self, server: uvicorn.Server, listening: socket.socket) -> None:
        looking = asyncio.ensure_future(self._look(server))
        # the server's own handling of signals belongs to the main thread, which the session has
        server.capture_signals = _no_signals  # type: ignore[method-assign]
        await server.serve(sockets=[listening])
        looking.cancel()

    async def _look(self, server: uvicorn.Server) -> None:
        assert self._scenes is not None
        while True:
            self._scenes.put(self._scene())
            await asyncio.sleep(LOOKS_EVERY)
            if server.should_exit:
                self._scenes.close()


def _no_signals() -> Any:
    from contextlib import nullcontext

    return nullcontext()
