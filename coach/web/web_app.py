"""The web app: pages, presses and a stream of scenes, for whoever holds a link of this session.

The token stands in the path, so that nothing is stored in the browser. Requests for another host
or from another origin are refused, and every size, count and waiting time has a limit.
"""

import asyncio
import json
from collections import Counter
from collections.abc import AsyncIterator, Callable, Mapping
from dataclasses import dataclass, field, replace
from importlib.resources import files
from typing import Any

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import (
    HTMLResponse,
    JSONResponse,
    PlainTextResponse,
    RedirectResponse,
    Response,
)
from starlette.routing import Route
from starlette.types import ASGIApp, Receive, Scope, Send

from coach.language import Language
from coach.model.messages import Message, message
from coach.web.pages import labels, page
from coach.web.presses import UNDO, Presses, PressOutcome
from coach.web.roles import Pass, Passes
from coach.web.scene import Scene

#: Viewers at once; more are told to come later.
MOST_VIEWERS = 100
#: Bytes of a press at most.
MOST_BODY = 2_048
#: Bytes of a request's head at most.
MOST_HEAD = 16_384
#: Presses of one link within ten seconds.
MOST_PRESSES = 40
#: Seconds until a press shows in the journal, with room to spare.
SETTLED = 0.4
#: Seconds between two signs of life to a page that has nothing new.
QUIET = 10.0
#: Seconds for which a viewer may not take what is sent; then it counts as gone.
STUCK = 10.0

_TYPES = {".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml"}
_HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; "
        "connect-src 'self'; manifest-src 'self'; form-action 'self'; base-uri 'none'; "
        "frame-ancestors 'none'"
    ),
    # not "no-referrer": a form would then name no origin, and its press be refused
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
    "Cache-Control": "no-store",
}


@dataclass
class Scenes:
    """The newest scene, and those who wait for a newer one."""

    scene: Scene
    closing: bool = False
    viewers: int = 0
    ever: int = 0
    """How many viewers have come since the start."""
    _number: int = 0  # mutant: it may begin anywhere from 0
    _changed: asyncio.Event = field(default_factory=asyncio.Event)

    def put(self, scene: Scene) -> None:
        """Show another scene; called in the loop of the server. That time goes on is no news."""
        news = replace(scene, now=0.0) != replace(self.scene, now=0.0)
        self.scene = scene
        if news:
            self._wake()

    def close(self) -> None:
        """End every stream."""
        self.closing = True
        self._wake()

    def _wake(self) -> None:
        self._number += 1
        changed, self._changed = self._changed, asyncio.Event()
        changed.set()

    async def newer(self, than: int) -> tuple[int, Scene] | None:
        """The next scene after that of a number, with its own; None where none came for a while."""
        if self._number == than and not self.closing:
            try:
                await asyncio.wait_for(self._changed.wait(), QUIET)
            except TimeoutError:
                return None
        return self._number, self.scene


@dataclass
class Site:
    """What the app serves."""

    passes: Passes
    scenes: Scenes
    presses: Presses
    language: Language
    hosts: frozenset[str]
    """Host names, with their port, under which the pages may be asked for."""

    def app(self) -> ASGIApp:
        """The ASGI application."""
        routes = [
            Route("/{token}/", self._page),
            Route("/{token}/events", self._events),
            Route("/{token}/press", self._press, methods=["POST"]),
            Route("/{token}/app.webmanifest", self._manifest),
            Route("/{token}/static/{name}", self._static),
        ]
        return Guard(Starlette(routes=routes), self.hosts)

    def _pass(self, request: Request) -> Pass | None:
        return self.passes.find(request.path_params["token"])

    def _text(self, what: Message) -> str:
        return self.language.text(what)

    async def _page(self, request: Request) -> Response:
        by = self._pass(request)
        if by is None:
            return _no_token(self._text)
        return HTMLResponse(page(by.sees(self.scenes.scene), by, self.language), headers=_HEADERS)

    async def _static(self, request: Request) -> Response:
        name = request.path_params["name"]
        there = {one.name: one for one in (files("coach.web") / "static").iterdir()}
        if self._pass(request) is None or name not in there:
            return PlainTextResponse("", 404)
        kind = _TYPES[name[name.rindex(".") :]]
        headers = {**_HEADERS, "Content-Type": f"{kind}; charset=utf-8"}
        return Response(there[name].read_bytes(), headers=headers)

    async def _manifest(self, request: Request) -> Response:
        if self._pass(request) is None:
            return PlainTextResponse("", 404)
        title = self._text(message("web-title"))
        icon = {"src": "static/icon.svg", "sizes": "any", "type": "image/svg+xml"}
        return JSONResponse(
            {
                "name": title,
                "short_name": title,
                "start_url": "./",
                "display": "standalone",
                "background_color": "#101418",
                "theme_color": "#101418",
                "icons": [icon],
            },
            headers=_HEADERS,
            media_type="application/manifest+json",
        )

    async def _press(self, request: Request) -> Response:
        by = self._pass(request)
        if by is None:
            return _no_token(self._text)
        body = await _body(request)
        if body is None:
            return PlainTextResponse("", 413)
        what, _, number = body.get("what", "").partition(f"{UNDO}:")
        waits = 0
        if number.isdigit():
            outcome = self.presses.take_back(int(number))
        else:
            try:
                outcome, waits = self.presses.press(by, what, body.get("state", ""))
            except ValueError:
                return PlainTextResponse("", 400)
        if waits:
            asyncio.get_running_loop().call_later(outcome.waits, self.presses.settle, waits)
        return await self._replied(request, by, outcome, waits)

    async def _replied(
        self, request: Request, by: Pass, outcome: PressOutcome, waits: int
    ) -> Response:
        reply = self._text(outcome.reply)
        if "application/json" in request.headers.get("accept", ""):
            told = {
                "taken": outcome.taken, "reply": reply, "waits": outcome.waits, "number": waits,
            }  # fmt: skip
            return JSONResponse(told, 200 if outcome.taken else 409, headers=_HEADERS)
        if outcome.taken and not waits:
            # a page without scripts looks once: let it see what its press did
            await asyncio.sleep(SETTLED)
            return RedirectResponse("./", 303, headers=_HEADERS)
        shown = page(by.sees(self.scenes.scene), by, self.language, reply, waits)
        return HTMLResponse(shown, 200 if outcome.taken else 409, headers=_HEADERS)

    async def _events(self, request: Request) -> Response:
        by = self._pass(request)
        if by is None:
            return _no_token(self._text)
        if self.scenes.viewers >= MOST_VIEWERS:
            return PlainTextResponse(self._text(message("web-full")), 429)
        return SceneStream(self.scenes, by, labels(self.language))


