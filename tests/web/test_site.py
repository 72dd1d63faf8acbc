"""The web app asked without a network: what each request gets, to the last byte that matters."""

import asyncio
import json
from collections.abc import Awaitable, Callable, MutableMapping
from dataclasses import replace
from typing import Any, TypeVar
from urllib.parse import urlencode

import httpx
import pytest

from coach.session.events import Answered
from coach.web.presses import Presses
from coach.web.roles import Pass, Passes, Role
from coach.web.scene import Scene, state_of
from coach.web.web_app import Scenes, SceneStream, Site
from tests.web.sessions import language
from tests.web.test_presses import Desk, begun

WORDS = language()
HOST = "coach.test:8123"
HEAD = f"http://{HOST}"
JSON = {"Accept": "application/json"}
NOW = Scene("one", "rest", cue="Rest.")
T = TypeVar("T")


class Phone:
    """A site in this process, and a browser that asks it; every answer is on `sent`."""

    def __init__(self, desk: Desk | None = None) -> None:
        self.sent: list[Answered] = []
        self.desk = desk
        presses = Presses(
            lambda: None if desk is None else desk.view(), lambda: 7.0, self.sent.append
        )
        passes = Passes((Pass(Role.WATCH), Pass(Role.CLIMBER, 1), Pass(Role.LEADER)))
        self.tokens = {by.role: token for token, by in passes.tokens().items()}
        self.scenes = Scenes(NOW)
        self.site = Site(passes, self.scenes, presses, WORDS, frozenset({HOST}))
        self.client = httpx.AsyncClient(
            transport=httpx.ASGITransport(self.site.app()), base_url=HEAD, timeout=30
        )

    def at(self, role: Role, path: str = "") -> str:
        return f"/{self.tokens[role]}/{path}"

    async def press(
        self, what: str, by: Role = Role.CLIMBER, state: str = "", accept: str = "application/json"
    ) -> httpx.Response:
        return await self.client.post(
            self.at(by, "press"), data={"what": what, "state": state}, headers={"Accept": accept}
        )


def asked(script: Callable[[Phone], Awaitable[T]], desk: Desk | None = None) -> T:
    """What a script gets of a site of its own."""

    async def play() -> T:
        phone = Phone(desk)
        async with phone.client:
            return await script(phone)

    return asyncio.run(play())


def test_every_reply_is_sealed_against_the_outside() -> None:
    """What the headers say by their standards (CSP 3, Fetch, RFC 9111), read word by word."""

    async def script(phone: Phone) -> list[httpx.Response]:
        paths = ("", "static/page.css", "static/page.js", "static/icon.svg", "app.webmanifest")
        return [
            *[await phone.client.get(phone.at(Role.WATCH, path)) for path in paths],
            await phone.client.get("/wrong/"),
            await phone.press("hurt"),
            await phone.press("hurt", accept="text/html"),
        ]

    replies = asked(script)
    assert [reply.status_code for reply in replies] == [200] * 5 + [403, 409, 409]
    kinds = ["text/html", "text/css", "text/javascript", "image/svg+xml"]
    assert [r.headers["content-type"].split(";")[0] for r in replies[:4]] == kinds
    assert all(reply.headers["content-type"].endswith("; charset=utf-8") for reply in replies[:4])
    for reply in replies:
        policy = dict(
            part.strip().split(" ", 1)
            for part in reply.headers["content-security-policy"].split(";")
        )
        assert policy == {
            **dict.fromkeys(("default-src", "base-uri", "frame-ancestors"), "'none'"),
            **dict.fromkeys(
                ("style-src", "script-src", "img-src", "connect-src", "manifest-src",
                 "form-action"), "'self'"),
        }  # fmt: skip
        assert reply.headers["referrer-policy"] == "same-origin"
        assert reply.headers["x-content-type-options"] == "nosniff"
        assert reply.headers["cache-control"] == "no-store"


def test_a_phone_can_keep_the_page_as_an_app() -> None:
    """The members that the Web App Manifest (W3C) asks for; its icon can be had."""

    async def script(phone: Phone) -> tuple[httpx.Response, int]:
        reply = await phone.client.get(phone.at(Role.WATCH, "app.webmanifest"))
        icon = reply.json()["icons"][0]["src"]
        return reply, (await phone.client.get(phone.at(Role.WATCH, icon))).status_code

    reply, icon = asked(script)
    assert reply.headers["content-type"] == "application/manifest+json"
    told = reply.json()
    assert told["name"] == told["short_name"] == "Coach"
    assert (told["start_url"], told["display"]) == ("./", "standalone")
    assert told["background_color"] == told["theme_color"] == "#101418"
    assert told["icons"] == [
        {"src": "static/icon.svg", "sizes": "any", "type": "image/svg+xml"},
    ]
    assert icon == 200


def test_where_no_session_runs_a_press_is_told_so() -> None:
    told = asked(lambda phone: phone.press("hurt")).json()
    assert told == {"taken": False, "reply": "No session is running.", "waits": 0.0, "number": 0}


