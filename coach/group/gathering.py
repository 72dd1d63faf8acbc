"""The state of a group session: one frozen value that holds all that can differ in time."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from coach.group.callout import Callout
from coach.group.programme import Programme
from coach.group.station_turns import members_of
from coach.model.answers import Answer
from coach.model.day import Day, Library
from coach.model.messages import Message
from coach.model.person import Person
from coach.model.start import Options
from coach.planning.stations import Seat, Station
from coach.session.dialogue import Listening, Speech, Window
from coach.session.state import Phase


class Status(StrEnum):
    """Whether a person takes part now."""

    HERE = "here"
    #: expected, not here yet
    LATE = "late"
    OUT = "out"
    #: hurting: only the leader's own clear yes takes them back in
    HURT = "hurt"


class Act(StrEnum):
    """Which part of the warm-up runs."""

    #: everybody together on the mat
    WARM = "warm"
    #: boards and wall, each team by the rota
    ROTA = "rota"
    #: together again
    DOWN = "down"


@dataclass(frozen=True, slots=True)
class RunningTogether:
    """The step together that runs."""

    callout: Callout
    since: float | None = None
    """None in the lead-in."""
    until: float | None = None


@dataclass(frozen=True, slots=True)
class AskedLeader:
    """What the leader is asked about somebody; unanswered, it closes to the careful side."""

    question: str
    """'' while it is only known who it is about."""
    who: int
    """0 while that is what is asked."""
    about: Answer | None = None
    """What is told of whoever is named next."""
    again: bool = False
    """Whether it was put once more after silence."""


@dataclass(frozen=True, slots=True)
class Lowered:
    """The leader's last change that only lowered: what it would take to take it back."""

    who: int
    at: float
    day: Day
    status: Status
    unhealed: bool
    unplaced: bool


# Without slots, because `changed` copies its fields all at once.
@dataclass(frozen=True)
class Group:
    """A group's whole session. Only `coach.group.group_step.step` changes it."""

    library: Library
    options: Options
    stations: tuple[Station, ...]
    programme: Programme
    statuses: Mapping[int, Status] = field(default_factory=dict)
    phase: Phase = Phase.NEW
    act: Act = Act.WARM
    at: float = 0.0
    began: float = 0.0
    callouts: tuple[Callout, ...] = ()
    """Steps together that are left in this act, the running one first."""
    running: RunningTogether | None = None
    teams: Mapping[int, tuple[int, ...]] = field(default_factory=dict)
    """The lower number of a team -> everybody in it, there or not."""
    rota_at: float = 0.0
    """When second 0 of the rota was, standing still not counted."""
    seated: tuple[Seat, ...] = ()
    """Seats that are taken now."""
    pending: tuple[Seat, ...] = ()
    """Seats to come, in the order of time."""
    ready: tuple[int, ...] = ()
    """Who waits on the mat until their next seat."""
    had: frozenset[tuple[int, str]] = frozenset()
    """Turns that were done or begun: team, turn."""
    noted: Mapping[tuple[int, str], float] = field(default_factory=dict)
    """Who, and step that they are in -> the share of it that is on the record already."""
    late: frozenset[int] = frozenset()
    """Who missed what of the mat never goes, or came back cold: they owe it before a station."""
    away: Mapping[int, float] = field(default_factory=dict)
    """Who left -> when, until they are back."""
    standing: float | None = None
    """Since when all timers stand; None while they run."""
    course_at: float = 0.0
    """When the leader was told that they stand: reminders are counted from there."""
    reminded: int = 0
    """How often the leader was reminded since then."""
    roll: bool = False
    """Whether the leader is asked at the beginning who is missing."""
    by_number: tuple[int, ...] = ()
    """Who is called by number though they have a name: the leader is told."""
    asked: AskedLeader | None = None
    unclear: int = 0
    """The last window in which a name was not understood, so that its number was asked for."""
    doubted: str = ""
    """The answer that the leader was last asked to say once more; '' once anything was taken."""
    lowered: Lowered | None = None
    unhealed: frozenset[int] = frozenset()
    """Who told of hurting and was not let in since, whatever was told of them after it."""
    unplaced: frozenset[int] = frozenset()
    """Of whom it was told that they are hurt, and not where yet."""
    move: tuple[Message, ...] = ()
    """Cues of the last change."""
    repeat: float | None = None
    """When they are said once more."""
    owing: bool = False
    """Whether that time is set once they have been said."""
    ready_at: float | None = None
    """When many who begin a turn are asked whether they are ready; None for not at all."""
    warned: float = 0.0
    """The change of which "ten seconds" was said."""
    joined: frozenset[int] = frozenset()
    """Who came into the rota later than the others, or owes the mat before it."""
    others_until: float = 0.0
    """Second of the rota at which the others are done."""
    swapped: float = 0.0
    """Second of the rota up to which two at a board were told to change over."""
    toned: float = math.inf
    """Second of the rota up to which the tones of the boards have sounded; infinite for none."""
    waits: int = 0
    """How often people were told what to do while they wait."""
    waits_from: float = 0.0
    """From when on it is counted until they are told again."""
    waits_told: float = -math.inf
    """When they were told last."""
    calls: tuple[Message, ...] = ()
    """Forms and offers that were called out already at this kind of station."""
    speech: Speech = field(default_factory=Speech)
    listening: Listening = field(default_factory=Listening)
    closes: float | None = None
    """When the open window closes by itself."""
    wake: float | None = None
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
        return self.listening.window

    @property
    def did(self) -> Message | None:
        """What the last answer did: for the leader's screen."""
        return self.listening.did

    @property
    def about(self) -> int:
        """Whom the leader named last, until something is told of them; 0 for nobody."""
        return self.asked.who if self.asked is not None else 0

    def status(self, who: int) -> Status:
        """Whether a person takes part now."""
        return self.statuses.get(who, Status.HERE)

    @property
    def here(self) -> tuple[int, ...]:
        """Who takes part now."""
        return tuple(who for who in self.people if self.status(who) is Status.HERE)

    def members(self, seat: Seat) -> tuple[int, ...]:
        """Who of a team takes part now."""
        team = members_of(self.teams, seat.turn.who)
        return tuple(who for who in team if self.status(who) is Status.HERE)

    def person(self, who: int) -> Person | None:
        """A person by number, or None."""
        return next((one for one in self.options.people if one.who == who), None)

    @property
    def rota_second(self) -> float:
        """Seconds of the rota that have run, standing still not counted."""
        return (self.at if self.standing is None else self.standing) - self.rota_at

    @property
    def recorded_seconds(self) -> float:
        """Seconds from the beginning to now, or to the end."""
        return (self.at if self.ended is None else self.ended) - self.began
