"""The climber's own minutes per boulder in place of those of the catalogue.

Only estimates of time change: the same boulders are floors, and every rest stays. What a block
may hold grows with a slow pace, what counts as its floor shrinks with a quick one.
"""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from math import ceil

from coach.model.day import Library
from coach.model.movement import Movement, Unit
from coach.model.person import Person
from coach.model.routine import BlockKind, BlockSpec, Reach
from coach.planning import making, today, unfolding

#: Tiers whose minutes are learnt. A hard try takes what its rest takes, whatever the pace.
TIERS = (BlockKind.EASY, BlockKind.MIDDLE)
#: A pace outside these many times the catalogue's is taken as this many times (our choice).
LEAST, MOST = 0.5, 2.5


def library_of(
    library: Library, seconds: Mapping[str, float], people: tuple[Person, ...]
) -> Library:
    """The library with each boulder of a tier at the climber's own pace.

    `seconds` are those of one boulder by tier: climbing, coming off, walking and waiting. The
    least minutes of the routine grow where its floors take longer now.
    """
    factors: dict[str, float] = {}
    blocks: list[BlockSpec] = []
    for block in library.routine.blocks:
        usual = _usual(block, library)
        if block.kind not in TIERS or block.kind not in seconds or usual is None:
            blocks.append(block)
            continue
        factor = min(max(seconds[block.kind] / usual, LEAST), MOST)
        blocks.append(
            replace(block, floor=block.floor * min(factor, 1.0), most=block.most * max(factor, 1.0))
        )
        for movement in _boulders(block, library):
            factors.setdefault(movement.name, factor)
    if not factors:
        return library
    movements = {
        name: replace(m, seconds_each=round(m.seconds_each * factors.get(name, 1.0), 1))
        for name, m in library.movements.items()
    }
    routine = replace(library.routine, blocks=tuple(blocks))
    return _with_least(replace(library, movements=movements, routine=routine), people)


def _boulders(block: BlockSpec, library: Library) -> Iterator[Movement]:
    """Movements that are counted in boulders: those of the block, and those to choose instead."""
    for item in block.items:
        for movement in library.movements.values():
            meant = movement.name == item.movement or movement.family is item.choose
            if meant and movement.unit is Unit.BOULDERS:
                yield movement


def _usual(block: BlockSpec, library: Library) -> float | None:
    """Seconds of one boulder of the block by the catalogue; None where it holds none."""
    spent = boulders = 0.0
    for item in block.items:
        movement = library.movements.get(item.movement)
        if movement is not None and movement.unit is Unit.BOULDERS:
            count = item.sets * (item.amount or movement.amount)
            spent += count * movement.seconds_each
            boulders += count
    return spent / boulders if boulders else None


def _with_least(library: Library, people: tuple[Person, ...]) -> Library:
    """The library whose routine takes at least what its floors take, where it reaches least."""
    day = making.open_day(people, float(making.MOST_MINUTES), library)
    day = replace(day, reach=Reach.BOARD)
    shortest = unfolding.of_routine(day, today.library_of(day, library))
    floors = sum(offer.seconds for offer in shortest if offer.must)
    least = max(library.routine.least_minutes, ceil(floors / 60))
    minutes = max(library.routine.minutes, least)
    routine = replace(library.routine, minutes=minutes, least_minutes=least)
    return replace(library, routine=routine)
