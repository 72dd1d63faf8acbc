"""The state of a session: one frozen value that holds all that can differ in time."""

from dataclasses import dataclass, field
from enum import StrEnum

from coach.model.body import Part, ceiling
from coach.model.day import Day, Library
from coach.model.messages import Message
from coach.model.plan import Fired, Step
from coach.model.start import Options
from coach.session.dialogue import Listening, Questions, Speech, Window
from coach.session.memory import Notes, Tries
from coach.session.timers import Rests, Running, Standstill


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


#: Devices without which nobody is heard; "ear" while it is still coming.
EAR = frozenset({"microphone", "recogniser", "ear"})


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
    silent: bool = False
    """Whether nobody told the end of the last batch of boulders."""
    if_silent: float | None = None
    """When it ends if nobody answers the go-ahead either; None where somebody told that end."""
    afresh: bool = False
    """Whether somebody was hurt since a cue was said: the next one is told whole."""


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


# Without slots, because `changed` copies its fields all at once.
@dataclass(frozen=True)
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
    speech: Speech = field(default_factory=Speech)
    listening: Listening = field(default_factory=Listening)
    questions: Questions = field(default_factory=Questions)
    standing: Standstill = field(default_factory=Standstill)
    rests: Rests = field(default_factory=Rests)
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
