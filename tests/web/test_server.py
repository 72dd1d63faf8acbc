"""Browsers beside a session: the token, the buttons, two at once, and what can be missing."""

import asyncio
import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import aiohttp
import pytest

from coach.errors import CoachError, UsageError
from coach.runtime.sharing import shared
from coach.runtime.sound import Wanted
from coach.session.events import Answered, Event
from coach.session.state import Phase
from coach.web.phone import PRESSES
from coach.web.server import COOKIE, Sharing

STANDING_STILL = f'{sys.executable} -c "import time; time.sleep(30)"'


@pytest.fixture
def pressed() -> list[str]:
    return []


@pytest.fixture
def server(pressed: list[str]) -> Iterator[Sharing]:
    made = Sharing("127.0.0.1", 0, pressed.append, STANDING_STILL)
    made.start()
    yield made
    made.stop()


async def status(url: str, **more: object) -> tuple[int, str]:
    async with (
        aiohttp.ClientSession() as session,
        session.get(url, allow_redirects=False, **more) as reply,  # type: ignore[arg-type]
    ):
        return reply.status, await reply.text()


@pytest.mark.parametrize("page", ["", "large", "phone", "ws", "static/", "download/x"])
async def test_without_the_token_nothing_is_to_be_had(server: Sharing, page: str) -> None:
    at = f"http://127.0.0.1:{server.port}/{page}"

    for url in (at, f"{at}?token=", f"{at}?token={server.token[:-1]}", f"{at}?token=ü"):
        assert (await status(url))[0] == 403
    assert (await status(at, cookies={COOKIE: "no"}))[0] == 403
    press = f"http://127.0.0.1:{server.port}/press"
    async with aiohttp.ClientSession() as session, session.post(press, data={"what": "hurt"}) as r:
        assert r.status == 403


async def test_the_token_opens_and_is_remembered(server: Sharing) -> None:
    at = f"http://127.0.0.1:{server.port}/"
    async with aiohttp.ClientSession(cookie_jar=aiohttp.CookieJar(unsafe=True)) as session:
        async with session.get(server.link()) as reply:
            assert reply.status == 200
            assert "fontsize" in await reply.text()
        async with session.get(at) as reply:
            assert reply.status == 200
            assert f"127.0.0.1:{server.port}/ws" in await reply.text()


async def test_three_buttons_and_no_other(server: Sharing, pressed: list[str]) -> None:
    at = f"http://127.0.0.1:{server.port}/press"
    async with aiohttp.ClientSession(cookie_jar=aiohttp.CookieJar(unsafe=True)) as session:
        async with session.get(server.link("phone")) as reply:
            text = await reply.text()
        assert all(f'value="{what}"' in text for what in PRESSES)
        for what in PRESSES:
            async with session.post(at, data={"what": what}) as reply:
                assert reply.status == 200
        for wrong in ("go", "let-in", ""):
            async with session.post(at, data={"what": wrong}) as reply:
                assert reply.status == 400

    assert pressed == list(PRESSES)


def test_a_port_in_use_is_said() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        other = Sharing("127.0.0.1", port, print, STANDING_STILL)
        with pytest.raises(UsageError, match=f"port {port} is in use"):
            other.start()
        other.stop()


def test_an_address_of_another_machine_is_refused() -> None:
    other = Sharing("192.0.2.1", 0, print, STANDING_STILL)
    with pytest.raises(UsageError, match="can't serve"):
        other.start()


def test_a_missing_library_says_how_to_add_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "coach.web.server", None)
    sharing = shared(Wanted(share=0), lambda: Phase.WORK, lambda: 0.0, print, print)
    with pytest.raises(CoachError) as error, sharing:
        pass

    assert "coach[web]" in error.value.do


def test_the_button_that_pauses_carries_on_where_all_stands(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    sent: list[Event] = []
    told: list[str] = []
    phase = [Phase.WORK]
    made: list[Sharing] = []
    real = Sharing.start

    def start(self: Sharing) -> None:
        made.append(self)
        real(self)

    monkeypatch.setattr(Sharing, "start", start)
    with shared(Wanted(share=0), lambda: phase[0], lambda: 7.0, sent.append, told.append):
        made[0]._press("pause")
        phase[0] = Phase.PAUSED
        made[0]._press("pause")
        made[0]._press("hurt")

    keys = [event.answer.key for event in sent if isinstance(event, Answered)]
    assert keys == ["pause", "resume", "hurt"]
    assert "token=" in told[0]


async def frames(session: aiohttp.ClientSession, port: int, want: bytes) -> bytes:
    """What one browser gets of the large view until it shows something."""
    got = b""
    async with session.ws_connect(f"http://127.0.0.1:{port}/ws?width=59&height=17") as browser:
        while want not in got:
            message = await asyncio.wait_for(browser.receive(), 60)
            assert message.type in (aiohttp.WSMsgType.BINARY, aiohttp.WSMsgType.TEXT), got
            got += message.data if isinstance(message.data, bytes) else message.data.encode()
    return got


@pytest.mark.timeout(200)
async def test_two_browsers_and_a_session_at_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The session writes, both look; a press of the phone is on its record."""
    monkeypatch.setenv("COACH_HOME", str(tmp_path))
    line = "from coach.cli import main; main()"
    words = [sys.executable, "-c", line, "group", "--people", "6", "--boards", "1"]
    words += ["--minutes", "45", "--no-sound", "--plain", "--share", "0"]
    running = subprocess.Popen(
        words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    try:
        assert running.stderr is not None
        link = running.stderr.readline().split(": ", 1)[1].strip()
        port = int(link.split(":")[2].split("/")[0])
        jar = aiohttp.CookieJar(unsafe=True)
        async with aiohttp.ClientSession(cookie_jar=jar) as session:
            async with session.get(link) as reply:
                assert reply.status == 200
            seen = await asyncio.gather(*(frames(session, port, b"mat") for _ in range(2)))
            assert all(b"board 1" in one for one in seen)
            async with session.post(f"http://127.0.0.1:{port}/press", data={"what": "pause"}) as r:
                assert r.status == 200
            assert running.stdout is not None
            said = ""
            while "Standing by" not in said:
                said = running.stdout.readline()
                assert said, "the session ended"
        assert running.poll() is None
    finally:
        running.terminate()
        running.communicate(timeout=20)
