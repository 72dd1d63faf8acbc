"""Hard tries: the boulder, how one went, and what each cause of an end is answered with.

`CAUSES` is the table to edit: add an offer to a cause, or a cause, and its words in the language
pack (`offer-NAME`, and the answer `cause:NAME`). No offer loads more than the try that is planned
anyway; which of them help is common practice among climbers, and no trial is known to us.
"""

from dataclasses import dataclass

#: Where a try ended, the lowest first; 'below' (not topped, no more was told) and 'untold' are
#: no places.
HEIGHTS = ("start", "middle", "top", "topped")

#: Why a try ended -> what is offered for the next one, the first that this boulder has not seen.
#: Each cause begins with an offer of its own.
CAUSES: dict[str, tuple[str, ...]] = {
    # the fingers opened
    "grip": ("move-alone", "longer-rest", "other-boulder"),
    # a foot slipped, or was not where it was needed
    "foot": ("other-foot", "drill-feet", "film"),
    # the sequence was wrong, or forgotten
    "plan": ("on-the-ground", "film", "other-boulder"),
    # out of reach, too early or too late
    "reach": ("drill-reach", "move-alone", "film"),
    # held back, or afraid: nobody is talked into it
    "head": ("breathe", "on-the-ground", "longer-rest", "other-boulder"),
    # skin
    "skin": ("other-boulder", "longer-rest"),
    # simply tired
    "tired": ("longer-rest", "other-boulder"),
}

#: Kinds of boulder; of each the one thing that matters stands in the pack as `remind-NAME`.
STYLES = ("slab", "wall", "overhang", "leap")

#: Which hand does the key move.
HANDS = ("left", "right")

#: A boulder that nobody named is called so with its number of the day; it means nothing tomorrow.
UNNAMED = "boulder"


@dataclass(frozen=True, slots=True)
class Boulder:
    """A hard boulder by the name that it was given: a number, or a circuit and a number."""

    name: str
    style: str = ""
    """One of STYLES, '' for untold."""
    moves: int = 0
    """How many moves it has, 0 for untold."""
    about: str = ""
    """Its key move, one of `coach.model.key_moves.KEY_MOVES`; '' for untold."""
    key_at: int = 0
    """Which move that is, 0 for untold."""
    hand: str = ""
    """One of HANDS: the one that does the key move; '' for untold."""


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
    """One of CAUSES, '' for untold."""
    offer: str = ""
    """What was offered for the next try."""
    variation: str = ""
    """The one thing that was agreed to be different in it; '' for none."""
    felt: str = ""
    """How hard it was beside the one before: 'harder', 'same' or 'easier'; '' where not asked."""
    gone: bool | None = None
    """Whether the climber went for it (True) or held back; None where not asked."""
    today: bool = True
