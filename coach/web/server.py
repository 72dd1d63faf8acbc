"""Serves browsers beside a session: the large view, read-only, and the presses of a phone.

Every request needs the token of the link; it is kept in a cookie from the first one on. A press
becomes an event of the session's one queue, so that the session stays the only writer. The server
has a thread and a loop of its own and prints nothing.
"""

import asyncio
import errno
import hmac
import secrets
import shlex
import socket
import sys
import threading
from collections.abc import Awaitable, Callable
from typing import Any

from aiohttp import web
from textual_serve.server import Server

from coach.errors import CoachError, UsageError
from coach.web.phone import PRESSES, large_page, page

COOKIE = "coach-token"
#: Seconds until the server has to be up.
PATIENCE = 15.0
#: Runs `coach large` by this interpreter, whatever the PATH holds.
LARGE = f'{shlex.quote(sys.executable)} -c "from coach.cli import main; main()" large'

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


class _Views(Server):
    """The library's server, which says nothing and is reached by whatever name the browser used."""

    async def on_startup(self, app: web.Application) -> None:
        """Print nothing: the terminal belongs to the session."""

    async def make(self) -> web.Application:
        """The library's application."""
        app: web.Application = await self._make_app()
        return app


def check(host: str, port: int) -> None:
    """UsageError where nothing could be served there now."""
    with socket.socket() as trial:
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)  # as the server does
        try:
            trial.bind((host, port))
        except OSError as error:
            raise _explained(error, host, port) from error


def _explained(error: OSError, host: str, port: int) -> CoachError:
    if error.errno == errno.EADDRINUSE:
        return UsageError(f"port {port} is in use", f"Choose another: --share {port + 1}")
    what = f"can't serve at {host}:{port}: {error.strerror or error}"
    return UsageError(what, "Choose an address of this machine and a port from 1024 on.")


class Sharing:
    """A server from `start` to `stop`."""

    def __init__(
        self,
        host: str,
        port: int,
        press: Callable[[str], None],
        command: str = LARGE,
        token: str = "",
    ) -> None:
        self.token = token or secrets.token_urlsafe(16)
        self._host, self._port, self._press = host, port, press
        self._views = _Views(command, host=host, port=port, title="Coach")
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._run, name="web", daemon=True)
        self._up = threading.Event()
        self._failed: OSError | None = None
        self._runner: web.AppRunner | None = None

    @property
    def port(self) -> int:
        """The port; of the system's choice where 0 was asked for."""
        assert self._runner is not None
        return int(self._runner.addresses[0][1])

    def link(self, page: str = "large") -> str:
        """Where the large view is, or another page."""
        return f"http://{self._host}:{self.port}/{page}?token={self.token}"

    def start(self) -> None:
        """Begin to serve; UsageError where the port is taken."""
        self._thread.start()
        if not self._up.wait(PATIENCE):
            raise CoachError("the browser view does not come up", "Leave --share out for now.")
        if self._failed is not None:
            self._thread.join()
            raise _explained(self._failed, self._host, self._port)

    def stop(self) -> None:
        """End; safe to call twice."""
        if self._thread.is_alive():
            self._loop.call_soon_threadsafe(self._loop.stop)
            self._thread.join(timeout=PATIENCE)

    def _run(self) -> None:
        asyncio.set_event_loop(self._loop)
        try:
            self._loop.run_until_complete(self._begin())
        except OSError as error:
            self._failed = error
        self._up.set()
        if self._failed is None:
            self._loop.run_forever()
        if self._runner is not None:
            self._loop.run_until_complete(self._runner.cleanup())
        self._loop.close()

    async def _begin(self) -> None:
        app = await self._views.make()
        app.middlewares.append(self._guard)
        app.add_routes(
            [
                web.get("/large", self._large),
                web.get("/phone", self._phone),
                web.post("/press", self._pressed),
            ]
        )
        self._runner = web.AppRunner(app, access_log=None, handle_signals=False)
        await self._runner.setup()
        await web.TCPSite(self._runner, self._host, self._port).start()

    @property
    def _guard(self) -> Any:
        @web.middleware
        async def guard(request: web.Request, handler: Handler) -> web.StreamResponse:
            """Refuse whoever has not the token; remember it for whoever has."""
            given = request.query.get("token", "")
            known = request.cookies.get(COOKIE, "")
            if not (self._is(given) or self._is(known)):
                raise web.HTTPForbidden(text="This link needs its token. Ask who runs the session.")
            self._views.public_url = f"{request.scheme}://{request.host}"
            response = await handler(request)
            if self._is(given) and not response.prepared:
                response.set_cookie(COOKIE, self.token, httponly=True, samesite="Strict")
            return response

        return guard

    def _is(self, token: str) -> bool:
        return hmac.compare_digest(token.encode(), self.token.encode())

    async def _large(self, request: web.Request) -> web.Response:
        return web.Response(text=large_page(), content_type="text/html")

    async def _phone(self, request: web.Request) -> web.Response:
        return web.Response(text=page(), content_type="text/html")

    async def _pressed(self, request: web.Request) -> web.Response:
        what = str((await request.post()).get("what", ""))
        if what not in PRESSES:
            raise web.HTTPBadRequest(text="There is no such button.")
        self._press(what)
        return web.Response(text=f"{PRESSES[what]}: told.")
