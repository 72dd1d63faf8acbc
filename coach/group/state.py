"""The state of a group session: one frozen value that holds all that can differ in time."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from coach.model.day import Day, Library
from coach.model.facts import Omitted
from coach.model.messages import Message
from coach.model.person import Person
from coach.model.plan import Step
from coach.model.routine import BlockKind
from coach.model.start import Options
from coach.planning.offers import cost
from coach.planning.stations import Rota, Seat, Station
from coach.session.state import Phase, Queued, Saying, Window, open_one


class Status(StrEnum):
    """Whether a person takes part now."""

    HERE = "here"
    #: expected, not here yet
    LATE = "late"
    OUT = "out"
    #: hurting: only the leader's own clear yes takes them back in
    HURT = "hurt"


class Part(StrEnum):
    """Which part of the warm-up runs."""

    #: everybody together on the mat
    WARM = "warm"
    #: boards and wall, each by the rota
    ROTA = "rota"
    #: together again
    DOWN = "down"


@dataclass(frozen=True, slots=True)
class Common:
    """A step of the whole group: one form for everybody, and a harder one for some by number."""

    step: Step
    """Its forms are what each person does; somebody who may do no form sits it out."""
    form: str
    """The movement that is called out: the easier form."""
    offer: str = ""
    """The harder form that some may take instead; '' for none."""
    to: tuple[int, ...] = ()
    """Who may take it."""
    everybody: bool = False
    """Whether that is everybody who takes part in the step."""
    untold: tuple[tuple[int, str], ...] = ()
    """Who may take a harder form that is not offered, because one would stand alone: who, form."""


@dataclass(frozen=True, slots=True)
class Stop:
    """What is done in one turn at a kind of station."""

    name: str
    kind: str
    """'mat', 'board' or 'wall'."""
    block: BlockKind
    commons: tuple[Common, ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """What a group will do."""

    day: Day
    warm: tuple[Common, ...]
    stops: tuple[Stop, ...]
    down: tuple[Common, ...]
    rota: Rota
    omitted: tuple[Omitted, ...] = ()

    @property
    def seconds(self) -> float:
        """Everything, one after the other."""
        return together(self.warm) + self.rota.seconds + together(self.down)

    @property
    def bound(self) -> float:
        """The least that it could take: nobody is at a station before the mat or after the end."""
        return together(self.warm) + self.rota.bound + together(self.down)

    @property
    def untold(self) -> tuple[tuple[int, str], ...]:
        """Who may take a harder form that is not offered aloud: who, movement; each once."""
        commons = (*self.warm, *(c for stop in self.stops for c in stop.commons), *self.down)
        return tuple(dict.fromkeys(one for common in commons for one in common.untold))


def together(commons: tuple[Common, ...]) -> float:
    """Seconds of steps that everybody does at once, lead-ins and rests counted."""
    return sum(cost(common.step) for common in commons)


@dataclass(frozen=True, slots=True)
class Running:
    """The common step that runs."""

    common: Common
    since: float | None = None
    """None in the lead-in."""
    until: float | None = None


# Without slots, because `changed` copies its fields all at once.
@dataclass(frozen=True)
class Group:
    """The whole session of a group. `coach.group.step.step` is the only thing that changes it."""

    library: Library
    options: Options
    stations: tuple[Station, ...]
    plan: Plan
    statuses: Mapping[int, Status] = field(default_factory=dict)
    phase: Phase = Phase.NEW
    part: Part = Part.WARM
    at: float = 0.0
    began: float = 0.0
    commons: tuple[Common, ...] = ()
    """Common steps that are left in this part, the running one first."""
    running: Running | None = None
    rota_at: float = 0.0
    """When second 0 of the rota was, standing still not counted."""
    seated: tuple[Seat, ...] = ()
    """Seats that are taken now."""
    pending: tuple[Seat, ...] = ()
    """Seats to come, in the order of time."""
    ready: tuple[int, ...] = ()
    """Who waits on the mat until their next seat."""
    had: frozenset[tuple[int, str]] = frozenset()
    """Turns that were done or begun: who, turn."""
    late: frozenset[int] = frozenset()
    """Who came late, so that they still owe the mat."""
    standing: float | None = None
    """Since when all timers stand; None while they run."""
    asked: int = 0
    """Whom the leader named last, until something is told of them."""
    unhealed: frozenset[int] = frozenset()
    """Who told of hurting and was not let in since, whatever was told of them after it."""
    move: tuple[Message, ...] = ()
    """Cues of the last change."""
    repeat: float | None = None
    """When they are said once more."""
    owing: bool = False
    """Whether that time is set once they have been said."""
    calls: tuple[Message, ...] = ()
    """Forms and offers that were called out already at this kind of station."""
    windows: tuple[Window, ...] = ()
    closes: float | None = None
    """When the open window closes by itself."""
    saying: Saying | None = None
    queue: tuple[Queued, ...] = ()
    next_sound: int = 1
    next_window: int = 1
    wake: float | None = None
    last_cue: Message | None = None
    heard: Message | None = None
    did: Message | None = None
    """What the last answer did: for the leader's screen."""
    lost: frozenset[str] = frozenset()
    how: str = "done"
    ended: float | None = None

    @property
    def people(self) -> tuple[int, ...]:
        """Numbers of everybody on the roster."""
        return tuple(person.who for person in self.options.people)

    @property
    def weighs(self) -> int:
        """Nobody: a group shares its edges, and no reading of a scale is told."""
        return 0

    @property
    def window(self) -> Window | None:
        """The window that is open, or None."""
        return open_one(self.windows)

    def status(self, who: int) -> Status:
        """Whether a person takes part now."""
        return self.statuses.get(who, Status.HERE)

    @property
    def here(self) -> tuple[int, ...]:
        """Who takes part now."""
        return tuple(who for who in self.people if self.status(who) is Status.HERE)

    def person(self, who: int) -> Person | None:
        """A person by number, or None."""
        return next((one for one in self.options.people if one.who == who), None)

    @property
    def recorded_seconds(self) -> float:
        """Seconds from the beginning to now, or to the end."""
        return (self.at if self.ended is None else self.ended) - self.began
