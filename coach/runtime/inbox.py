"""The one queue of events: what is due first, and stop and hurt before all else.

It has no thread of its own; the stage decides what waiting means.
"""

import heapq
import itertools

from coach.session.events import Answered, Event


class Inbox:
    """Events by time; an event is due once the timeline has reached its `at`."""

    def __init__(self) -> None:
        self._later: list[tuple[float, int, Event]] = []
        self._due: list[tuple[bool, float, int, Event]] = []
        self._order = itertools.count()

    def put(self, event: Event) -> None:
        """Keep an event until it is due and taken."""
        heapq.heappush(self._later, (event.at, next(self._order), event))

    def take(self, now: float) -> Event | None:
        """The next event due at `now`, or None."""
        while self._later and self._later[0][0] <= now:
            at, order, event = heapq.heappop(self._later)
            urgent = isinstance(event, Answered) and event.answer.meaning.nature.overtakes
            heapq.heappush(self._due, (not urgent, at, order, event))
        return heapq.heappop(self._due)[3] if self._due else None

    def next_at(self) -> float | None:
        """When the next event that is not due yet will be; None if none waits."""
        return self._later[0][0] if self._later else None
