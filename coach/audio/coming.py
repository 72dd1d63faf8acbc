"""A device that goes and comes all the time is told of once, not each time; and when to try again.

Pure arithmetic on times that are handed in.
"""

from dataclasses import dataclass

from coach.session.events import DeviceLost, DeviceReturned, Event

#: Seconds without a call after which a device is lost.
PATIENCE = 1.0

#: Seconds between tries to open a lost device: doubled from the first up to the last.
RETRY, RETRY_MOST = 2.0, 15.0

#: Gone again within so many seconds of its return, a device has to stay this long until its next
#: return is believed.
SOON, STEADY = 60.0, 20.0


class Retry:
    """When a lost device is tried next: at growing intervals, `most` seconds in the end."""

    def __init__(self, most: float = RETRY_MOST) -> None:
        self._most = most
        self._wait = RETRY
        self._next = 0.0

    def begin(self, at: float) -> None:
        """It was lost: try soon."""
        self._wait, self._next = RETRY, at

    def due(self, at: float) -> bool:
        """Whether to try now; then the next time is further off."""
        if at < self._next:
            return False
        self._next, self._wait = at + self._wait, min(2 * self._wait, self._most)
        return True


@dataclass(slots=True)
class _Known:
    lost: bool = False
    """What was told last."""
    returned: float = -SOON
    """When its latest return was told."""
    waits: float | None = None
    """Since when it has been back without its return being told."""
    doubted: bool = False


class Comings:
    """Lets losses and returns through, each device's in turn, and holds back returns in doubt."""

    def __init__(self) -> None:
        self._known: dict[str, _Known] = {}

    def take(self, event: DeviceLost | DeviceReturned) -> list[Event]:
        """What is to be told of it now."""
        known = self._known.setdefault(event.device, _Known())
        if isinstance(event, DeviceLost):
            known.waits = None
            if known.lost:
                return []
            known.lost = True
            known.doubted = event.at - known.returned < SOON
            return [event]
        if not known.lost:
            return []
        if known.doubted:
            known.waits = event.at
            return []
        return [self._back(known, event)]

    def due(self, at: float) -> list[Event]:
        """Returns that have lasted long enough."""
        return [
            self._back(known, DeviceReturned(at, device))
            for device, known in self._known.items()
            if known.waits is not None and at - known.waits >= STEADY
        ]

    def _back(self, known: _Known, event: DeviceReturned) -> Event:
        known.lost, known.returned, known.waits = False, event.at, None
        return event
