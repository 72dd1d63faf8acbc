"""A simulated room whose devices fail as real ones do: at planned times, for planned spells.

What watches over it, tries again, converts and puts blocks in their place is the code of the real
device; only the hardware is made up.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np
import numpy.typing as npt
import soxr

from coach.audio.coming import PATIENCE, Retry
from coach.audio.incoming import Incoming
from coach.audio.sound_device import RATE, Capture, Notify, Render, Samples
from coach.clock import FakeClock
from coach.session.events import ClockJumped, DeviceLost, DeviceReturned
from tests.audio.simulated_room import SimulatedRoom


class Kind(StrEnum):
    """What goes wrong."""

    #: the microphone is unplugged
    MICROPHONE_GONE = "microphone unplugged"
    #: the speaker is unplugged
    SPEAKER_GONE = "speaker unplugged"
    #: a headset: both; with an endless spell, its battery is empty
    HEADSET_GONE = "headset gone"
    #: the default device is another one now: a short gap, then on at that one's rate
    CHANGED = "default device changed"
    #: the driver stops calling, then calls for all it has missed at once
    HUNG = "hung callback"
    #: blocks get lost now and then
    DROPOUTS = "drop-outs"
    #: the machine sleeps; nothing plays meanwhile
    ASLEEP = "machine asleep"
    #: the microphone gives zeros
    ZEROS = "zeros"
    #: everything is far too loud
    CLIPPING = "clipping"
    #: the zero line is off
    OFFSET = "offset"
    #: two channels, the second one dead
    STEREO = "stereo"
    #: a headset in a call: 8 or 16 kHz, as the system says
    RATE = "call-profile rate"
    #: another rate than the system says
    WRONG_RATE = "wrong rate"


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that goes wrong, from `at` for `seconds` of the timeline."""

    kind: Kind
    at: float
    seconds: float = float("inf")
    value: float = 0.0
    """OFFSET: the offset; CLIPPING: decibels; RATE, WRONG_RATE and CHANGED: hertz."""

    def holds(self, at: float) -> bool:
        """Whether it is under way."""
        return self.at <= at < self.at + self.seconds


_AWAY = {
    "microphone": (Kind.MICROPHONE_GONE, Kind.HEADSET_GONE, Kind.HUNG),
    "speaker": (Kind.SPEAKER_GONE, Kind.HEADSET_GONE, Kind.HUNG),
}


class _Watched:
    """One device under the watchdog."""

    def __init__(self, kind: str) -> None:
        self.kind = kind
        self.lost = False
        self.last = 0.0
        self.retry = Retry()


class FaultyRoom(SimulatedRoom):
    """A room with faults; otherwise as `SimulatedRoom`, whose other options it takes."""

    def __init__(self, clock: FakeClock, faults: Sequence[Fault], **options: Any) -> None:
        super().__init__(clock, **options)
        self._faults = sorted(faults, key=lambda fault: fault.at)
        self._slept: set[Fault] = set()
        self._notify: Notify = lambda _: None
        self._devices = {kind: _Watched(kind) for kind in _AWAY}
        self._incoming: Incoming | None = None
        self._converted: tuple[Fault, soxr.ResampleStream] | None = None
        self._held: list[Samples] = []
        self._dice = np.random.default_rng(len(faults))

    def start(self, render: Render, capture: Capture | None, notify: Notify) -> None:
        """Take the speaker's and the microphone's other ends; nothing runs until `step`."""
        super().start(render, capture, notify)
        self._notify = notify
        self._incoming = None if capture is None else Incoming(capture)

    def ready(self, device: str) -> bool:
        """Whether a device works now."""
        return not self._devices[device].lost and not self._away(device)

    def step(self) -> None:
        """Play and hear one block, and move the clock by it."""
        for fault in self._faults:
            if fault.kind is Kind.ASLEEP and fault.at <= self.now() and fault not in self._slept:
                self._slept.add(fault)
                self._clock.advance(fault.seconds)
                self._notify(ClockJumped(self.now(), fault.seconds))
        super().step()
        for device in self._devices.values():
            self._watch(device)

    def _watch(self, device: _Watched) -> None:
        """As the real device does: lost after a second, tried again at growing intervals."""
        now, away = self.now(), self._away(device.kind)
        if device.lost:
            if device.retry.due(now) and not away:
                device.lost, device.last = False, now
                if device.kind == "microphone" and self._incoming is not None:
                    self._incoming.begin(RATE)
                self._notify(DeviceReturned(now, device.kind))
        elif not away:
            device.last = now
        elif now - device.last > PATIENCE:
            device.lost = True
            self._held = []
            device.retry.begin(now)
            why = f"It gave no sign for {PATIENCE:g} s."
            self._notify(DeviceLost(now, device.kind, why))

    def _holding(self, *kinds: Kind) -> Fault | None:
        now = self.now()
        return next((one for one in self._faults if one.kind in kinds and one.holds(now)), None)

    def _away(self, device: str) -> bool:
        return self._holding(*_AWAY[device]) is not None

    def _plays(self, played: Samples, begin: int) -> None:
        if not self.ready("speaker"):
            played = np.zeros_like(played)
        super()._plays(played, begin)

    def _hears(self, block: Samples, begin: int) -> None:
        assert self._incoming is not None
        if self._devices["microphone"].lost:
            return
        block = self._spoilt(block)
        if self._away("microphone"):
            if self._holding(Kind.HUNG) is not None:
                self._held.append(block)
            return
        drops = self._holding(Kind.DROPOUTS) is not None and self._dice.random() < 0.1
        blocks, self._held = [*self._held, block], []
        given = self._as_device_gives(np.concatenate(blocks))
        if not drops and len(given):
            self._incoming.take(given, begin + self._block)

    def _spoilt(self, block: Samples) -> Samples:
        if self._holding(Kind.ZEROS) is not None:
            return np.zeros_like(block)
        loud, off = self._holding(Kind.CLIPPING), self._holding(Kind.OFFSET)
        if loud is not None:
            block = block * np.float32(10 ** (loud.value / 20))
        if off is not None:
            block = block + np.float32(off.value)
        return np.clip(block, -1.0, 1.0)

    def _as_device_gives(self, block: Samples) -> npt.NDArray[np.float32]:
        """At its own rate, and with its own channels."""
        fault = self._holding(Kind.RATE, Kind.WRONG_RATE, Kind.CHANGED)
        before = self._converted[0] if self._converted is not None else None
        if fault is not before:
            self._another_rate(fault, before)
        if self._converted is not None:
            block = self._converted[1].resample_chunk(np.ascontiguousarray(block))
        if self._holding(Kind.STEREO) is not None:
            return np.stack([block, np.zeros_like(block)], axis=1)
        return block

    def _another_rate(self, fault: Fault | None, before: Fault | None) -> None:
        """The device runs at another rate; it is only told of where the system says so."""
        assert self._incoming is not None
        self._converted = None
        if fault is not None:
            stream = soxr.ResampleStream(RATE, fault.value, 1, "float32")
            self._converted = fault, stream
        says = fault if fault is not None else before
        if says is not None and says.kind is not Kind.WRONG_RATE:
            self._incoming.begin(RATE if fault is None else round(fault.value))
