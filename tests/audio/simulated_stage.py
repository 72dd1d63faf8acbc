"""The stage on a simulated room: whoever waits moves the time, and nothing else does."""

from collections.abc import Callable
from pathlib import Path

from coach.audio.sound_device import Samples
from coach.model.messages import Message
from coach.model.voice_profile import seconds
from coach.runtime.stage import Echo, Speaker, StageCore, StageListener
from coach.session.effects import Tone
from coach.session.events import Event
from tests.audio.simulated_room import SimulatedRoom

#: Seconds after which waiting without a time gives up.
A_DAY = 86_400.0


class SimulatedStage(StageCore):
    """The stage on a simulated room: `wait` moves the time, the listener is called in line."""

    def __init__(
        self,
        device: SimulatedRoom,
        voice: Speaker | None,
        tones: dict[Tone, Samples],
        words: Callable[[Message], str],
        listener: StageListener | None,
        silent_seconds: Callable[[str], float] = seconds,
        notes: Path | None = None,
        echo: Echo | None = None,
    ) -> None:
        super().__init__(device, voice, tones, words, listener, silent_seconds, notes, echo)
        self._room = device

    def wait(self, until: float | None = None) -> Event | None:
        """Play until an event is due, or until the timeline has reached `until`: then None.

        RuntimeError after a day without an event, when `until` is None.
        """
        patience = self.now() + A_DAY
        while True:
            event = self._due(self.now())
            if event is not None:
                break
            if until is not None and self.now() >= until:
                return None
            if self.now() > patience:
                raise RuntimeError("nothing happened for a day")
            self._room.step()
            self.tell_late()
        for watcher in self._watchers:
            watcher(event)
        return event

    def _tell(self, call: Callable[[StageListener], None]) -> None:
        if self._listener is not None:
            call(self._listener)
