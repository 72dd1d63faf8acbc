"""Sound while strangers attack the web app: `python -m tests.bench.hostile [MINUTES]`.

The cues of `tests.bench.sound` go through the real stage and device while the web app runs in the
same process, as in a session. First alone, then with clients on loopback in a process of their own:
some ask one byte at a time, some take nothing of what is sent, some send too much as fast as they
can. Prints how exactly cues start in both, and what the app refused.
"""

import multiprocessing
import socket
import sys
import tempfile
import threading
import time
from contextlib import suppress
from pathlib import Path
from urllib.parse import urlsplit

import httpx

from coach.speech.cache import Cache
from coach.speech.espeak import EspeakNg
from coach.speech.voice import Voice
from coach.web.presses import Presses
from coach.web.roles import Role, passes_for
from coach.web.scene import Scene
from coach.web.server import Sharing
from tests.bench.sound import CUES, onset
from tests.speech.profiles import CALM
from tests.web.sessions import language

#: Clients of each sort, and requests a second of each that floods.
SLOW, STUCK, FLOODS, A_SECOND = 60, 40, 4, 25


def slow(at: tuple[str, int]) -> None:
    """One byte of a head every second, and again once it is let go."""
    while True:
        with suppress(OSError), socket.create_connection(at, timeout=5) as one:
            for letter in "GET / HTTP/1.1\r\nHost: elsewhere.example\r\nX: " + "y" * 600:
                one.sendall(letter.encode())
                time.sleep(1.0)
        time.sleep(0.5)


def stuck(at: tuple[str, int], path: str) -> None:
    """Ask for the stream, and take nothing of it."""
    while True:
        with suppress(OSError), socket.create_connection(at, timeout=5) as one:
            one.sendall(f"GET {path}events HTTP/1.1\r\nHost: {at[0]}:{at[1]}\r\n\r\n".encode())
            time.sleep(30.0)
        time.sleep(0.5)


def flood(link: str, answers: "multiprocessing.Queue[int]") -> None:
    """Send what no page sends."""
    with httpx.Client(timeout=5) as client:
        while True:
            with suppress(httpx.HTTPError):
                answers.put(client.post(f"{link}press", content=b"x" * 3_000).status_code)
                answers.put(client.get(link, headers={"Host": "elsewhere.example"}).status_code)
            time.sleep(2.0 / A_SECOND)


def attack(link: str, answers: "multiprocessing.Queue[int]") -> None:
    """Every client, each in a thread, until the process is ended."""
    parts = urlsplit(link)
    at = parts.hostname or "", parts.port or 0
    every = [threading.Thread(target=slow, args=(at,), daemon=True) for _ in range(SLOW)]
    every += [
        threading.Thread(target=stuck, args=(at, parts.path), daemon=True) for _ in range(STUCK)
    ]
    every += [
        threading.Thread(target=flood, args=(link, answers), daemon=True) for _ in range(FLOODS)
    ]
    for one in every:
        one.start()
    every[-1].join()


def main(minutes: float = 1.0) -> None:
    """Measure, attack, measure."""
    count = [0]

    def scene() -> Scene:
        count[0] += 1
        return Scene(f"state {count[0]}", "rest", cue="Rest now. " * 20)

    presses = Presses(lambda: None, lambda: 0.0, lambda _: None)
    sharing = Sharing("127.0.0.1", 0, passes_for((1,), led=False), presses, scene, language())
    sharing.start()
    link = next(link for by, link in sharing.links() if by.role is Role.WATCH)
    with tempfile.TemporaryDirectory() as folder:
        voice = Voice(EspeakNg(), CALM, Cache(Path(folder)))
        for text in CUES:
            voice.render(text)
        print("-- alone")
        onset(voice, round(20 * minutes), minutes)
        answers: multiprocessing.Queue[int] = multiprocessing.get_context("spawn").Queue()
        attackers = multiprocessing.get_context("spawn").Process(
            target=attack, args=(link, answers), daemon=True
        )
        attackers.start()
        time.sleep(5.0)
        print(f"-- with {SLOW} slow, {STUCK} stuck and {FLOODS} flooding clients")
        onset(voice, round(20 * minutes), minutes)
        attackers.terminate()
        codes: dict[int, int] = {}
        while not answers.empty():
            code = answers.get()
            codes[code] = codes.get(code, 0) + 1
        print(f"answers to the floods: {codes}")
        voice.close()
    began = time.perf_counter()
    sharing.stop()
    print(f"end of the web app {time.perf_counter() - began:.2f} s")


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 1.0)
