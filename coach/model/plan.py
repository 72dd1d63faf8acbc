"""A plan: steps in order, each with what it loads per person, and the rules that shaped them."""

from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property

from coach.model.body import Load, Part
from coach.model.messages import Message
from coach.model.routine import BlockKind


class StepKind(StrEnum):
    """What the runner can run."""

    #: keep still for a time
    STAY = "stay"
    #: a number of repetitions, at the climber's pace
    REPEAT = "repeat"
    #: a number of breaths, paced
    BREATHE = "breathe"
    #: a batch of boulders; a count may be told at any window
    CLIMB = "climb"
    #: goes by feel: at least `least`, at most `most`
    DOSE = "dose"
    #: one go at a hard boulder: off the floor, down, then how it ended
    TRY = "try"
    REST = "rest"
    #: a question with a window
    ASK = "ask"


class Drill(StrEnum):
    """Why the drill of a hard move is done."""

    #: before the first try
    FIRST = "first"
    #: it is kept for two falls at the move, and goes where there were none
    KEPT = "kept"
    #: the climber asked for it once more
    ASKED = "asked"


LEFT, RIGHT = "left", "right"
#: What holds a hang.
ARMS = frozenset({Part.FINGERS, Part.WRISTS, Part.ELBOWS, Part.SHOULDERS, Part.SKIN})
#: Steps during which the person hangs or climbs: nothing over 2.5 s is said, only ANYTIME answers.
ON_THE_WALL = frozenset({StepKind.CLIMB, StepKind.TRY})


@dataclass(frozen=True, slots=True)
class Form:
    """What one person does in a step, and what it loads. An empty movement sits it out."""

    who: int
    movement: str
    load: Load
    aims: frozenset[Part] = field(default=frozenset(), compare=False)
    """The parts that it is meant to work or move: these rest after it. The others are loaded beside
    them, which is what whoever hurts there has to know."""


@dataclass(frozen=True)
class Step:
    """One thing the runner runs.

    What follows from its forms is asked at every look at the day and for every order that is tried
    out, so it is worked out once (else a fifth of what a session takes).
    """

    name: str
    """Unique in the plan and stable across re-plans: 'board.3'."""
    kind: StepKind
    block: BlockKind
    forms: tuple[Form, ...]
    """One for each person who takes part, in order of `who`."""
    amount: int
    """Seconds, breaths, repetitions, boulders or goes, by kind."""
    seconds: float
    """How long it should take, its cue and its rest not counted."""
    rest: float = 0.0
    """Seconds that the parts it loads rest before anything loads them again."""
    lead: float = 0.0
    """Seconds from its turn to its work: the cue, and getting into place."""
    least: int = 0
    most: int = 0
    """Least and most goes of a DOSE."""
    side: str = ""
    """'left', 'right' or ''."""
    half: str = ""
    """Which half of two sides it was laid out as, though what is done in it now may have none."""
    other: str = ""
    """The name of the other half, '' for none."""
    question: str = ""
    """The question of an ASK (see `coach.model.questions`)."""
    turn: int = 0
    """Whose turn it is in a TRY; 0 is everybody's."""
    hangs: bool = False
    """Whether the person hangs from their hands: the cautions of the board apply."""
    floor: bool = False
    """Part of the least of its block."""
    core: bool = False
    piece: str = ""
    """The piece of the session that is done or left out whole, 'board.3' of 'board.3.left'; '' for
    a step that is one by itself."""
    placed: bool = False
    """Whether the routine itself has it in this place."""
    makes_up: str = ""
    """The piece of the warm-up, left out before, that it makes up for."""
    drill: Drill | None = None
    """Why a drill is done; None for any other step."""
    intended: tuple[Form, ...] = ()
    """What the routine means for each person once every gate is open; `forms` is what the
    caps allow now. Empty where the step has no movement."""
    dose: int = 0
    """The amount of the intended movement."""

    @property
    def whole(self) -> str:
        """The name of what is done or left out with it: its piece, or itself."""
        return self.piece or self.name

    @property
    def warms(self) -> bool:
        """Whether it is part of the least warm-up: left out, it comes again before hard tries."""
        return self.floor and self.block is not BlockKind.COOL_DOWN

    @property
    def on_the_wall(self) -> bool:
        """Whether the person hangs or climbs while it runs."""
        return self.hangs or self.kind in ON_THE_WALL

    @property
    def strains(self) -> bool:
        """Whether the person hangs or is on a hard try: nothing may change under them."""
        return self.hangs or self.kind is StepKind.TRY

    @cached_property
    def heaviest(self) -> int:
        """The highest load of any part of anybody, 0 to 3."""
        return max((load for form in self.forms for load in form.load.values()), default=0)

    @cached_property
    def loaded(self) -> frozenset[tuple[int, Part | None]]:
        """Who and part of all that it loads; None for whoever it strengthens."""
        found: set[tuple[int, Part | None]] = set()
        for form in self.forms:
            found.update((form.who, part) for part, load in form.load.items() if load > 0)
            if self.block is BlockKind.STRENGTH and max(form.load.values(), default=0) > 1:
                found.add((form.who, None))
        return frozenset(found)

    @cached_property
    def strained(self) -> tuple[tuple[int, Part], ...]:
        """Who and part of what rests after it: what it loads most, and after a hang the arms.

        Stepping off a hang or kneeling loads more parts for a moment; they need no rest of their
        own (our choice).
        """
        found = []
        for form in self.forms:
            most = max(form.load.values(), default=0)
            for part, load in form.load.items():
                if 0 < load == most or (load > 0 and self.hangs and part in ARMS):
                    found.append((form.who, part))
        return tuple(found)

    def form(self, who: int) -> Form | None:
        """The form of one person, or None if they have no part in the step."""
        return next((form for form in self.forms if form.who == who), None)


@dataclass(frozen=True, slots=True)
class Fired:
    """A rule that fired: which, why, and how sure it is."""

    rule: str
    because: Message
    """What 'why' says."""
    sure: str
    """'published', 'common practice' or 'our choice'."""