def test_a_press_counts_and_its_reply_says_what_was_pressed() -> None:
    async def script(phone: Phone) -> httpx.Response:
        return await phone.press("pause")

    reply = asked(script, begun(1))
    assert reply.status_code == 200
    told = reply.json()
    assert (told["taken"], told["waits"], told["number"]) == (True, 0.0, 0)
    assert told["reply"].endswith(": done.")


def test_a_page_without_scripts_is_sent_back_to_see_what_its_press_did(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """After four tenths of a second, by when the press shows."""
    slept: list[float] = []
    real = asyncio.sleep

    async def sleep(seconds: float) -> None:
        slept.append(seconds)
        await real(0)

    monkeypatch.setattr(asyncio, "sleep", sleep)

    async def script(phone: Phone) -> tuple[httpx.Response, httpx.Response]:
        return (
            await phone.press("pause", accept="text/html"),
            await phone.press("resume", accept="text/html"),
        )

    taken, refused = asked(script, begun(1))
    assert (taken.status_code, taken.headers["location"]) == (303, "./")
    assert [one for one in slept if one] == [0.4]
    assert refused.status_code == 409
    assert "It runs already." in refused.text


def test_a_leaders_press_counts_two_seconds_later_or_is_taken_back() -> None:
    desk = begun(1)

    async def script(phone: Phone) -> None:
        state = state_of(desk.view())
        shown = await phone.press("done", Role.LEADER, state, "text/html")
        assert shown.status_code == 200
        assert 'value="take-back:1"' in shown.text
        back = await phone.press("take-back:1", Role.LEADER)
        assert back.json() == {"taken": True, "reply": "Taken back.", "waits": 0.0, "number": 0}
        assert not (await phone.press("take-back:1", Role.LEADER)).json()["taken"]
        told = (await phone.press("done", Role.LEADER, state)).json()
        assert (told["taken"], told["waits"], told["number"]) == (True, 2.0, 2)
        assert phone.sent == []
        await asyncio.sleep(2.3)
        assert [event.answer.key for event in phone.sent] == ["done"]

    asked(script, desk)


def test_a_press_is_at_most_two_kilobytes_and_says_what_it_can_mean() -> None:
    def body(size: int) -> bytes:
        head = urlencode({"state": "", "what": "hurt", "x": ""}).encode()
        return head + b"y" * (size - len(head))

    async def script(phone: Phone) -> list[int]:
        at = phone.at(Role.CLIMBER, "press")
        form = {**JSON, "Content-Type": "application/x-www-form-urlencoded"}
        return [
            (await phone.client.post(at, content=content, headers=form)).status_code
            for content in (body(2_048), body(2_049), b"what=no-such", b"what=feel:x", b"\xff", b"")
        ]

    assert asked(script) == [409, 413, 409, 409, 409, 409]
    assert asked(script, begun(1)) == [200, 413, 409, 409, 409, 409]


def test_only_a_page_of_ours_may_ask_and_only_so_much() -> None:
    """Forty presses of one link within ten seconds; looking is free."""

    async def script(phone: Phone) -> None:
        at, get, post = phone.at(Role.CLIMBER, "press"), phone.client.get, phone.client.post
        here = phone.at(Role.CLIMBER)
        assert (await get(here, headers={"Host": HOST.upper()})).status_code == 200
        for host in ("elsewhere.test", "coach.test", "coach.test:8124", ""):
            assert (await get(here, headers={"Host": host})).status_code == 421
        for origin, code in ((HEAD, 409), (HEAD.upper(), 409), ("null", 403), ("", 403),
                             (f"https://{HOST}", 403), ("http://coach.test", 403)):  # fmt: skip
            assert (await post(at, headers={"Origin": origin})).status_code == code
        for size, code in ((16_000, 200), (16_384, 431)):
            assert (await get(here, headers={"X-Long": "x" * size})).status_code == code
        for _ in range(38):
            assert (await post(at)).status_code == 409
        assert (await post(at)).status_code == 429
        assert (await get(here)).status_code == 200
        assert (await post(phone.at(Role.LEADER, "press"))).status_code == 409
        loop = asyncio.get_running_loop()
        real = loop.time
        for later, code in ((9.0, 429), (11.0, 409)):
            loop.time = lambda late=later: real() + late  # type: ignore[method-assign, misc]
            assert (await post(at)).status_code == code
        loop.time = real  # type: ignore[method-assign]

    asked(script)


def test_what_is_no_request_of_a_page_is_left_alone() -> None:
    seen: list[str] = []

    async def play() -> None:
        async def receive() -> dict[str, object]:
            return {"type": "lifespan.shutdown"}

        async def send(message: object) -> None:
            seen.append(str(message))

        app = Phone().site.app()
        await app({"type": "websocket", "headers": [], "path": "/"}, receive, send)
        assert seen == []
        await app({"type": "lifespan", "headers": [], "state": {}}, receive, send)

    asyncio.run(play())
    assert any("lifespan" in one for one in seen)


class Viewer:
    """One who takes the stream, for as long as a test wants."""

    def __init__(self, scenes: Scenes, by: Pass, *, stuck: bool = False) -> None:
        self.told: list[dict[str, object]] = []
        self.gone, self.stuck = asyncio.Event(), stuck
        stream = SceneStream(scenes, by, {"pause": "Pause"})
        self.task = asyncio.ensure_future(stream({}, self._receive, self._send))

    async def _receive(self) -> dict[str, str]:
        await self.gone.wait()
        return {"type": "http.disconnect"}

    async def _send(self, message: MutableMapping[str, Any]) -> None:
        if self.stuck and message["type"] == "http.response.body":
            await asyncio.sleep(3600)
        self.told.append(dict(message))

    @property
    def events(self) -> list[tuple[str, object]]:
        """Names and values as the standard for server-sent events reads them."""
        text = b"".join(m["body"] for m in self.told if "body" in m).decode()  # type: ignore[misc]
        found = []
        for block in text.split("\n\n"):
            fields = dict(line.split(": ", 1) for line in block.splitlines() if line[:1] != ":")
            if fields:
                found.append((fields["event"], json.loads(fields["data"])))
        return found


async def _turns() -> None:
    for _ in range(20):
        await asyncio.sleep(0)


def test_a_stream_tells_the_words_each_news_once_and_the_end() -> None:
    async def play() -> None:
        scenes = Scenes(NOW)
        viewer = Viewer(scenes, Pass(Role.LEADER))
        await _turns()
        assert (scenes.viewers, scenes.ever) == (1, 1)
        for scene in (replace(NOW, now=9.0), replace(NOW, state="two", now=10.0)):
            scenes.put(scene)
            await _turns()
        scenes.close()
        await asyncio.wait_for(viewer.task, 10)
        assert viewer.told[0] == {
            "type": "http.response.start",
            "status": 200,
            "headers": [(b"content-type", b"text/event-stream"), (b"cache-control", b"no-store")],
        }
        assert {str(one["type"]) for one in viewer.told[1:]} == {"http.response.body"}
        assert [one["more_body"] for one in viewer.told[1:]] == [True] * 5 + [False]
        assert viewer.told[-1]["body"] == b""
        first, *rest = viewer.events
        assert first == ("labels", {"pause": "Pause"})
        shown = [value["state"] for name, value in rest if name == "scene"]  # type: ignore[index]
        assert shown == ["one", "two", "two"]  # at the end the newest once more
        assert rest[-1] == ("over", {})
        assert (scenes.viewers, scenes.ever) == (0, 1)

    asyncio.run(play())


def test_a_watchers_stream_is_the_public_scene() -> None:
    async def play() -> object:
        scenes = Scenes(replace(NOW, heard="hurt"))
        viewer = Viewer(scenes, Pass(Role.WATCH))
        await _turns()
        scenes.close()
        await asyncio.wait_for(viewer.task, 10)
        return viewer.events[1][1]["heard"]  # type: ignore[index]

    assert asyncio.run(play()) == ""


def test_who_leaves_or_takes_nothing_is_gone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("coach.web.web_app.STUCK", 0.05)

    async def play() -> None:
        scenes = Scenes(NOW)
        left, stuck = Viewer(scenes, Pass(Role.WATCH)), Viewer(scenes, Pass(Role.WATCH), stuck=True)
        await _turns()
        assert scenes.viewers == 2
        left.gone.set()
        scenes.put(replace(NOW, state="two"))
        await asyncio.wait_for(asyncio.gather(left.task, stuck.task), 10)
        assert (scenes.viewers, scenes.ever) == (0, 2)

    asyncio.run(play())


def test_a_quiet_stream_gives_signs_of_life(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("coach.web.web_app.QUIET", 0.02)

    async def play() -> None:
        scenes = Scenes(NOW)
        viewer = Viewer(scenes, Pass(Role.WATCH))
        async with asyncio.timeout(10):
            while sum(one.get("body") == b": quiet\n\n" for one in viewer.told) < 2:
                await asyncio.sleep(0.01)
        scenes.close()
        await asyncio.wait_for(viewer.task, 10)
        assert [name for name, _ in viewer.events][:2] == ["labels", "scene"]

    asyncio.run(play())


def test_a_hundred_may_watch() -> None:
    async def script(phone: Phone) -> tuple[int, str]:
        phone.scenes.viewers = 100
        reply = await phone.client.get(phone.at(Role.WATCH, "events"))
        return reply.status_code, reply.text

    assert asked(script) == (429, "Too many people are watching. Try again later.")

    async def last(phone: Phone) -> tuple[int, str]:
        phone.scenes.viewers = 99
        phone.scenes.close()
        reply = await phone.client.get(phone.at(Role.WATCH, "events"))
        return reply.status_code, reply.text

    status, text = asked(last)
    assert status == 200
    labels = json.loads(text.split("data: ")[1].split("\n")[0])
    assert labels == {"pause": "Pause", "resume": "Carry on", "hurt": "Somebody is hurt",
                      "undo": "Take it back", "next": "Next: {name}", "then": "then",
                      "lost": "No connection. Say it, or press a key.",
                      "away": "Not here"}  # fmt: skip
