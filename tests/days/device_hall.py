"""The hall with the real stage and mixer on a simulated audio device, block by block.

Whatever is said takes its time on the device's samples, and what the device tells comes with the
blocks. What people say comes by the hall's own queue, at the next block.
"""

from dataclasses import dataclass, field

from coach.audio.sound_device import RATE
from coach.audio.tones import tones
from coach.clock import FakeClock
from coach.model.messages import Message
from coach.session.effects import Cut, Effect, EndNote, KeepNote, Play, PlayNote, Say
from coach.session.events import Event
from tests.audio.simulated_room import SimulatedRoom
from tests.audio.simulated_stage import SimulatedStage
from tests.days.hall import SPINS, Hall, SpinningError

#: Samples in a block: a tenth of a second, so that an hour takes seconds.
BLOCK = RATE // 10
_HEARD = (Say, Play, PlayNote, KeepNote, EndNote, Cut)


@dataclass
class DeviceHall(Hall):
    """The world of a runner, on a device."""

    stage: SimulatedStage = field(init=False)

    def __post_init__(self) -> None:
        room = SimulatedRoom(FakeClock(), block=BLOCK)
        self.stage = SimulatedStage(room, None, tones(), self.language.text, None)
        self.stage.start()

    def wait(self, until: float | None) -> Event | None:
        """The next event before `until`; the device plays up to it."""
        while True:
            due = self._queue[0][0] if self._queue else None
            times = [at for at in (until, due) if at is not None]
            event = self.stage.wait(min(times) if times else None)
            self._tick(self.stage.now())
            if event is not None:
                self.post(self._time, event)
            elif due is None or due > self._time:
                return None
            taken = self._taken()
            if taken is not None:
                return taken

    def _tick(self, now: float) -> None:
        self._still = self._still + 1 if now <= self._time else 0
        self._time = now
        if self._still > SPINS:
            raise SpinningError(f"at {now:.0f} s")

    def carry_out(self, effect: Effect) -> None:
        """Sounds go to the device; windows and sentences are told to people."""
        if not isinstance(effect, KeepNote):
            super().carry_out(effect)
        if isinstance(effect, _HEARD):
            self.stage.carry_out(effect)

    def _sound(self, sound: int, what: Message, at: float, seconds: float) -> None:
        """The device plays it."""

    def _cut(self) -> None:
        """The device cuts it."""
