"""Allowance: what one person may do, given what holds them back now.

Owns the swap to easier neighbours.
"""

from collections.abc import Iterator, Mapping
from functools import lru_cache

from coach.model.body import HIGHEST_LOAD, CapReason, Part
from coach.model.day import Day, Library
from coach.model.movement import Movement
from coach.model.person import Person
from coach.planning import age_limits, break_limits, gates, levels
from coach.planning.identity import Same

#: Load at or below which a movement is gentle: it warms and moves, it does not tire.
GENTLE = 1

#: Among what holds somebody back: nothing but gentle mobility.
MOBILITY = "mobility"


def gentle(movement: Movement) -> bool:
    """Whether a movement loads no part beyond the gentle."""
    return all(load <= GENTLE for load in movement.load.values())


def unloaded(day: Day, who: int) -> bool:
    """Whether some part of a person may get no load at all today."""
    return any(cap.who == who and cap.most == 0 for cap in day.caps)


def down_from(name: str, movements: Mapping[str, Movement]) -> Iterator[str]:
    """A movement and its easier neighbours, the nearest first, each once."""
    ahead, seen = [name], set()
    for name in ahead:
        movement = movements.get(name)
        if movement is None or name in seen:
            continue
        seen.add(name)
        yield name
        if movement.easier is not None:
            ahead.append(movement.easier)
        ahead.extend(movement.also_easier)


#: Who, the most load of each part that is capped, the gates that are shut, and what
#: `Movement.leave_out` may name of them today.
Holds = tuple[Person, tuple[tuple[Part, int], ...], frozenset[str], frozenset[str]]


class Allowance:
    """What one person may do under what holds them back now; each answer is worked out once."""

    def __init__(self, held: Holds, library: Library) -> None:
        self.person, caps, self._shut, self._tags = held
        self._movements = library.movements
        self._able = _able(Same(library), self.person)
        self._ceilings = dict(caps)
        self._eased: dict[str, Movement | None] = {}

    def allows(self, movement: Movement) -> bool:
        """Whether they may do a movement now: age, caps, gates, reports and equipment."""
        ceilings = self._ceilings
        for part, load in movement.load.items():
            if load > ceilings.get(part, HIGHEST_LOAD):
                return False
        return (
            movement.name in self._able
            and not (movement.hang is not None and gates.waits(movement, self._shut))
            and (not self._tags or self._tags.isdisjoint(movement.leave_out))
            and (MOBILITY not in self._tags or break_limits.mobility(movement))
        )

    def ease(self, name: str) -> Movement | None:
        """The movement itself, or the nearest easier neighbour that they may do now.

        A neighbour that is counted in another unit has to be gentle: a step has one length for
        everybody in it, which that neighbour was not made for.
        """
        if name not in self._eased:
            movement = self._movements.get(name)
            fits = movement is not None and self.allows(movement)
            self._eased[name] = movement if fits else self._nearest(name)
        return self._eased[name]

    def _nearest(self, name: str) -> Movement | None:
        unit = None
        for easier in down_from(name, self._movements):
            movement = self._movements[easier]
            unit = unit or movement.unit
            fits = movement.unit is unit or gentle(movement)
            if fits and self.allows(movement):
                return movement
        return None


@lru_cache(maxsize=64)
def _able(same: Same, person: Person) -> frozenset[str]:
    """The movements that a person may do by age, level and gear, whatever else is known."""
    place = same.library.place
    there = place.equipment | ({"board"} if place.boards else set())
    return frozenset(
        movement.name
        for movement in same.library.movements.values()
        if movement.equipment <= there
        and age_limits.allows(person, movement)
        and levels.allows(person, movement)
    )


@lru_cache(maxsize=64)
def of(same: Same, held: Holds) -> Allowance:
    """The allowance of a person; used again while nothing that decides it changes."""
    return Allowance(held, same.library)


def holds(day: Day, person: Person) -> Holds:
    """All that decides what a person may do."""
    mine = [cap for cap in day.caps if cap.who == person.who]
    ceilings: dict[Part, int] = {}
    for cap in mine:
        ceilings[cap.part] = min(cap.most, ceilings.get(cap.part, HIGHEST_LOAD))
    feels = (f"{item.feel}:{item.part}" for item in day.reports if item.who == person.who)
    sign = CapReason.SIGN
    signs = (f"sign:{cap.part}" for cap in mine if cap.reason is sign)
    shut = gates.shut(mine, person.who)
    only = (MOBILITY,) if break_limits.mobility_only(day, person.who) else ()
    return person, tuple(sorted(ceilings.items())), shut, frozenset((*signs, *feels, *only))
