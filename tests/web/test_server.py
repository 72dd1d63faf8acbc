"""The server as strangers meet it: tokens, hosts, sizes, slow and many clients, and its end."""

import json
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace

import httpx
import pytest

from coach.errors import CoachError, UsageError
from coach.session.events import Answered
from coach.web.presses import Presses
from coach.web.roles import Role, passes_for
from coach.web.scene import Button, Scene, StationScene
from coach.web.server import Sharing, check, names_of, reachable
from tests.web.sessions import language

WORDS = language()
#: One for all: each `httpx.get` would make a context for TLS of its own.
ASKS = httpx.Client(limits=httpx.Limits(max_keepalive_connections=0))


class Room:
    """A server beside a scene that a test changes."""

    def __init__(self) -> None:
        self.scene = Scene("one", "rest", cue="Rest.")
        self.sent: list[Answered] = []
        presses = Presses(lambda: None, lambda: 0.0, self.sent.append)
        passes = passes_for((1,), led=False)
        self.sharing = Sharing("127.0.0.1", 0, passes, presses, lambda: self.scene, WORDS)
        self.sharing.start()
        self.links = {by.role: link for by, link in self.sharing.links()}


@pytest.fixture
def room() -> Iterator[Room]:
    made = Room()
    yield made
    made.sharing.stop()


def test_without_a_valid_token_nothing_is_to_be_had(room: Room) -> None:
    head = f"http://127.0.0.1:{room.sharing.port}"
    token = room.links[Role.WATCH].split("/")[3]
    for wrong in ("x", token[:-1], token + "a", "%C3%BC"):
        for path in ("", "events", "static/page.css", "app.webmanifest"):
            assert ASKS.get(f"{head}/{wrong}/{path}").status_code in (403, 404)
        assert ASKS.post(f"{head}/{wrong}/press", data={"what": "hurt"}).status_code == 403
    assert ASKS.get(f"{head}/").status_code == 404
    assert ASKS.get(f"{head}/{token}/static/..%2fserver.py").status_code == 404


def test_a_page_of_another_site_can_neither_read_nor_press(room: Room) -> None:
    link = room.links[Role.CLIMBER]
    assert ASKS.get(link, headers={"Host": "elsewhere.example"}).status_code == 421
    asked = {"what": "pause", "state": ""}
    away = {"Origin": "http://elsewhere.example"}
    assert ASKS.post(f"{link}press", data=asked, headers=away).status_code == 403
    own = {"Origin": link[: link.index("/", 8)], "Accept": "application/json"}
    assert ASKS.post(f"{link}press", data=asked, headers=own).status_code == 409


def test_a_page_asks_nothing_of_anybody_outside(room: Room) -> None:
    text = ASKS.get(room.links[Role.WATCH]).text
    head = ASKS.get(room.links[Role.WATCH]).headers
    assert "http" not in text.replace("http-equiv", "")
    assert "default-src 'none'" in head["Content-Security-Policy"]
    assert '<html lang="en"' in text
    assert "<title>" in text
    assert 'aria-live="polite"' in text


def test_nonsense_and_too_much_are_refused(room: Room) -> None:
    at = f"{room.links[Role.CLIMBER]}press"
    assert ASKS.post(at, data={"what": "no-such-answer"}).status_code in (303, 400, 409)
    assert ASKS.post(at, content=b"x" * 5_000).status_code == 413
    assert ASKS.get(at, headers={"X-Long": "y" * 40_000}).status_code in (400, 431)
    presses = (ASKS.post(at, data={"what": "done"}).status_code for _ in range(200))
    assert 429 in presses
    assert room.sent == []


def test_a_new_scene_reaches_a_viewer_soon(room: Room) -> None:
    with ASKS.stream("GET", f"{room.links[Role.WATCH]}events", timeout=10) as reply:
        lines = reply.iter_lines()
        found: list[str] = []
        for line in lines:
            if line.startswith("data: {") and "state" in line:
                told = json.loads(line[6:])
                found.append(told["state"])
                if told["state"] == "two":
                    break
                room.scene = replace(room.scene, state="two")
                began = time.monotonic()
        assert time.monotonic() - began < 1.0
    assert "two" in found
    assert room.sharing.visited


