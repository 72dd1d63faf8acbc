"""The process in which pyttsx3 lives: it prints, plays, hangs and crashes there, not here.

One JSON request a line on standard input, one JSON reply a line on what was standard output;
whatever the engine itself prints goes to standard error. It renders to files and never plays.
"""

import json
import os
import sys
import time
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
        # Until its first run the engine only queues what it is told, and the run may drop it.
        engine.runAndWait()
    except Exception as error:  # noqa: BLE001 - every driver fails in its own way, and all end here
        _reply(replies, error=f"{type(error).__name__}: {error}")
        return
    _reply(replies, ready=True)
    for line in sys.stdin:
        try:
            _answer(engine, json.loads(line))
        except Exception as error:  # noqa: BLE001 - as above: the reply carries it to the parent
            _reply(replies, error=f"{type(error).__name__}: {error}")
        else:
            _reply(replies, done=True)


def _answer(engine: Any, request: dict[str, Any]) -> None:
    """Set {"voice", "rate", "pitch"}, once in a process, or write {"text"} to {"path"}."""
    if "text" in request:
        engine.save_to_file(request["text"], request["path"])
        engine.runAndWait()
        return
    if request["voice"]:
        engine.setProperty("voice", request["voice"])
    try:
        engine.setProperty("pitch", request["pitch"] * _HIGHEST_PITCH // 100)
    except Exception as error:  # noqa: BLE001 - most drivers have no pitch, and speak without
        sys.stderr.write(f"pitch not set: {error}\n")
    # espeak takes a rate up on a thread of its own, in its own time.
    for _ in range(20):
        engine.setProperty("rate", request["rate"])
        time.sleep(0.1)
        if engine.getProperty("rate") == request["rate"]:
            return
    sys.stderr.write("rate not taken\n")


def _reply(out: TextIO, **what: object) -> None:
    out.write(json.dumps(what) + "\n")
    out.flush()


if __name__ == "__main__":
    main()
