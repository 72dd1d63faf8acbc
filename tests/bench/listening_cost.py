"""What listening to one talker costs: `python -m tests.bench.listening_cost [SECONDS]`.

Processor seconds of the ear for each second of talk, in one process and by part, while a paused
session's window is open. It needs no sound device and no idle machine; `tests.bench.startup` tells
the whole program's share.
"""

import os
import sys
import time
from collections import defaultdict
from typing import Any

import numpy as np

from coach.audio.sound_device import RATE
from coach.hearing.listener import Listener
from coach.hearing.scorer import WhisperScorer
from coach.session.effects import OpenWindow
from tests.bench.hearing.__main__ import phrases
from tests.bench.sound_hall import CHAT
from tests.hearing.voices import say

#: The parts of the scorer that are timed.
PARTS = ("encode", "_likely", "_exact")
BLOCK = RATE // 50


def main() -> None:
    """Listen and print."""
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 20.0
    talk = np.concatenate([say(line) for line in CHAT])[: round(seconds * RATE)]
    scorer = WhisperScorer()
    scorer.score(np.zeros(1600, np.float32), ("done",))
    spent: dict[str, list[float]] = defaultdict(list)
    for part in PARTS:
        timed(scorer, part, spent)
    timed(scorer.acceptor, "logits", spent)
    listener = Listener(scorer, phrases())
    listener.open(OpenWindow(1, ("resume",), 0.0))
    began = time.process_time()
    for first in range(0, len(talk) - BLOCK + 1, BLOCK):
        listener.feed(talk[first : first + BLOCK], first)
    whole, lasts = time.process_time() - began, len(talk) / RATE
    print(f"{lasts:.0f} s of one talker: {100 * whole / lasts:.1f} % of a core")
    for part, some in spent.items():
        each = 1000 * sum(some) / len(some)
        print(f"  {part:8} {len(some):4} times {each:6.1f} ms, {100 * sum(some) / lasts:5.1f} %")


def timed(owner: Any, name: str, spent: dict[str, list[float]]) -> None:
    """Have what each call of a method takes noted, in processor seconds."""
    method = getattr(owner, name)

    def noting(*some: Any) -> Any:
        began = time.process_time()
        try:
            return method(*some)
        finally:
            spent[name].append(time.process_time() - began)

    setattr(owner, name, noting)


if __name__ == "__main__":
    os.environ.setdefault("OMP_THREAD_LIMIT", "1")
    main()
