"""The process in which the neural voice lives, so that its memory can be let go of.

One JSON request a line on standard input, one JSON reply a line on what was standard output; a beat
twice a second tells that it is alive. Weights with another hash are refused before they are loaded.
"""

import base64
import json
import os
import sys
import threading
import time
from typing import TextIO

import numpy as np

from coach.speech import hibari as parent

#: Seconds between beats.
BEAT = 0.5


class _Replies:
    """One line at a time, whoever writes it."""

    def __init__(self, out: TextIO) -> None:
        self._out, self._lock = out, threading.Lock()

    def send(self, **what: object) -> None:
        with self._lock:
            self._out.write(json.dumps(what) + "\n")
            self._out.flush()

    def beat(self) -> None:
        """Until nobody reads any more."""
        try:
            while True:
                time.sleep(BEAT)
                self.send(beat=True)
        except (OSError, ValueError):
            os._exit(0)


def main() -> None:
    """Answer requests until standard input ends."""
    replies = _Replies(os.fdopen(os.dup(1), "w", buffering=1, encoding="utf-8"))
    os.dup2(2, 1)
    # What runs the voice would keep a number for this machine, and send what it does over the
    # network. It looks for this when it is loaded.
    os.environ["ORT_DISABLE_TELEMETRY"] = "1"
    threading.Thread(target=replies.beat, name="beat", daemon=True).start()
    try:
        model = parent.checked(parent.installed())
        from hibari import Hibari

        # Told its model, it never looks for one elsewhere.
        speaks = Hibari(voice=parent.VOICE, model=str(model))
        speaks("One.", seed=parent.SEED)  # the first sentence loads what it reads with
    except Exception as error:  # noqa: BLE001 - whatever a library raises ends here, told
        replies.send(error=f"{type(error).__name__}: {error}")
        return
    replies.send(ready=True)
    for line in sys.stdin:
        try:
            asked = json.loads(line)
            sound = speaks(asked["text"], speed=asked["speed"], seed=asked["seed"])
            pcm = (np.clip(sound, -1, 1) * 32767).round().astype("<i2").tobytes()
        except Exception as error:  # noqa: BLE001 - as above: the reply carries it to the parent
            replies.send(error=f"{type(error).__name__}: {error}")
        else:
            replies.send(pcm=base64.b64encode(pcm).decode())


if __name__ == "__main__":
    main()
