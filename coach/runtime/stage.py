"""Joins speaker, voice, tones and ear, and carries out the effects that can be heard.

`live_stage` runs in real time, the tests' simulated one block by block on a fake clock; both share
all that decides what is heard when. What is scheduled is owned by whoever renders: everybody
else leaves an order that is taken up at the next block, so that sound never waits for a thread.
"""

import logging
import queue
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

import numpy as np

from coach.audio.coming import Comings
from coach.audio.health import Health
from coach.audio.mixer import Mixer, MixEvent, MixKind
from coach.audio.note_files import NoteTaker, load
from coach.audio.sound_device import RATE, Device, Samples
from coach.errors import AudioError
from coach.model.messages import Message, message
from coach.runtime.inbox import Inbox
from coach.session.effects import (
    CloseWindow,
    Cut,
    Effect,
    EndNote,
    KeepNote,
    OpenWindow,
    Play,
    PlayNote,
    Say,
    Tone,
)
from coach.session.events import (
    Answered,
    DeviceLost,
    DeviceReturned,
    Event,
    NoteKept,
    SoundEnded,
    SoundStarted,
    Source,
)

log = logging.getLogger(__name__)


class Speaker(Protocol):
    """Where spoken sentences come from (coach.speech.voice.Voice)."""

    def sound(self, text: str) -> Samples | None:
        """The sentence if it is ready; never waits for an engine."""

    def request(self, text: str, done: Callable[[Samples | AudioError], None]) -> None:
        """Make it ready and call done, from any thread."""


class Echo(Protocol):
    """What takes our own voice out of what is heard (coach.audio.echo)."""

    def played(self, samples: Samples, first: int) -> None:
        """Samples that leave the speaker from this index of the timeline on."""

    def without(self, samples: Samples, first: int) -> tuple[Samples, int]:
        """What was heard without them, and the index of its first sample."""


class StageListener(Protocol):
    """What listens to the microphone; called from one thread only."""

    def open(self, window: OpenWindow) -> None:
        """From window.at on these answers count."""

    def close(self, window: CloseWindow) -> None:
        """The window takes no speech that begins after window.at."""

    def sounding(self, text: str, start: float, end: float | None) -> None:
        """A cue ('' for a tone) leaves the speaker from start; once more with its end."""

    def doubt(self) -> None:
        """What was heard last may not have been meant."""

    def feed(self, samples: Samples, first: int) -> list[Event]:
        """Hear samples at RATE, whose first has this index on the timeline."""


@dataclass(slots=True)
class _Sounding:
    what: Message
    text: str
    seconds: float = 0.0
    start: float = 0.0


def _for_the_room(say: Say, sound: Samples) -> Samples:
    if not say.for_the_room:
        return sound
    # only what speaks has the library that this needs
    from coach.speech.shape import raised

    return raised(sound)


