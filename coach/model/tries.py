"""Hard tries: the boulder, and how one went as far as it was told."""

from dataclasses import dataclass

#: Where a try ended, the lowest first; 'below' (not topped, no more was told) and 'untold' are
#: no places.
HEIGHTS = ("start", "middle", "top", "topped")

#: Which hand does the key move.
HANDS = ("left", "right")

#: Moves that a boulder may have: those that have a phrase of their own.
MOST_MOVES = 12

#: A boulder that nobody named is called so with its number of the day; it means nothing tomorrow.
UNNAMED = "boulder"


@dataclass(frozen=True, slots=True)
class Boulder:
    """A hard boulder by the name that it was given: a number, or a circuit and a number."""

    name: str
    style: str = ""
    """One of `coach.model.key_moves.STYLES`, '' for untold."""
    moves: int = 0
    """How many moves it has, 0 for untold."""
    about: str = ""
    """Its key move, one of `coach.model.key_moves.KEY_MOVES`; '' for untold."""
    key_at: int = 0
    """Which move that is, 0 for untold."""
    hand: str = ""
    """One of HANDS: the one that does the key move; '' for untold."""
    plan: str = ""
    """How she means to climb it, in her own words, for today; '' for untold."""


@dataclass(frozen=True, slots=True)
class Went:
    """How one try went, as far as it was told."""

    who: int
    boulder: str
    result: str
    """One of HEIGHTS, 'below' or 'untold'."""
    move: int = 0
    """The move it ended at, 0 for untold."""
    seconds: float = 0.0
    """Seconds that it took, 0 where not timed."""
    cause: str = ""
    """One of `coach.model.key_moves.CAUSES`, '' for untold."""
    variation: str = ""
    """The one thing that was agreed to be different in it; '' for none."""
    felt: str = ""
    """How hard it was beside the one before: 'harder', 'same' or 'easier'; '' where not asked."""
    closer: bool = False
    """Whether the climber called it closer than the one before."""
    gone: bool | None = None
    """Whether the climber went for it (True) or held back; None where not asked."""
    today: bool = True
