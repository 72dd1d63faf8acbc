"""Shorter sessions: what is left of a routine where its minutes do not reach to hard tries.

Half an hour holds a short mat, hangs, eight easy and four middle boulders; twenty minutes no middle
ones, ten minutes only mat and hangs (our choice: common practice has no session so short).
"""

from dataclasses import replace

from coach.model.day import Library
from coach.model.movement import Unit
from coach.model.routine import BlockKind, BlockSpec, Item, Reach, Routine
from coach.planning.gates import GO_AHEAD

_ORDER = tuple(Reach)
#: The reach that each kind of block takes; any other is always there.
TAKES = {
    BlockKind.EASY: Reach.EASY,
    BlockKind.MIDDLE: Reach.MIDDLE,
    BlockKind.HARD: Reach.HARD,
    BlockKind.STRENGTH: Reach.EASY,
    BlockKind.COOL_DOWN: Reach.EASY,
}
#: Boulders of a set, sets at most, and those that always stay.
_SETS = {
    (Reach.MIDDLE, BlockKind.EASY): (8, 1, 1),
    (Reach.MIDDLE, BlockKind.MIDDLE): (4, 1, 1),
    (Reach.EASY, BlockKind.EASY): (5, 3, 1),
}


def reaches(whole: Routine) -> tuple[Reach, ...]:
    """How far a session of a routine may reach, the furthest first."""
    tiers = {TAKES[block.kind] for block in whole.blocks if block.kind in TAKES}
    furthest = max(map(_ORDER.index, tiers), default=0)
    shorter = tuple(reach for reach in _ORDER if _ORDER.index(reach) < furthest)
    return (Reach.HARD, *reversed(shorter))


def routine(library: Library, reach: Reach) -> Routine:
    """The routine as far as it reaches; a second block of a tier is left out."""
    blocks: list[BlockSpec] = []
    for block in library.routine.blocks:
        if _ORDER.index(TAKES.get(block.kind, Reach.BOARD)) > _ORDER.index(reach):
            continue
        if block.kind not in (BlockKind.EASY, BlockKind.MIDDLE):
            blocks.append(block)
        elif all(one.kind is not block.kind for one in blocks):
            blocks.append(_fewer(block, reach, library))
    return replace(library.routine, blocks=tuple(blocks))


def _fewer(block: BlockSpec, reach: Reach, library: Library) -> BlockSpec:
    """A tier with the boulders that the reach has."""
    items = tuple(_item(item, block.kind, reach, library) for item in block.items)
    gate = None if block.gate == GO_AHEAD else block.gate
    return replace(block, items=items, floor=min(block.floor, 1.0), gate=gate)


def _item(item: Item, kind: BlockKind, reach: Reach, library: Library) -> Item:
    movement = library.movements.get(item.movement)
    if movement is None or movement.unit is not Unit.BOULDERS:
        return item
    amount, sets, least = _SETS[reach, kind]
    return replace(item, amount=amount, sets=sets, least_sets=least)
