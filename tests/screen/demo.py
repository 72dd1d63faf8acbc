"""Shows the invented day on a real terminal: `python -m tests.screen.demo LOG [VIEW]`.

Writes what keys send to LOG, one line each, so that a test outside the terminal can read it. With
a VIEW it stays on that one until Ctrl-C; else it shows each for some seconds.
"""

import sys
import threading
import time
from pathlib import Path

from coach.screen.app import CoachApp, run
from coach.session.events import Answered, KeyClaimed
from tests.screen.scene import VIEWS, answer_text, words

SECONDS = 6.0


def main(log: Path, stay: str) -> None:
    start = time.monotonic()
    lines = log.open("a", buffering=1, encoding="utf-8")

    def send(event: Answered | KeyClaimed) -> None:
        lines.write(f"{event.answer.key if isinstance(event, Answered) else event.claim}\n")

    def quit_() -> None:
        lines.write("quit\n")

    app = CoachApp(words, answer_text, lambda: time.monotonic() - start, send, quit_)

    def play() -> None:
        for view in VIEWS.values():
            app.show(view)
            time.sleep(SECONDS)
        app.close()

    if stay:
        app.show(VIEWS[stay])
    else:
        threading.Thread(target=play, daemon=True).start()
    run(app, log.with_suffix(".noise"))
    lines.write("left\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2] if len(sys.argv) > 2 else "")
