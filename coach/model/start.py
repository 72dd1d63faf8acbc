"""What a session began with: enough to run it again from its stored events."""

from dataclasses import dataclass

from coach.model.body import Feel, Part
from coach.model.day import Library
from coach.model.messages import Message, Value
from coach.model.person import Person
from coach.model.tries import Boulder, Went
from coach.model.usual_edge import Usual


@dataclass(frozen=True, slots=True)
class Options:
    """What was settled before the session began; None means that it is asked."""

    people: tuple[Person, ...] = ()
    minutes: float | None = None
    hurting: tuple[tuple[int, Part, Feel], ...] | None = None
    """Who, part, how; empty: nothing hurts."""
    same_place: bool | None = None
    signs: tuple[tuple[int, Part], ...] = ()
    """Warning signs of earlier days that no clinician has cleared: who, part."""
    practised: tuple[tuple[int, str], ...] = ()
    """Focuses of earlier days: who, movement; the one practised last comes last."""
    favoured: tuple[str, ...] = ()
    """Focuses that an aim asks for."""
    boulders: tuple[tuple[int, Boulder], ...] = ()
    """What each person means to try, where it was named: who, boulder."""
    known: tuple[Boulder, ...] = ()
    """Boulders of earlier days with the style and moves that were told of them."""
    went: tuple[Went, ...] = ()
    """Tries of earlier days on boulders with a name, the earliest first."""
    notes: tuple[tuple[int, str, str], ...] = ()
    """Spoken notes of earlier days that are still there: who, boulder, name."""
    films: tuple[tuple[int, str], ...] = ()
    """Boulders on which a try was filmed the last time: who, boulder."""
    wall: str = ""
    """Date and time of day at the start, 'YYYY-MM-DD HH:MM:SS'; '' where nobody needs it."""
    told: tuple[tuple[int, str], ...] = ()
    """What else is told of the day: who, a tag of `coach.planning.day_tags`."""
    usual: tuple[tuple[int, Usual], ...] = ()
    """What a scale read at edge checks of earlier days, where there are enough: who, which."""
    away: tuple[int, ...] = ()
    """Who comes back after a break whose reason is still to be asked."""
    aim: Message | None = None
    """Where an aim stands, told at the start."""
    review: tuple[tuple[int, Message], ...] = ()
    """What of the year is told at the start instead: who, a trial's outcome or an aim's review."""
    doses: tuple[tuple[int, str, float], ...] = ()
    """Seconds of each dose in the year so far: who, dose, seconds."""
    complaints: tuple[tuple[int, str], ...] = ()
    """What else was told of a body: who, answer key of a sign, or of a pain with its strength."""
    rests: tuple[tuple[int, float], ...] = ()
    """The rest between hard tries that somebody chose, or took on earlier days: who, seconds."""
    ask_tries: bool = True
    """Whether anything is asked after a hard try."""
    view_first: bool = False
    """Whether somebody tells what she felt before a change is offered."""
    ageless: tuple[int, ...] = ()
    """Whose age is asked: nobody told it yet."""
    level_asked: str = ""
    """What somebody alone is asked of their level today: 'climbed' or 'comfortable'; '' for no."""
    usual_age: tuple[int, ...] = ()
    """Whose age is the remembered one of whoever this machine belongs to."""
    again: tuple[tuple[int, Message], ...] = ()
    """What was sore or hurt again and again: who, what is said of it."""
    stands: tuple[tuple[int, Message], ...] = ()
    """What stands of earlier days: who, what is said of it at the start."""
    learn_voice: bool = False
    """Whether it may be asked if the ear may learn this voice: somebody's first session, alone."""
    open_end: bool = False
    """Nobody told when it is over: the minutes are only the most that are looked after."""


@dataclass(frozen=True, slots=True)
class Start:
    """The first entry of a session in the journal."""

    routine: str
    minutes: int
    people: tuple[Person, ...]
    library: Library
    """Everything the files held; the journal keeps each distinct one once."""
    rules_version: str
    """Version of the rules; a session replays only under the one that made it."""
    program: str
    """Version of the program."""
    wall: str
    """When it began: ISO 8601 with its offset from UTC."""
    voice: str = ""
    options: tuple[tuple[str, Value], ...] = ()
    """Further choices of the day, by name."""
    settled: Options = Options()
    """What the check-in did not have to ask."""
    kind: str = "solo"
    """Which kind of session it is, by the name in `coach.session.kinds` or `coach.group.kind`."""
