"""One voice profile, ready to speak: engine, cache, loudness and a thread that renders ahead.

Nothing that plays sound ever waits for an engine: it asks `sound`, which never blocks on one, or
`request`, which calls back.
"""

import contextlib
import hashlib
import itertools
import logging
import queue
import threading
from collections import OrderedDict
from collections.abc import Callable, Iterable

import numpy as np

from coach.audio.sound_device import RATE, Samples
from coach.errors import AudioError
from coach.speech.cache import Cache, key
from coach.speech.engines import Engine
from coach.speech.loudness import integrated
from coach.speech.shape import emphasised, limited
from coach.speech.synthesiser_port import VoiceProfile

log = logging.getLogger(__name__)

Done = Callable[[Samples | AudioError], None]

#: Sentences whose joined loudness sets a profile's gain. Enough sounds for BS.1770's gate, and the
#: same ones always, so that a cue is as loud today as it was yesterday.
REFERENCE = (
    "Three easy boulders, then a rest of two minutes.",
    "Stand tall, and breathe out slowly.",
    "Both hands on the edge, feet on the floor.",
    "How do your shoulders feel?",
)

#: Sentences kept in memory; the rest come from disk in a few milliseconds.
KEPT = 32

#: Seconds without a sentence to render after which the engine's memory is let go of.
IDLE = 20.0

_URGENT, _AHEAD = 0, 1


class Voice:
    """Renders, keeps and gives out the sentences of one profile, all equally loud.

    `reference` are the sentences its loudness is measured on, in the profile's language; `spoken`
    puts a sentence as it is to be read out; `first` is said once, before the first sentence.
    """

    def __init__(
        self,
        engine: Engine,
        profile: VoiceProfile,
        cache: Cache,
        reference: tuple[str, ...] = REFERENCE,
        spoken: Callable[[str], str] = str,
        first: str = "",
    ) -> None:
        self.profile = profile
        self._spoken = spoken
        self._first = first
        self._engine = engine
        self._cache = cache
        self._reference = reference
        self._gain: float | None = None
        self._kept: OrderedDict[str, Samples] = OrderedDict()
        self._lock = threading.RLock()
        self._jobs: queue.PriorityQueue[tuple[int, int, str | None, Done | None]] = (
            queue.PriorityQueue()
        )
        self._order = itertools.count()
        self._worker: threading.Thread | None = None

    def sound(self, text: str) -> Samples | None:
        """The sentence if it is already rendered, else None; never waits for the engine."""
        found = self._ready(text)
        if found is None or not self._first:
            return found
        before = self._ready(self._first)
        return None if before is None else self._after(before, found)

    def _ready(self, text: str) -> Samples | None:
        with self._lock:
            if text in self._kept:
                self._kept.move_to_end(text)
                return self._kept[text]
            if self._gain is None:
                self._gain = self._measure(render=False)
        raw = self._cache.get(self._key(text))
        if raw is None or self._gain is None:
            return None
        return self._keep(text, raw)

    def render(self, text: str) -> Samples:
        """The sentence, rendered now if need be; AudioError if the engine can't."""
        ready = self._ready(text)
        if ready is not None:
            return ready
        gain = self._measure(render=True)
        raw = self._rendered(text)
        with self._lock:
            self._gain = gain
        return self._keep(text, raw)

    def request(self, text: str, done: Done) -> None:
        """Render before all that waits, then call done with the sound or the error, in a thread."""
        self._put(_URGENT, text, done)

    def warm(self, texts: Iterable[str]) -> None:
        """Render these in the background, in order; a failure shows when the text is asked for.

        What is on disk already is not read before it is.
        """
        for text in texts:
            self._put(_AHEAD, text, None)

    def settle(self) -> None:
        """Wait until all that was asked for so far is rendered or has failed."""
        self._jobs.join()

    def seconds(self, text: str) -> float:
        """How long the sentence is, rendered if need be; AudioError if the engine can't."""
        return len(self.render(text)) / RATE

    def close(self) -> None:
        """Stop rendering and end the engine's processes; waits for the sentence in hand."""
        worker, self._worker = self._worker, None
        if worker is not None:
            self._jobs.put((-1, next(self._order), None, None))
            worker.join()
        self._engine.close()

    def _after(self, before: Samples, sound: Samples) -> Samples:
        self._first = ""
        pause = np.zeros(RATE // 4, np.float32)
        return np.concatenate([before, pause, sound])

    def _put(self, urgency: int, text: str, done: Done | None) -> None:
        self._jobs.put((urgency, next(self._order), text, done))
        if self._worker is None:
            self._worker = threading.Thread(target=self._work, name="voice", daemon=True)
            self._worker.start()

    def _work(self) -> None:
        while True:
            try:
                _, _, text, done = self._jobs.get(timeout=IDLE)
            except queue.Empty:
                self._engine.rest()
                _, _, text, done = self._jobs.get()
            try:
                if text is None:
                    return
                if done is None and self._cache.holds(self._key(text)):
                    continue
                try:
                    result: Samples | AudioError = self.render(text)
                    if done is not None and self._first and not isinstance(result, AudioError):
                        result = self._after(self.render(self._first), result)
                except AudioError as error:
                    result = error
                if done is not None:
                    done(result)
            finally:
                self._jobs.task_done()

    def _key(self, text: str) -> str:
        spoken = self._spoken(text)
        return key(self._engine.name, self._engine.version, self.profile, spoken)

    def _rendered(self, text: str) -> Samples:
        name = self._key(text)
        raw = self._cache.get(name)
        if raw is None:
            raw = self._engine.render(self._spoken(text), self.profile)
            try:
                self._cache.put(name, raw)
            except OSError as error:
                # The sentence can be said all the same; it will take its time again another day.
                log.warning("a spoken sentence can't be kept: %s", error)
        return raw

    def _measure(self, *, render: bool) -> float | None:
        """Gain to the profile's loudness; None if that needs the engine and render is False."""
        if self._gain is not None:
            return self._gain
        name = self._reference_key()
        known = self._cache.number(name)
        if known is not None:
            return known
        parts = []
        for text in self._reference:
            raw = self._rendered(text) if render else self._cache.get(self._key(text))
            if raw is None:
                return None
            parts.append(emphasised(raw, self.profile.emphasis_db))
        below = self.profile.loudness_lufs - integrated(np.concatenate(parts))
        gain = float(10 ** (below / 20))
        with contextlib.suppress(OSError):
            self._cache.put_number(name, gain)  # to measure it takes a twentieth of a second
        return gain

    def _reference_key(self) -> str:
        """Name of the gain: another engine, sentence, loudness or emphasis has another one."""
        parts = [*map(self._key, self._reference)]
        parts += [repr(self.profile.loudness_lufs), repr(self.profile.emphasis_db)]
        return hashlib.sha256(" ".join(parts).encode()).hexdigest()[:40]

    def _keep(self, text: str, raw: Samples) -> Samples:
        with self._lock:
            assert self._gain is not None
            lifted = emphasised(raw, self.profile.emphasis_db)
            sound = limited((lifted * np.float32(self._gain)).astype(np.float32))
            self._kept[text] = sound
            while len(self._kept) > KEPT:
                self._kept.popitem(last=False)
        return sound