def test_silent_connections_are_let_go_and_disturb_nobody(
    room: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("coach.web.server.SILENT", 0.3)
    address = ("127.0.0.1", room.sharing.port)
    silent = [socket.create_connection(address) for _ in range(30)]
    for one in silent[:15]:
        one.sendall(b"GET / HTTP/1.1\r\nHost:")
    assert ASKS.get(room.links[Role.WATCH]).status_code == 200
    began = time.monotonic()
    for one in silent:
        one.settimeout(5)
        while one.recv(4096):
            pass
        one.close()
    assert time.monotonic() - began < 4.0


def test_too_many_viewers_are_told_so(room: Room, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("coach.web.web_app.MOST_VIEWERS", 3)
    at = f"{room.links[Role.WATCH]}events"
    clients = [httpx.Client() for _ in range(4)]
    opened = [client.send(client.build_request("GET", at), stream=True) for client in clients]
    assert [one.status_code for one in opened] == [200, 200, 200, 429]
    for one in opened:
        one.close()
    for client in clients:
        client.close()


def test_it_ends_within_a_second_with_fifty_viewers(room: Room) -> None:
    at = f"{room.links[Role.WATCH]}events"
    ready = threading.Barrier(51)

    def view() -> None:
        with ASKS.stream("GET", at, timeout=20) as reply:
            lines = reply.iter_lines()
            next(lines)
            ready.wait(20)
            for _ in lines:
                pass

    viewers = [threading.Thread(target=view, daemon=True) for _ in range(50)]
    for one in viewers:
        one.start()
    ready.wait(20)

    began = time.monotonic()
    room.sharing.stop()
    took = time.monotonic() - began

    assert took < 1.0
    for one in viewers:
        one.join(5)
    assert not any(one.is_alive() for one in viewers)


def test_a_port_in_use_is_said() -> None:
    with closing(socket.socket()) as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        presses = Presses(lambda: None, lambda: 0.0, lambda _: None)
        other = Sharing("127.0.0.1", port, (), presses, lambda: Scene("", ""), WORDS)
        with pytest.raises(UsageError, match=f"port {port} is in use"):
            other.start()
        other.stop()


def test_an_address_for_everywhere_is_told_as_one_that_opens() -> None:
    everywhere = "0.0.0.0"  # noqa: S104  # asked about, not bound
    assert reachable("127.0.0.1") == "127.0.0.1"
    assert reachable(everywhere) != everywhere


def test_what_can_not_be_served_is_said_before_a_session_begins(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    with closing(socket.socket()) as taken:
        taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        taken.bind(("127.0.0.1", 0))
        port = taken.getsockname()[1]
        check("127.0.0.1", port)  # as after a session that has just ended: nobody listens
        taken.listen()
        with pytest.raises(UsageError) as told:
            check("127.0.0.1", port)
        assert f"--share {port + 1}" in told.value.do
    with pytest.raises(UsageError, match=r"can't serve at 192\.0\.2\.1:8123: .*assign") as told:
        check("192.0.2.1", 8123)
    assert "from 1024 on" in told.value.do
    monkeypatch.setattr(socket, "gethostname", lambda: "Tarn.local")
    here = {"10.1.2.3", "localhost", "127.0.0.1", "[::1]", "tarn.local"}
    assert names_of("10.1.2.3", 80) == {f"{name}:80" for name in here}
    everywhere = names_of("", 80)
    assert f"{reachable('')}:80" in everywhere
    assert ":80" not in everywhere
    monkeypatch.setattr("coach.web.server.socket.socket", Unroutable)
    assert reachable("::") == "127.0.0.1"


class Unroutable(socket.socket):
    """A machine without a network."""

    def connect(self, _: object) -> None:
        raise OSError


def test_nobody_has_come_until_a_page_is_opened(room: Room) -> None:
    assert not room.sharing.visited
    assert set(room.links) == {Role.WATCH, Role.CLIMBER}
    assert len(set(room.links.values())) == 2
    reply = ASKS.get(room.links[Role.WATCH])
    assert "server" not in reply.headers
    assert [one.daemon for one in threading.enumerate() if one.name == "web"] == [True]
    room.sharing.stop()
    room.sharing.stop()
    assert not any(one.name == "web" for one in threading.enumerate())


def test_a_server_that_does_not_come_up_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("coach.web.server.asyncio.run", lambda running: running.close())
    presses = Presses(lambda: None, lambda: 0.0, lambda _: None)
    other = Sharing("127.0.0.1", 0, (), presses, lambda: Scene("", ""), WORDS)
    began = time.monotonic()
    with pytest.raises(CoachError, match=r"^the browser view does not come up\n") as told:
        other.start()
    assert time.monotonic() - began < 3.0  # it doesn't wait for what has ended
    assert told.value.do == "Leave --share out for now."
    with pytest.raises(OSError, match="Bad file descriptor"):
        _ = other.port  # it has let go of it
    assert not other.visited


def test_more_connections_than_there_is_room_for_are_refused(room: Room) -> None:
    """Room for a hundred who watch, and as many for their pages and presses."""
    address = ("127.0.0.1", room.sharing.port)
    first = [socket.create_connection(address) for _ in range(200)]
    with closing(socket.create_connection(address)) as one_more:
        one_more.settimeout(10)
        assert one_more.recv(4096).startswith(b"HTTP/1.1 429 ")
        assert one_more.recv(4096) == b""
    for one in first:
        one.setblocking(False)
        with pytest.raises(BlockingIOError):
            one.recv(1)
        one.close()
    time.sleep(0.2)
    assert ASKS.get(room.links[Role.WATCH]).status_code == 200


def test_who_watches_is_told_nothing_of_anybody(room: Room) -> None:
    """Whom a leader speaks of, and what came of it, are for the leader's own page."""
    hers, answers = Button("person:7", "Osk"), (Button("hurts", "is hurting"),)
    told = Scene("two", "move", cue="Next change: 4.", heard="is hurting", did="Osk: no load.",
                 turn="Osk", stations=(StationScene("wall", (hers,), ()),),
                 away=(Button("person:9", "Runa"),), offers=answers)  # fmt: skip
    room.scene = told
    watch, climb = room.links[Role.WATCH], room.links[Role.CLIMBER]
    time.sleep(0.5)
    with ASKS.stream("GET", f"{watch}events", timeout=10) as reply:
        for line in reply.iter_lines():
            if line.startswith("data: {") and "state" in line:
                shown = json.loads(line[6:])
                break

    private = {"heard": "", "did": "", "turn": "", "away": [], "offers": []}
    assert shown == json.loads(json.dumps({**told.document(), **private}))
    assert "no load" not in ASKS.get(watch).text
    assert "Runa" not in ASKS.get(watch).text
    assert all(word in ASKS.get(climb).text for word in ("no load", "Not here", "Runa"))
