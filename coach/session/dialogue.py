"""What is said, asked and heard: the values of a session that hold its conversation."""

import math
from dataclasses import dataclass, field
from enum import StrEnum

from coach.model.answers import Answer
from coach.model.body import Part
from coach.model.day import Day
from coach.model.messages import Message
from coach.model.plan import Step
from coach.session.bounds import Tally


class After(StrEnum):
    """What happens when a cue has been said."""

    NOTHING = "nothing"
    #: the step's work begins
    BEGIN = "begin"
    #: the window of the question opens
    WINDOW = "window"
    #: the loop ends
    END = "end"


@dataclass(frozen=True, slots=True)
class Window:
    """When which answers count."""

    number: int
    answers: tuple[str, ...]
    opens: float
    closes: float | None = None
    """None while it is open."""
    who: int = 0
    beside: tuple[str, ...] = ()
    """Answers that count in it too, though it does not ask for them."""

    def takes(self, key: str, onset: float) -> bool:
        """Whether an answer that began at onset counts in it."""
        return (
            key in (*self.answers, *self.beside)
            and onset >= self.opens
            and (self.closes is None or onset <= self.closes)
        )


@dataclass(frozen=True, slots=True)
class Saying:
    """The cue that sounds or is about to."""

    sound: int
    what: Message
    after: After
    overdue: float
    """When it is taken as said even if no device reports its end."""


@dataclass(frozen=True, slots=True)
class Queued:
    """A cue that waits for its turn."""

    what: Message
    after: After = After.NOTHING
    until: float = math.inf
    """Later than that it is not so any more, and is not said."""


@dataclass(frozen=True, slots=True)
class Asking:
    """A question that is asked or waits to be."""

    question: str
    who: int
    """Who is asked; their answer counts, by whatever voice."""
    step: str = ""
    """Name of the ASK step it belongs to."""
    part: Part | None = None
    """The part that it is about, where one is known."""
    about: Answer | None = None
    """The answer that 'confirm' asks back."""
    offered: tuple[str, ...] = ()
    """Answer keys that only this asking takes, beside those of its question."""
    times: int = 0
    """How often it has been asked."""
    closes: float | None = None
    """When its window closes; None before it opens."""
    repeated: bool = False
    """Whether it is asked once more, as nobody answered in time."""
    unclear: bool = False
    """Whether it was told that something was heard and not understood."""


@dataclass(frozen=True, slots=True)
class Speech:
    """What sounds, and what waits to."""

    saying: Saying | None = None
    queue: tuple[Queued, ...] = ()
    next_sound: int = 1
    last_cue: Message | None = None
    tally: Tally = field(default_factory=Tally)


@dataclass(frozen=True, slots=True)
class Listening:
    """Which answers count, and who is speaking."""

    windows: tuple[Window, ...] = ()
    """The last few, newest last."""
    next_window: int = 1
    speech: float | None = None
    """Onset of speech that has not ended."""
    confirmed: tuple[str, ...] = ()
    """Raising answers heard unsurely once in the window that is open."""
    heard: Message | None = None
    did: Message | None = None

    @property
    def window(self) -> Window | None:
        """The window that is open, or None: only the newest one can be."""
        windows = self.windows
        return windows[-1] if windows and windows[-1].closes is None else None


@dataclass(frozen=True, slots=True)
class Missed:
    """A question that nobody answered in time, and what there was before silence was taken."""

    asking: Asking
    at: float
    day: Day
    steps: tuple[Step, ...]
    after: Day
    """The day that silence made: a late answer goes back only if nothing was told since."""
    whose: tuple[int, ...] = ()
    """Of a batch of boulders: those who told no end of it."""
    spent: float = 0.0
    """And the seconds that it ran."""


@dataclass(frozen=True, slots=True)
class Questions:
    """What is asked, what is still to be asked, and what was."""

    asking: Asking | None = None
    pending: tuple[Asking, ...] = ()
    """Questions for the next boundary."""
    asked: frozenset[str] = frozenset()
    """Questions whose words were said today."""
    quiet: bool = False
    """Whether nothing more is asked but what keeps somebody safe."""
    untold: frozenset[tuple[str, int]] = frozenset()
    """What was asked and met silence, question or kind and who: it is not asked again."""
    slow: float = 0.0
    """Seconds that somebody who answers late is waited for longer."""
    followed: tuple[str, ...] = ()
    """What was asked because of a report of the body, each time: question, who, part, report."""
    missed: Missed | None = None
    """The last question that may still be answered late."""
    unopened: tuple[Missed, ...] = ()
    """Of each person a go-ahead that met silence: their own 'let's try' may still open it."""
    settled: tuple[str, ...] = ()
    """Answers that say once more what the last question came to."""
    settled_at: float = 0.0
    """When it did."""
    complained_at: float = -math.inf
    """When something was last told to be sore or to hurt: another part may be named after it."""
    unplaced: frozenset[int] = frozenset()
    """Who told that they are hurt, and not where yet."""
