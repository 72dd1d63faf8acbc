"""How often the coach may ask "did you mean" for what nobody told it.

In a hall talk is taken for answers that it is unsure of. An asking that an answer follows was worth
it; of the others there are at most MOST an hour, the last of them kept for what must not be missed.
When they are used up the hall is too loud to be asked about, which is said once.
"""

from collections import deque

#: Askings an hour that nothing came of, and how many of them only danger may use: our own choice.
MOST, KEPT = 6, 2

HOUR = 3600.0

#: Seconds after an asking within which a sure answer shows that somebody spoke to the coach.
ANSWERED = 15.0


class Askings:
    """Counts what was asked and what came of it."""

    def __init__(self) -> None:
        self._idle: deque[float] = deque()
        self._told = False

    def allow(self, at: float, *, danger: bool) -> bool:
        """Whether an unsure answer may be asked about now; if so it counts as asked."""
        while self._idle and at - self._idle[0] >= HOUR:
            self._idle.popleft()
        if len(self._idle) >= (MOST if danger else MOST - KEPT):
            return False
        self._idle.append(at)
        return True

    def answered(self, at: float) -> None:
        """A sure answer: the last asking, if it was just now, was worth it."""
        if self._idle and at - self._idle[-1] <= ANSWERED:
            self._idle.pop()

    def too_loud(self) -> bool:
        """Whether they are used up, told once."""
        if self._told or len(self._idle) < MOST - KEPT:
            return False
        self._told = True
        return True