class StageCore:
    """All that both stages share."""

    def __init__(
        self,
        device: Device,
        voice: Speaker | None,
        tones: dict[Tone, Samples],
        words: Callable[[Message], str],
        listener: StageListener | None,
        silent_seconds: Callable[[str], float],
        notes: Path | None = None,
        echo: Echo | None = None,
    ) -> None:
        self._echo = echo
        self._notes = notes
        self._taker = None if notes is None else NoteTaker(notes, self.post, self._aside)
        self._device = device
        self._voice = voice
        self._tones = tones
        self._words = words
        self._listener = listener
        self._silent_seconds = silent_seconds
        self._mixer = Mixer()
        self._orders: deque[Callable[[], None]] = deque()
        self._cues: dict[int, _Sounding] = {}
        self._awaited: dict[int, int] = {}
        self._voice_failed = False
        self._late: deque[tuple[int, float]] = deque()
        self._posted: queue.SimpleQueue[Event | None] = queue.SimpleQueue()
        self._inbox = Inbox()
        self._watchers: list[Callable[[Effect | Event], None]] = []
        self._health = Health()
        self._comings = Comings()

    def now(self) -> float:
        """Seconds on the timeline."""
        return self._device.now()

    def start(self) -> None:
        """Begin to play and listen; AudioError if the device can't."""
        listens = self._listener is not None or self._taker is not None
        capture = self._captured if listens else None
        self._device.start(self._render, capture, self.post)

    def stop(self) -> None:
        """Stop and let go of the device; safe to call twice."""
        self._device.stop()

    def watch(self, watcher: Callable[[Effect | Event], None]) -> None:
        """Call watcher with each effect carried out and each event given out by `wait`."""
        self._watchers.append(watcher)

    def post(self, event: Event) -> None:
        """Put an event on the queue, from any thread: keys, screens, devices. It never waits."""
        if isinstance(event, Answered) and event.source is Source.KEY:
            self._tell(lambda ear: ear.doubt())
        self._posted.put(event)

    def _due(self, now: float) -> Event | None:
        """The next event that is due, of all that were posted; for whoever waits alone."""
        while not self._posted.empty():
            self._take_in(self._posted.get())
        for back in self._comings.due(now):
            self._inbox.put(back)
        return self._inbox.take(now)

    def _take_in(self, event: Event | None) -> None:
        """Of a device that goes and comes all the time only the first loss gets through at once."""
        if isinstance(event, DeviceLost | DeviceReturned):
            for one in self._comings.take(event):
                self._inbox.put(one)
                if isinstance(one, DeviceLost) and one.device == "microphone" and self._taker:
                    self._taker.end("microphone")
        elif event is not None:
            self._inbox.put(event)

    def tell_late(self) -> None:
        """Log what began late: whoever renders only counts it."""
        while self._late:
            sound, seconds = self._late.popleft()
            log.info("sound %d started %.3f s late", sound, seconds)

    def carry_out(self, effect: Effect) -> None:
        """What can be heard, windows and notes; TypeError for another effect."""
        match effect:
            case Say():
                self._say(effect)
            case Play():
                what = message("tone", name=effect.tone.value)
                samples, at = self._tones[effect.tone], round(effect.at * RATE)
                self._order(lambda: self._place(effect.sound, _Sounding(what, ""), samples, at))
                if effect.tone in (Tone.NOT_NOW, Tone.UNCLEAR):
                    self._tell(lambda ear: ear.doubt())
            case PlayNote() | KeepNote() | EndNote():
                self._note(effect)
            case Cut():
                self._order(lambda: self._cut(effect.keep))
            case OpenWindow():
                self._tell(lambda ear: ear.open(effect))
            case CloseWindow():
                self._tell(lambda ear: ear.close(effect))
            case _:
                raise TypeError(f"a stage can't carry out {type(effect).__name__}")
        for watcher in self._watchers:
            watcher(effect)

    def _tell(self, call: Callable[[StageListener], None]) -> None:
        """Have the listener, if there is one, called on its own thread."""
        raise NotImplementedError

    def _captured(self, samples: Samples, first: int) -> None:
        samples, told = self._health.hear(samples, first)
        if self._listener is not None:
            self._heard(told)
        if self._taker is not None:
            self._taker.feed(samples, first)
        self._hear(samples, first)

    def _hear(self, samples: Samples, first: int) -> None:
        self._tell(lambda ear: self._heard(self._feed(ear, samples, first)))

    def _feed(self, ear: StageListener, samples: Samples, first: int) -> list[Event]:
        if self._echo is not None:
            mono = samples.mean(axis=1) if samples.ndim > 1 else samples
            samples, first = self._echo.without(mono, first)
        return ear.feed(samples, first) if len(samples) else []

    def _aside(self, job: Callable[[], None]) -> None:
        """Have a job done that whoever captures must not wait for."""
        job()

    def _note(self, effect: PlayNote | KeepNote | EndNote) -> None:
        if isinstance(effect, PlayNote):
            self._play_note(effect)
        elif self._taker is None:
            if isinstance(effect, KeepNote):
                self.post(NoteKept(self.now(), effect.name, 0.0, "microphone"))
        elif isinstance(effect, KeepNote):
            self._taker.begin(effect)
        else:
            self._taker.end("ended")

    def _play_note(self, note: PlayNote) -> None:
        cue = _Sounding(message("note", name=note.name), "")
        samples = np.zeros(0, np.float32)
        if self._notes is not None:
            samples = load(self._notes, note.name)
        # a note that is gone is a moment of silence, so that its end comes all the same
        samples, at = samples if len(samples) else np.zeros(1, np.float32), round(note.at * RATE)
        self._order(lambda: self._place(note.sound, cue, samples, at))

    def _heard(self, events: list[Event]) -> None:
        for event in events:
            self.post(event)

    def _order(self, order: Callable[[], None]) -> None:
        self._orders.append(order)

    def _say(self, say: Say) -> None:
        text = self._words(say.what)
        cue, at = _Sounding(say.what, text), round(say.at * RATE)
        if self._voice is None:
            silence = self._silence(text)
            self._order(lambda: self._place(say.sound, cue, silence, at))
            return
        ready = self._voice.sound(text)
        if ready is not None:
            samples = _for_the_room(say, ready)
            self._order(lambda: self._place(say.sound, cue, samples, at))
            return
        self._order(lambda: self._await(say.sound, cue, at))
        self._voice.request(text, lambda result: self._rendered(say, result))

    def _rendered(self, say: Say, result: Samples | AudioError) -> None:
        told = result if isinstance(result, AudioError) else _for_the_room(say, result)
        self._order(lambda: self._arrived(say.sound, told))

    def _silence(self, text: str) -> Samples:
        return np.zeros(round(self._silent_seconds(text) * RATE), np.float32)

    # From here to _report all is called by whoever renders, in the order of the orders.

    def _render(self, n: int) -> Samples:
        while self._orders:
            self._orders.popleft()()
        block, events = self._mixer.render(n)
        if self._echo is not None:
            self._echo.played(block, self._mixer.position - n)
        for event in events:
            self._report(event)
        return block

    def _place(self, sound: int, cue: _Sounding, samples: Samples, at: int) -> None:
        cue.seconds = len(samples) / RATE
        self._cues[sound] = cue
        self._mixer.schedule(sound, samples, at)

    def _await(self, sound: int, cue: _Sounding, at: int) -> None:
        self._cues[sound] = cue
        self._awaited[sound] = at

    def _arrived(self, sound: int, result: Samples | AudioError) -> None:
        at = self._awaited.pop(sound, None)
        failed = isinstance(result, AudioError)
        if failed != self._voice_failed:
            self._voice_failed = failed
            now = self._mixer.position / RATE
            lost = DeviceLost(now, "synthesiser", str(result))
            self.post(lost if failed else DeviceReturned(now, "synthesiser"))
        if at is not None:
            cue = self._cues[sound]
            samples = self._silence(cue.text) if isinstance(result, AudioError) else result
            self._place(sound, cue, samples, at)

    def _cut(self, keep: int | None) -> None:
        self._mixer.cut(keep)
        for sound in [sound for sound in self._awaited if sound != keep]:
            del self._awaited[sound]
            self._report(MixEvent(MixKind.CUT, sound, self._mixer.position))

    def _report(self, event: MixEvent) -> None:
        at = event.at / RATE
        if event.kind is MixKind.STARTED:
            cue = self._cues[event.sound]
            cue.start = at
            if event.late > 0:
                self._late.append((event.sound, event.late / RATE))
            self._tell(lambda ear: ear.sounding(cue.text, at, None))
            self.post(SoundStarted(at, event.sound, cue.what, cue.seconds))
        else:
            cue = self._cues.pop(event.sound)
            self._tell(lambda ear: ear.sounding(cue.text, cue.start, at))
            self.post(SoundEnded(at, event.sound, event.kind is MixKind.CUT))
