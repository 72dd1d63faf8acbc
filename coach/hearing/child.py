"""The recogniser in a process of its own, so that neither a crash nor a hang takes the session.

The child has its own standard output and error: nothing that a library prints reaches the
screen. It sends a beat twice a second. A child that dies, or falls silent, or is asked and
does not answer is ended and started again; keys carry on meanwhile. One that tells why it can't
load is not: that would only happen again.
"""

import contextlib
import logging
import os
import queue
import subprocess
import sys
import threading
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from coach.errors import AudioError
from coach.hearing import wire
from coach.hearing.recogniser_health import WatchedRecogniser
from coach.hearing.recogniser_port import Scored, Spoken
from coach.session.events import COMING, DeviceLost, DeviceReturned, Event

Floats = npt.NDArray[np.float32]

log = logging.getLogger(__name__)

#: Seconds between beats, and without one until the child counts as hung.
BEAT = 0.5
SILENT = 4.0

#: Seconds that a score may take, and that loading may take.
PATIENCE = 2.0
LOADING = 60.0

#: Seconds before a second start in a row; doubled each time, up to the last.
PAUSE = 1.0
LONGEST_PAUSE = 30.0


class ChildEngine(WatchedRecogniser):
    """Owns the child: starts it, asks it, ends it, starts it again."""

    def __init__(
        self,
        name: str,
        folder: Path | None = None,
        takes: Path | None = None,
        *,
        wait: bool = True,
    ) -> None:
        """Start it and wait until it can score; AudioError where it can't.

        `folder` is that of its weights, `takes` that of what the climber taught. Without `wait` it
        is COMING until then, and where it can't is told by `changes`.
        """
        self._name = name
        self._folders = [str(one or "") for one in (folder, takes)]
        self._asked = 0
        self._lost = ""
        self._told: list[str] = []
        self._coming = not wait
        self._starts = 0
        self._start_at = 0.0
        self._start()
        if wait:
            self._await_ready(time.monotonic() + LOADING)

    @property
    def name(self) -> str:
        """Name of the recogniser."""
        return self._name

    @property
    def pid(self) -> int:
        """The child's process id."""
        return self._process.pid

    def score(
        self,
        sound: Floats,
        phrases: Sequence[str],
        against: Sequence[str] = (),
        names: Sequence[str] = (),
    ) -> tuple[Scored, ...]:
        """Ask the child; empty while it is away, and where it fails to answer in time."""
        if self._away():
            return ()
        self._asked += 1
        ask = {"ask": self._asked, "phrases": list(phrases)}
        ask |= {"against": list(against), "names": list(names)}
        self._outbox.put((ask, sound))
        deadline = time.monotonic() + PATIENCE
        while not self._away():
            answer = self._take(max(0.0, deadline - time.monotonic()))
            if answer is not None and answer.get("answers") == self._asked:
                return tuple(Scored(phrase, score) for phrase, score in answer["scored"])
        return ()

    def keep(self, phrase: str, spoken: Spoken, *, gathered: bool) -> None:
        """Have the child keep it; nothing while it is away."""
        if not self._away():
            head = {"keep": phrase, "span": [spoken.onset, spoken.end], "gathered": gathered}
            self._outbox.put((head, spoken.sound))

    def changes(self, at: float) -> list[Event]:
        """What became of the child since the last call; starts it again when it is time."""
        while not self._inbox.empty():
            self._take(0.0)
        now = time.monotonic()
        if not self._lost and now - self._beat > (SILENT if self._ready else LOADING):
            self._lose("the recogniser hangs")
        lost: list[DeviceLost] = []
        if self._coming and not self._ready:
            lost.append(DeviceLost(at, "ear", COMING))
        self._coming = False
        if self._lost and "recogniser" not in self._told:
            lost.append(DeviceLost(at, "recogniser", self._lost))
        self._told += [event.device for event in lost]
        if self._lost and now >= self._start_at:
            self._start()
        if not self._told or self._away():
            return [*lost]
        back = [DeviceReturned(at, device) for device in self._told]
        self._told, self._starts = [], 0
        return [*lost, *back]

    def stop(self) -> None:
        """End the child; safe to call twice."""
        self._end()
        self._lost = self._lost or "stopped"
        self._told.append("recogniser")
        self._start_at = float("inf")

    def _away(self) -> bool:
        return bool(self._lost) or not self._ready

    def _await_ready(self, deadline: float) -> None:
        while not (self._ready or self._lost):
            self._take(max(0.0, deadline - time.monotonic()))
        if self._lost:
            why = self._lost
            self.stop()
            raise AudioError(why, self._do)

    def _start(self) -> None:
        self._inbox: queue.SimpleQueue[dict[str, Any] | None] = queue.SimpleQueue()
        self._ready, self._lost, self._do = False, "", ""
        self._beat = time.monotonic()
        self._starts += 1
        self._process = subprocess.Popen(
            [sys.executable, "-m", "coach.hearing.child", self._name, *self._folders],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env={**os.environ, "OMP_NUM_THREADS": "1"},
        )
        # A stopped child does not empty its pipe: only a thread of its own may wait on it.
        self._outbox: queue.SimpleQueue[tuple[dict[str, Any], Floats] | None]
        self._outbox = queue.SimpleQueue()
        for work, pipe, box in (
            (_read_all, self._process.stdout, self._inbox),
            (_write_all, self._process.stdin, self._outbox),
        ):
            threading.Thread(target=work, args=(pipe, box), daemon=True).start()

    def _take(self, seconds: float) -> dict[str, Any] | None:
        """One message of the child, or the finding that it is gone or too slow."""
        try:
            head = self._inbox.get(timeout=seconds) if seconds else self._inbox.get_nowait()
        except queue.Empty:
            if not seconds or not self._ready:
                self._lose("the recogniser does not answer")
            return None
        if head is None:
            self._lose("the recogniser ended")
            return None
        self._beat = time.monotonic()
        if "error" in head:
            self._do = head["do"]
            self._lose(head["error"])
            self._start_at = float("inf")
        elif "ready" in head:
            self._ready = True
            if head["lacking"]:
                log.warning("%s", head["lacking"])
        return head

    def _lose(self, why: str) -> None:
        if self._lost:
            return
        log.warning("%s", f"{why} {self._do}".rstrip())
        self._lost = why
        self._end()
        pause = PAUSE * 2.0 ** (self._starts - 1) if self._starts > 1 else 0.0
        self._start_at = time.monotonic() + min(pause, LONGEST_PAUSE)

    def _end(self) -> None:
        self._outbox.put(None)
        self._process.kill()
        self._process.wait()


