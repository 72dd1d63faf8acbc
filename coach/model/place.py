"""A place: its circuits from easiest to hardest, its boards and their edges."""

from dataclasses import dataclass

#: What a movement may need and a place may have. A board counts where the place lists one.
EQUIPMENT = frozenset({"band", "bar", "board", "chair", "mat", "scale", "wall", "weight"})


@dataclass(frozen=True, slots=True)
class Edge:
    """One hold depth of a board that a hang can use."""

    name: str
    depth_mm: float
    """0 where it was never measured."""


@dataclass(frozen=True, slots=True)
class Board:
    """A hangboard of a place, or one that is carried along."""

    name: str
    edges: tuple[Edge, ...]
    """From the largest to the smallest."""
    large_hold: bool = True


@dataclass(frozen=True, slots=True)
class Circuit:
    """A place's own grade group."""

    name: str
    grades: tuple[str, ...] = ()
    """First and last grade it is thought to span, where that is known; else by order alone."""


@dataclass(frozen=True, slots=True)
class Place:
    """A hall or crag."""

    name: str
    circuits: tuple[Circuit, ...]
    """From easiest to hardest."""
    boards: tuple[Board, ...] = ()
    equipment: frozenset[str] = frozenset()
    """What is there besides boards: 'mat', 'bar', 'wall', 'band', ...

    With 'scale', the edge check is done with the feet on and takes the kilograms that the hands
    held, by key.
    """
    title: str = ""
    """What it is called aloud and on the screen."""
