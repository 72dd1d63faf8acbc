"""Offers: pieces of a session with stable names, what they cost and what they are worth.

Owns names ('board.3' is always the same set of the same item), the time model and the worth of
each piece to the budget. `coach.planning.contents` makes the offers of a routine.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from math import ceil

from coach.model.body import CapReason
from coach.model.day import Day
from coach.model.plan import LEFT, RIGHT, Step, StepKind
from coach.model.routine import BlockKind
from coach.planning import cue_seconds

#: Boulders in one batch (our choice: few enough to count).
BATCH = 5
#: Least and most boulders by tier before hard tries (common practice).
BOULDERS = {BlockKind.EASY: (10, 15), BlockKind.MIDDLE: (5, 10)}
#: Looked up once: what a step costs is asked hundreds of times in one change of plan, and before
#: Python 3.12 a member of an enum takes longer to look up than the sum.
_CLIMB, _TRY, _HARD = StepKind.CLIMB, StepKind.TRY, BlockKind.HARD
#: Kept in `Day.told` of whoever has no hard tries any more today, or no further ones.
NO_TRIES = "no-tries"
NO_MORE_TRIES = "no-more-tries"
_PASSING = frozenset({CapReason.GATE, CapReason.COLD})
#: Seconds that a round of tries counts as in its worth, whatever its rest: so that it is always
#: the last rounds that go.
_ROUND = 240
#: How much a second of each block is worth, and how many pieces until it is worth nothing:
#: the designers' choice of what matters when time is short.
_WORTH = {
    BlockKind.PULSE: (20, 12),
    BlockKind.MAT: (22, 40),
    BlockKind.BOARD: (26, 40),
    BlockKind.EASY: (22, 8),
    BlockKind.MIDDLE: (23, 16),
    BlockKind.HARD: (19, 60),
    BlockKind.STRENGTH: (7, 16),
    BlockKind.COOL_DOWN: (3, 16),
}


@dataclass(frozen=True)
class Offer:
    """A group of steps that is done whole, in its place in the session.

    It is used again from one change of plan to the next; what follows from it is worked out once.
    """

    name: str
    kind: BlockKind
    shapes: tuple[Step, ...]
    """Its steps, each with only the end of its name: '', '.left', '.rest', '.1'."""
    index: int
    """How many pieces of its kind come before it."""
    seconds: int
    """Whole seconds with lead-ins and rests."""
    must: bool = False
    """Core, a floor, or a question."""
    floor: bool = False
    core: bool = False
    sides: int = 1
    """2 where each shape is done left and right."""

    @cached_property
    def steps(self) -> tuple[Step, ...]:
        """Its steps, named, each side for itself."""
        whole = [
            replace(
                shape,
                name=self.name + shape.name,
                floor=self.floor,
                core=self.core,
                piece=self.name,
                placed=True,
            )
            for shape in self.shapes
        ]
        if self.sides == 1:
            return tuple(whole)
        return tuple(half_of(step, side) for side in (LEFT, RIGHT) for step in whole)

    @cached_property
    def bare_seconds(self) -> int:
        """Whole seconds of its cues and work: the least that it can take."""
        return ceil(sum(step.lead + step.seconds for step in self.steps))

    @cached_property
    def question(self) -> str:
        """The question that it asks, '' for none."""
        return self.shapes[0].question

    @cached_property
    def tries(self) -> bool:
        """Whether it is a round of hard tries."""
        return self.kind is _HARD and self.shapes[-1].kind is _TRY

    @cached_property
    def boulders(self) -> int:
        """Boulders of its batch, 0 for anything else."""
        return sum(shape.amount for shape in self.shapes if shape.kind is _CLIMB)

    @cached_property
    def worth(self) -> int:
        """What it is worth to the budget."""
        return worth(self.kind, self.index, self.seconds)


def sided(steps: tuple[Step, ...], sides: int) -> tuple[Step, ...]:
    """The steps, or with two sides each of them left and right."""
    if sides == 1:
        return steps
    return tuple(half_of(step, side) for step in steps for side in (LEFT, RIGHT))


def half_of(step: Step, side: str) -> Step:
    """The left or the right of a step that is done on both sides."""
    return replace(
        step,
        name=f"{step.name}.{side}",
        piece=step.whole,
        side=side,
        half=side,
        other=f"{step.name}.{RIGHT if side == LEFT else LEFT}",
        lead=cue_seconds.AGAIN if side == RIGHT else step.lead,
    )


def cost(step: Step) -> float:
    """Seconds that a step takes from the session at most: cue, work, and all of its rest."""
    return step.lead + step.seconds + step.rest


def whole_seconds(steps: Iterable[Step]) -> int:
    """Whole seconds that steps take."""
    return ceil(sum(map(cost, steps)))


def worth(kind: BlockKind, index: int, seconds: int) -> int:
    """What a piece is worth to the budget; later pieces of a kind are worth less."""
    rate, pieces = _WORTH[kind]
    if kind is _HARD:
        seconds = _ROUND
    return max(seconds * rate * max(pieces - index, 0) // pieces, 1)


def hopeful(day: Day) -> Day:
    """The day as it is once every gate has been opened and every skipped floor made up."""
    return replace(
        day,
        caps=tuple(cap for cap in day.caps if cap.reason not in _PASSING),
        go=tuple(person.who for person in day.people),
    )
