"""The process in which pyttsx3 lives: it prints, plays, hangs and crashes there, not here.

One JSON request a line on standard input, one JSON reply a line on what was standard output;
whatever the engine itself prints goes to standard error. It renders to files and never plays.
"""

import json
import os
import sys
from typing import Any, TextIO

#: pyttsx3's own pitch where an engine takes one runs 0 to 99 in espeak.
_HIGHEST_PITCH = 99


def main() -> None:
    """Answer requests until standard input ends."""
    replies = os.fdopen(os.dup(1), "w", buffering=1, encoding="utf-8")
    os.dup2(2, 1)
    try:
        import pyttsx3

        engine = pyttsx3.init()
    except Exception as error:  # noqa: BLE001 - every driver fails in its own way, and all end here
        _reply(replies, error=f"{type(error).__name__}: {error}")
        return
    _reply(replies, ready=True)
    for line in sys.stdin:
        try:
            _render(engine, **json.loads(line))
        except Exception as error:  # noqa: BLE001 - as above: the reply carries it to the parent
            _reply(replies, error=f"{type(error).__name__}: {error}")
        else:
            _reply(replies, done=True)


def _render(engine: Any, text: str, path: str, voice: str, rate: int, pitch: int) -> None:
    if voice:
        engine.setProperty("voice", voice)
    engine.setProperty("rate", rate)
    try:
        engine.setProperty("pitch", pitch * _HIGHEST_PITCH // 100)
    except Exception as error:  # noqa: BLE001 - most drivers have no pitch; the voice is usable without
        sys.stderr.write(f"pitch not set: {error}\n")
    engine.save_to_file(text, path)
    engine.runAndWait()


def _reply(out: TextIO, **what: object) -> None:
    out.write(json.dumps(what) + "\n")
    out.flush()


if __name__ == "__main__":
    main()