def _no_token(text: Callable[[Message], str]) -> Response:
    return PlainTextResponse(text(message("web-no-token")), 403, headers=_HEADERS)


async def _body(request: Request) -> dict[str, str] | None:
    """The fields of a form; None where it is larger than a press can be."""
    from urllib.parse import parse_qsl

    found = b""
    async for chunk in request.stream():
        found += chunk
        if len(found) > MOST_BODY:
            return None
    return dict(parse_qsl(found.decode("utf-8", "replace")))


class SceneStream(Response):
    """Scenes as server-sent events, to one viewer, until either side leaves."""

    def __init__(self, scenes: Scenes, by: Pass, words: Mapping[str, str]) -> None:
        super().__init__()
        self._scenes, self._by, self._words = scenes, by, words

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Send until the viewer is gone; one that takes nothing for a while is given up."""
        self._scenes.viewers += 1
        self._scenes.ever += 1
        left = asyncio.ensure_future(_left(receive))
        try:
            head = [(b"content-type", b"text/event-stream"), (b"cache-control", b"no-store")]
            await send({"type": "http.response.start", "status": 200, "headers": head})
            async for chunk in self._chunks():
                body = {"type": "http.response.body", "body": chunk, "more_body": True}
                await asyncio.wait_for(_sent(send, body), STUCK)
                if left.done():
                    return
            await send({"type": "http.response.body", "body": b"", "more_body": False})
        except (TimeoutError, OSError):
            return
        finally:
            left.cancel()
            self._scenes.viewers -= 1

    async def _chunks(self) -> AsyncIterator[bytes]:
        yield _event("labels", dict(self._words))
        shown = -1
        while not self._scenes.closing:
            found = await self._scenes.newer(shown)
            if found is None:
                yield b": quiet\n\n"
                continue
            shown, scene = found
            yield _event("scene", self._by.sees(scene).document())
        yield _event("over", {})


def _event(name: str, value: object) -> bytes:
    return f"event: {name}\ndata: {json.dumps(value)}\n\n".encode()


async def _sent(send: Send, body: dict[str, Any]) -> None:
    await send(body)


async def _left(receive: Receive) -> None:
    while (await receive())["type"] != "http.disconnect":
        pass


class Guard:
    """Refuses what no page of ours asks: another host, another origin, too much at once."""

    def __init__(self, app: ASGIApp, hosts: frozenset[str]) -> None:
        self._app, self._hosts = app, hosts
        self._presses: Counter[str] = Counter()
        self._since = 0.0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Look at the head of a request, then let the app answer it."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self._app(scope, receive, send)
            return
        headers = {
            key.decode("latin-1"): value.decode("latin-1") for key, value in scope["headers"]
        }
        refusal = self._refusal(scope, headers)
        if refusal is not None:
            await PlainTextResponse("", refusal)(scope, receive, send)
            return
        await self._app(scope, receive, send)

    def _refusal(self, scope: Scope, headers: dict[str, str]) -> int | None:
        if sum(len(key) + len(value) for key, value in headers.items()) > MOST_HEAD:
            return 431
        host = headers.get("host", "").lower()
        if host not in self._hosts:
            return 421
        if scope["method"] != "POST":
            return None
        origin = headers.get("origin")
        if origin is not None and origin.lower() != f"http://{host}":
            return 403
        now = asyncio.get_running_loop().time()
        if now - self._since > 10.0:
            self._since = now
            self._presses.clear()
        self._presses[scope["path"]] += 1
        return 429 if self._presses[scope["path"]] > MOST_PRESSES else None
