"""Shows the invented day on a real terminal: `python -m tests.screen.demo LOG [VIEW [SECOND]]`.

Writes what keys send to LOG, one line each, so that a test outside the terminal can read it. With
a VIEW it stays on that one until Ctrl-C; else it shows each for some seconds. The view 'noise' has
something print on descriptor 2 all the while, as sound libraries do. With a SECOND the time stands
there, for a picture. Views of tests/screen/real.py come in their own words.
"""

import os
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path

from coach.model.messages import Message
from coach.screen.large_app import LargeApp
from coach.screen.terminal_app import CoachApp, run
from coach.session.events import Answered, KeyClaimed
from tests.screen import real
from tests.screen.scene import VIEWS, answer_text, words

SECONDS = 6.0


def spoken(view: str) -> tuple[Callable[[Message], str], Callable[[str], str]]:
    """What messages and answers read like on a view."""
    if view in real.SCENES:
        face = real.face(view)
        return face.words, face.answer_text
    return words, answer_text


def main(log: Path, stay: str, stands: float | None) -> None:
    start = time.monotonic()
    lines = log.open("a", buffering=1, encoding="utf-8")

    def send(event: Answered | KeyClaimed) -> None:
        lines.write(f"{event.answer.key if isinstance(event, Answered) else event.claim}\n")

    def quit_() -> None:
        lines.write("quit\n")

    def now() -> float:
        return time.monotonic() - start if stands is None else stands

    said, shown = spoken(stay)
    app = CoachApp(said, shown, now, send, quit_)

    def play() -> None:
        for view in VIEWS.values():
            app.show(view)
            time.sleep(SECONDS)
        app.close()

    def grumble() -> None:
        while True:
            os.write(2, b"ALSA lib: underrun\n")
            time.sleep(0.01)

    if stay == "noise":
        threading.Thread(target=grumble, daemon=True).start()
        app.show(VIEWS["feel"])
    elif stay:
        app.show(real.played(stay)[1] if stay in real.SCENES else VIEWS[stay])
    else:
        threading.Thread(target=play, daemon=True).start()
    run(app, log.with_suffix(".noise"))
    lines.write("left\n")


if __name__ == "__main__":
    given = sys.argv[1:]
    if given[1:] == ["large"]:
        LargeApp(real.large).run()
    else:
        main(
            Path(given[0]),
            given[1] if len(given) > 1 else "",
            float(given[2]) if len(given) > 2 else None,
        )
