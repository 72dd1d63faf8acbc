"""The state of a session: one frozen value that holds all that can differ in time."""

import math
from dataclasses import dataclass, field
from enum import StrEnum

from coach.model.answers import Answer
from coach.model.body import Part, ceiling
from coach.model.day import Day, Library
from coach.model.messages import Message
from coach.model.plan import Fired, Step
from coach.model.start import Options
from coach.session.memory import Notes, Tries


class Phase(StrEnum):
    """What the session is doing."""

    #: nothing has happened yet
    NEW = "new"
    #: the questions at the start
    CHECK_IN = "check-in"
    #: the cue of a step is said; its work has not begun
    LEAD_IN = "lead-in"
    #: a step runs
    WORK = "work"
    #: a rest runs
    REST = "rest"
    #: a question waits for its answer
    ASK = "ask"
    #: timers stand until somebody says so
    PAUSED = "paused"
    #: 'stop' was said: carry on or finish
    STOPPED = "stopped"
    #: 'I'm hurt' was said: timers have ended
    HURT = "hurt"
    #: the session is over but for its last question and words
    DEBRIEF = "debrief"
    #: nothing more happens
    OVER = "over"


#: Phases in which no reading of the edge check is asked for.
_NO_READING = frozenset({Phase.STOPPED, Phase.HURT, Phase.DEBRIEF, Phase.OVER})


class After(StrEnum):
    """What happens when a cue has been said."""

    NOTHING = "nothing"
    #: the step's work begins
    BEGIN = "begin"
    #: the window of the question opens
    WINDOW = "window"
    #: the loop ends
    END = "end"


#: Devices without which nobody is heard; "ear" while it is still coming.
EAR = frozenset({"microphone", "recogniser", "ear"})


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


def open_one(windows: tuple[Window, ...]) -> Window | None:
    """The window that is open, or None: only the newest one can be."""
    return windows[-1] if windows and windows[-1].closes is None else None


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
    done: tuple[int, ...] = ()
    """Who of several told that their boulders of the batch are done, in order."""
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
class Weighing:
    """An edge check beside which a scale's reading may be told."""

    who: int
    reading: float | None = None
    """Kilograms told before how it felt was."""
    checked: bool = False
    """Whether how it felt is on the record."""


@dataclass(frozen=True, slots=True)
class Course:
    """The plan and the place in it."""

    planned: bool = False
    """Whether the check-in is over and a plan is in force."""
    steps: tuple[Step, ...] = ()
    """What is left, the current step first."""
    past: tuple[Step, ...] = ()
    """What has been run or left, oldest first."""
    running: Running | None = None
    fired: tuple[Fired, ...] = ()
    """Every rule that fired, newest last."""
    idle_since: float = 0.0
    """When somebody last climbed, hung or moved."""
    boulders: int = 0
    dosed: tuple[tuple[str, float], ...] = ()
    """Seconds of each small dose so far, of somebody alone."""
    focuses: tuple[str, ...] = ()
    """Focuses of easy boulders that go round, the next one first; empty until one is chosen."""
    weighing: Weighing | None = None
    """The edge check whose reading may be told."""


@dataclass(frozen=True, slots=True)
class Cause:
    """What may make the session say something: one thing from outside, one step, one rest."""

    outside: int
    past: int
    resting: float


@dataclass(frozen=True, slots=True)
class Speech:
    """What sounds, and what waits to."""

    saying: Saying | None = None
    queue: tuple[Queued, ...] = ()
    next_sound: int = 1
    last_cue: Message | None = None
    outside: int = 0
    """How much came from outside so far: answers, keys, devices, sleep."""
    cause: Cause | None = None
    told: tuple[tuple[Message, int], ...] = ()
    """What was said for this cause, and how often."""


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
        """The window that is open, or None."""
        return open_one(self.windows)


@dataclass(frozen=True, slots=True)
class Missed:
    """A question that nobody answered in time, and what there was before silence was taken."""

    asking: Asking
    at: float
    day: Day
    steps: tuple[Step, ...]
    after: Day
    """The day that silence made: a late answer goes back only if nothing was told since."""


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


@dataclass(frozen=True, slots=True)
class Standing:
    """How long the session has stood still, and since when."""

    paused_since: float | None = None
    paused: float = 0.0
    """Seconds paused so far."""
    reminded: int = 0
    """How often somebody was reminded since it stands still."""
    by_itself: bool = False
    """Whether nobody asked for it: nobody told that a landing is clear."""

    def over(self, now: float) -> "Standing":
        """It goes on: the pause is counted."""
        since = self.paused_since
        return self if since is None else Standing(None, self.paused + now - since)


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


@dataclass(frozen=True, slots=True)
class Devices:
    """What is gone, and what was told of it."""

    lost: frozenset[str] = frozenset()
    """Devices that are gone."""
    told_of: tuple[str, float] = ("", 0.0)
    """What was last told of a device, and when."""
    by_keys: bool = False
    """Whether no ear was wanted from the first: then none is missed."""
    allowed: bool = False
    """Whether a key has said to go on since the last step began."""

    @property
    def deaf(self) -> bool:
        """Whether the ear is gone, so that nobody could call 'stop'."""
        return not self.by_keys and bool(self.lost & EAR)


@dataclass(frozen=True, slots=True)
class Session:
    """The whole session. `coach.session.step.step` is the only thing that makes a new one."""

    library: Library
    options: Options
    phase: Phase = Phase.NEW
    at: float = 0.0
    began: float = 0.0
    ended: float | None = None
    """When it was over."""
    how: str = "done"
    """How it ended, for the record."""
    effort: int | None = None
    efforts: tuple[tuple[int, int], ...] = ()
    """Of several people who told theirs: number, effort."""
    slept: float = 0.0
    """Seconds by which the wall clock has gone on while the machine slept."""
    wake: float | None = None
    day: Day | None = None
    course: Course = Course()
    speech: Speech = Speech()
    listening: Listening = Listening()
    questions: Questions = Questions()
    standing: Standing = Standing()
    rests: Rests = Rests()
    tries: Tries = field(default_factory=Tries)
    notes: Notes = field(default_factory=Notes)
    devices: Devices = Devices()

    @property
    def people(self) -> tuple[int, ...]:
        """Numbers of the people in the session."""
        return tuple(person.who for person in self.options.people)

    @property
    def weighs(self) -> int:
        """Who may tell a scale's reading now; 0 for nobody."""
        weighing = self.course.weighing
        if weighing is None or self.day is None or self.phase in _NO_READING:
            return 0
        return weighing.who if ceiling(self.day.caps, weighing.who, Part.FINGERS) > 0 else 0

    @property
    def window(self) -> Window | None:
        """The window that is open, or None."""
        return self.listening.window

    @property
    def did(self) -> Message | None:
        """What the last answer did."""
        return self.listening.did

    @property
    def recorded_seconds(self) -> float:
        """Elapsed less paused."""
        now, standing = self.at if self.ended is None else self.ended, self.standing
        since = standing.paused_since
        return now - self.began - standing.paused - (now - since if since is not None else 0.0)