def _read_all(pipe: Any, inbox: "queue.SimpleQueue[Any]") -> None:
    with pipe:
        while (message := wire.read(pipe)) is not None:
            inbox.put(message[0])
    inbox.put(None)


def _write_all(pipe: Any, outbox: "queue.SimpleQueue[Any]") -> None:
    with contextlib.suppress(BrokenPipeError), pipe:
        while (message := outbox.get()) is not None:
            wire.write(pipe, *message)


def main(name: str, folder: str = "", takes: str = "") -> None:
    """The child: load, then score what comes in until the parent is gone."""
    from coach.hearing.recognisers import load

    replies = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    lock = threading.Lock()

    def reply(**head: Any) -> None:
        with lock:
            wire.write(replies, head)

    def beat() -> None:
        while True:
            time.sleep(BEAT)
            try:
                reply(beat=1)
            except OSError:
                os._exit(0)

    threading.Thread(target=beat, daemon=True).start()
    try:
        recogniser = load(name, *(Path(one) if one else None for one in (folder, takes)))
    except AudioError as error:
        reply(error=error.what, do=error.do)
        return
    recogniser.score(np.zeros(1600, np.float32), ("done",))
    reply(ready=1, lacking=recogniser.lacking)
    while (message := wire.read(sys.stdin.buffer)) is not None:
        head, sound = message
        if "keep" in head:
            recogniser.keep(head["keep"], Spoken(sound, *head["span"]), gathered=head["gathered"])
            continue
        scored = recogniser.score(sound, head["phrases"], head["against"], head["names"])
        reply(answers=head["ask"], scored=[(one.phrase, one.score) for one in scored])


if __name__ == "__main__":
    main(*sys.argv[1:])
