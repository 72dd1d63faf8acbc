"""A movement: what is done, how it is told, what it loads, and what is easier or harder."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from coach.model.body import Load, Part
from coach.model.demands import Does


class Family(StrEnum):
    """Where in a session a movement belongs."""

    MAT = "mat"
    PULSE = "pulse"
    #: with others, while a group waits
    GAME = "game"
    HANDS = "hands"
    SHOULDERS = "shoulders"
    BOARD = "board"
    FOCUS = "focus"
    CATCH = "catch"
    DRILL = "drill"
    CLIMB = "climb"
    ANTAGONIST = "antagonist"
    COOL_DOWN = "cool-down"


class Unit(StrEnum):
    """What a dose is counted in; it decides the kind of step the runner makes of it."""

    SECONDS = "seconds"
    BREATHS = "breaths"
    REPEATS = "repeats"
    BOULDERS = "boulders"
    GOES = "goes"
    """Goes by feel: least to most, the climber says 'another' or 'enough'."""


class Hold(StrEnum):
    """What a hang hangs from, easiest first."""

    LARGEST = "largest"
    #: one hand on the largest hold, one on the usual edge
    UNEVEN = "uneven"
    #: the edge next larger than the usual one
    LARGER_EDGE = "larger-edge"
    USUAL_EDGE = "usual-edge"


class Grip(StrEnum):
    """How the fingers take it. There is no full crimp: nothing here ever asks for it."""

    JUG = "jug"
    OPEN = "open"
    HALF_CRIMP = "half-crimp"


class Feet(StrEnum):
    """Whether the feet carry part of the weight."""

    ON = "on"
    OFF = "off"


@dataclass(frozen=True, slots=True)
class Hang:
    """How a movement hangs; two edge checks compare only if all of it is the same."""

    hold: Hold
    grip: Grip
    feet: Feet


#: Families whose boulders may be caught: what climbs in them has to say how it takes its holds.
_CAUGHT = (Family.CATCH, Family.DRILL)
_HOW = frozenset({Does.PLACES, Does.CATCHES_WITH_ONE_HAND, Does.CATCHES, Does.DROPS_OFF})
#: What a family is for, and so what the body does in it at least.
_AT_LEAST: Mapping[Family, Does] = {
    Family.PULSE: Does.STEPS,
    Family.GAME: Does.STEPS,
    Family.HANDS: Does.MOVES_FINGERS,
    Family.SHOULDERS: Does.MOVES_SHOULDERS,
    Family.BOARD: Does.HANGS,
    Family.CATCH: Does.CLIMBS,
    Family.CLIMB: Does.CLIMBS,
    Family.FOCUS: Does.CLIMBS,
}
#: What is done with what it needs: a board is hung from, the others are held.
_WITH: Mapping[str, frozenset[Does]] = {
    "board": frozenset({Does.HANGS, Does.GRIPS}),
    "bar": frozenset({Does.GRIPS, Does.PULLS}),
    "band": frozenset({Does.GRIPS}),
    "weight": frozenset({Does.GRIPS}),
    "wall": frozenset({Does.GRIPS}),
}
_STILL = frozenset({Does.LIES, Does.SITS})


def shown(
    does: frozenset[Does],
    family: Family,
    unit: Unit,
    hang: Hang | None = None,
    equipment: Iterable[str] = (),
) -> frozenset[Does]:
    """What the body does in a movement, with what the rest of its table shows.

    What its family is for is done in it, and what it needs is held or hung from. Nobody is at the
    wall without climbing who does not say that they stand. What climbs by single moves, or in a
    family of catches or drills, and does not say how, counts as a catch with both hands: the risk
    that is not known.
    """
    least = _AT_LEAST.get(family)
    # arms may raise the pulse too: then it is enough that something moves
    if least is not None and (least is not Does.STEPS or does <= _STILL):
        does |= {least}
    needs = frozenset(equipment)
    for thing in needs & _WITH.keys():
        does |= _WITH[thing]
    if unit is Unit.BOULDERS or ("wall" in needs and Does.STANDS not in does):
        does |= {Does.CLIMBS}
    if hang is not None:
        carried = Does.STANDS if hang.feet is Feet.ON else Does.STEPS_DOWN
        does |= {Does.HANGS, Does.GRIPS, carried}
    single = family in _CAUGHT or unit is not Unit.BOULDERS
    if single and Does.CLIMBS in does and does.isdisjoint(_HOW):
        does |= {Does.CATCHES}
    return does


def hung(hang: Hang | None) -> Load:
    """The least that a hang loads, by its hold and its feet; our choice of the order of loads.

    With the feet off the shoulders carry the whole body; off anything but the largest hold the
    fingers do as well, and on the usual edge the skin.
    """
    if hang is None or hang.feet is Feet.ON:
        return {}
    least = {Part.SHOULDERS: 2}
    if hang.hold is not Hold.LARGEST:
        least[Part.FINGERS] = 2
    if hang.hold is Hold.USUAL_EDGE:
        least[Part.SKIN] = 2
    return least


@dataclass(frozen=True, slots=True)
class Movement:
    """One entry of the catalogue (a table of `routines/movements/*.toml`)."""

    name: str
    family: Family
    unit: Unit
    amount: int
    """The usual dose, in units, per side."""
    least: int
    most: int
    seconds_each: float
    """Seconds that one unit takes (1 for seconds)."""
    load: Load
    """The load of every part that gets any: what it does asks, what it states, what is unknown."""
    title: Mapping[str, str]
    """Language -> two or three words for the screen and the spoken plan."""
    cue: Mapping[str, str]
    """Language -> the one line that is spoken."""
    form: Mapping[str, str]
    """Language -> what to look for; shown, never spoken on the move."""
    sides: int = 1
    rest: float = 0.0
    """Seconds of rest after each set or go."""
    equipment: frozenset[str] = frozenset()
    order: int = 0
    """Rank of load inside the family; easier neighbours rank lower."""
    easier: str | None = None
    harder: str | None = None
    also_easier: tuple[str, ...] = ()
    """Other easier forms, of equal standing: feet on the floor, a larger hold."""
    hang: Hang | None = None
    """None where nobody hangs from their hands."""
    leave_out: tuple[str, ...] = ()
    """Who should leave it out, as tags: 'under-16', 'under-18', 'sign:fingers', ..."""
    static_stretch: bool = False
    does: frozenset[Does] = frozenset()
    """Everything that the body does in it; empty where nobody said."""
    aims: frozenset[Part] = frozenset()
    """The parts that it is meant to work or move; the others are loaded beside them."""

    @property
    def names_hands(self) -> bool:
        """Whether its cue says what each hand does, so that it is said in full for each side."""
        return any("{hand}" in line for line in self.cue.values())
