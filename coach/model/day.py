"""What is known of today: who is here, how they feel, what caps them, when it must end."""

from collections.abc import Mapping
from dataclasses import dataclass

from coach.model.body import COMPLAINTS, Cap, Feel, Part, Tissue
from coach.model.key_moves import NO_KEY_MOVES, KeyMoves
from coach.model.messages import Message
from coach.model.movement import Movement
from coach.model.person import Person
from coach.model.place import Place
from coach.model.plan import Fired, Step
from coach.model.routine import BlockKind, Reach, Routine


@dataclass(frozen=True, slots=True)
class Library:
    """The data of one session: what the files held when it began."""

    movements: Mapping[str, Movement]
    routine: Routine
    place: Place
    words: frozenset[str] = frozenset()
    """Answer keys that the language pack has phrases for; empty means all."""
    key_moves: KeyMoves = NO_KEY_MOVES


@dataclass(frozen=True, slots=True)
class Report:
    """How one part of one person feels, as last told."""

    who: int
    part: Part
    feel: Feel
    tissue: Tissue | None = None

    @property
    def complains(self) -> bool:
        """Whether it spares the part."""
        return self.feel in COMPLAINTS


@dataclass(frozen=True, slots=True)
class Day:
    """The state that planning works from. Replaced, never changed."""

    people: tuple[Person, ...]
    ends_at: float
    """Seconds on the session's timeline by which it should be over."""
    begins_at: float = 0.0
    """The second on the same timeline at which it began."""
    home_at: float = 0.0
    """The second at which she goes home, as long as the go-ahead is ahead; 0 without a plan."""
    caps: tuple[Cap, ...] = ()
    reports: tuple[Report, ...] = ()
    """The latest of each who and part."""
    signs: tuple[tuple[int, str], ...] = ()
    """Warning signs told: who, sign."""
    gates: tuple[tuple[int, str], ...] = ()
    """Gates that a person opened by a clear answer: who, question."""
    go: tuple[int, ...] = ()
    """Who said 'go' at the go-ahead."""
    skipped: tuple[str, ...] = ()
    """Names of floor steps that were skipped or cut and not made up."""
    told: tuple[tuple[int, str], ...] = ()
    """What else was told at the check-in or on the way: who, a tag of `coach.planning.day_tags`."""
    pending: tuple[tuple[int, str], ...] = ()
    """Half of a staged answer that waits for the other half: who, its answer key."""
    reach: Reach = Reach.HARD
    """How far the session goes in its minutes."""
    batches: tuple[tuple[BlockKind, float], ...] = ()
    """Seconds of one boulder in each batch of easy and middle ones that was climbed today."""
    rested: tuple[tuple[int, Part | None, float], ...] = ()
    """Who, a part that was loaded, and the second from which it may be loaded again; None for what
    strengthens after a hard try."""


@dataclass(frozen=True, slots=True)
class Change:
    """What planning made of an answer."""

    day: Day
    steps: tuple[Step, ...]
    """What is left now, the current step first where it still runs."""
    say: Message | None = None
    """One short sentence: what changed. None when nothing did."""
    fired: tuple[Fired, ...] = ()
    cut: bool = False
    """The current step must end now: it is not the first of `steps` any more."""
    ask: str = ""
    """A question that the rule needs answered next, such as 'tissue' or 'sign'."""
    part: Part | None = None
    """The part that this question is about."""
