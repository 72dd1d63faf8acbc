"""A routine: the blocks of a session, in order, with floors; the planner fills the minutes."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from coach.model.movement import Family


class BlockKind(StrEnum):
    """What a block is for; the rules speak of kinds, never of names."""

    PULSE = "pulse"
    MAT = "mat"
    BOARD = "board"
    EASY = "easy"
    MIDDLE = "middle"
    HARD = "hard"
    STRENGTH = "strength"
    COOL_DOWN = "cool-down"


class Reach(StrEnum):
    """How far a session goes, as far as its minutes allow."""

    #: warm, mobile, and hangs
    BOARD = "board"
    #: and easy boulders
    EASY = "easy"
    #: and middle ones, too few to try hard after them
    MIDDLE = "middle"
    #: and hard tries
    HARD = "hard"


@dataclass(frozen=True, slots=True)
class Item:
    """One line of a block: a movement with its dose."""

    movement: str
    amount: int | None = None
    """None means the movement's usual dose."""
    sets: int = 1
    least_sets: int = 0
    """Sets that stay when time is short; 0 means the item may go."""
    core: bool = False
    """Part of the constant core: same place, same dose, in every version of the routine."""
    choose: Family | None = None
    """The climber may choose a movement of this family instead; none of it loads more."""


@dataclass(frozen=True, slots=True)
class BlockSpec:
    """A block as a routine writes it."""

    kind: BlockKind
    items: tuple[Item, ...]
    floor: float
    """Seconds below which the block counts as skipped (0: may go)."""
    most: float
    """Seconds beyond which more of it is no use."""
    gate: str | None = None
    """Question asked when the block ends, such as 'gate-body'; None for none."""
    name: str = ""
    """Unique in the routine; a routine that extends it says by this name what changes."""


@dataclass(frozen=True, slots=True)
class Routine:
    """A routine file."""

    name: str
    title: Mapping[str, str]
    minutes: int
    """The usual length."""
    least_minutes: int
    """The least that its floors need."""
    blocks: tuple[BlockSpec, ...]

    @property
    def only_tries(self) -> bool:
        """Whether it holds hard tries and nothing else: only their rests are looked after."""
        return all(block.kind is BlockKind.HARD for block in self.blocks)
