"""What runs or stands still, since when and until when: a step, a rest, a pause."""

from dataclasses import dataclass

from coach.model.answers import Answer
from coach.model.messages import Message
from coach.model.plan import Step


@dataclass(frozen=True, slots=True)
class Running:
    """The step that runs."""

    step: Step
    since: float | None = None
    """When its work began; None in the lead-in and while interrupted."""
    until: float | None = None
    """When it ends by itself; None if it waits for an answer."""
    left: float | None = None
    """Timed seconds left when it was interrupted."""
    worked: float = 0.0
    """Seconds of work before the last interruption."""
    go: int = 1
    """Which go of a dose."""
    between: bool = False
    """Between two goes of a dose."""
    told_start: bool = False
    """Whether the climber said when the try began."""
    more_rest: float = 0.0
    """Seconds that 'more time' adds to the rest after it."""
    counted: int | None = None
    """What 'that's three' told."""
    counted_after: float = 0.0
    """Seconds of work after which that was told."""
    done: tuple[tuple[int, int], ...] = ()
    """Who of several told that their boulders of the batch are done, and how many, in order."""
    doubted: bool = False
    """Whether it was asked how many were climbed, as they were told done too soon."""
    opens: float | None = None
    """When its window opens."""
    nudge: float | None = None
    """When it asks whether it is done."""
    nudged: bool = False
    ended: Answer | None = None
    """How the try went, told before its climber was off the landing."""
    also: tuple[Answer, ...] = ()
    """What else was told with that in one breath."""

    @property
    def through(self) -> tuple[int, ...]:
        """Who told that their boulders of the batch are done, in order."""
        return tuple(who for who, _ in self.done)


@dataclass(frozen=True, slots=True)
class Resting:
    """The rest that runs."""

    since: float
    until: float
    suggested: float
    after: str
    """The step that it follows."""
    step: Step | None = None
    """The REST step it is; None for a rest that belongs to the step before."""
    marks: tuple[tuple[float, Message], ...] = ()
    """Words that come at a time."""


@dataclass(frozen=True, slots=True)
class Standstill:
    """How long the session has stood still, and since when."""

    paused_since: float | None = None
    paused: float = 0.0
    """Seconds paused so far."""
    reminded: int = 0
    """How often somebody was reminded since it stands still."""
    by_itself: bool = False
    """Whether nobody asked for it: nobody told that a landing is clear."""

    def over(self, now: float) -> "Standstill":
        """It goes on: the pause is counted."""
        since = self.paused_since
        return self if since is None else Standstill(None, self.paused + now - since)


@dataclass(frozen=True, slots=True)
class Rests:
    """The rest that runs, and what the ones between hard tries have taught."""

    resting: Resting | None = None
    taken: tuple[tuple[int, float, float], ...] = ()
    """Who, suggested and taken seconds of each rest between hard tries."""
    more: float = 0.0
    """Seconds that the next rest between hard tries gets more."""
    sooner: float = 0.0
    """Seconds by which the climber's own yes makes those rests shorter."""
    own: tuple[tuple[int, float], ...] = ()
    """The rest between hard tries that somebody chose or took before: who, seconds."""
    ready_at: tuple[tuple[int, float], ...] = ()
    """When the rest that was promised to each person is over: who, time."""
    promised: tuple[tuple[int, float, float], ...] = ()
    """Since when each person rests from a hard try, and for how many seconds at first: who, time,
    seconds."""
