"""The library as it is today: what was told of the place changes what is done in which time."""

from dataclasses import replace
from functools import lru_cache

from coach.model.day import Day, Library
from coach.model.movement import Family, Unit
from coach.model.routine import BlockKind, Reach
from coach.planning import boulder_time, levels, shorter
from coach.planning.identity import Same

#: How much longer a boulder takes where people queue (our choice).
CROWDED = 1.4
_CHANGING = frozenset({"crowded", "no-partner"})
_NEW = levels.Level.NEW.value


def library_of(day: Day, library: Library) -> Library:
    """The same library, or one for a crowded place, a pace of one's own, nobody else there.

    Where all are new to climbing, rests between hard tries are theirs.
    """
    tags = frozenset(tag for _, tag in day.told) & _CHANGING
    if levels.all_new(day):
        tags |= {_NEW}
    own = boulder_time.own(day.batches)
    if not tags and not own and day.reach is Reach.HARD:
        return library
    return _of(Same(library), tags, day.reach, own)


@lru_cache(maxsize=16)
def _of(
    same: Same, tags: frozenset[str], reach: Reach, own: tuple[tuple[BlockKind, float], ...]
) -> Library:
    """The same one every time, so that what was worked out for it is used again."""
    library = same.library
    if reach is not Reach.HARD:
        library = replace(library, routine=shorter.routine(library, reach))
    if "crowded" in tags:
        library = _queueing(library)
    if _NEW in tags:
        library = _resting_less(library)
    if "no-partner" in tags:
        library = _without_catches(library)
    return boulder_time.at(library, dict(own)) if own else library


def _queueing(library: Library) -> Library:
    """Every boulder takes longer."""
    movements = {
        name: replace(movement, seconds_each=round(movement.seconds_each * CROWDED))
        if movement.unit is Unit.BOULDERS
        else movement
        for name, movement in library.movements.items()
    }
    return replace(library, movements=movements)


def _resting_less(library: Library) -> Library:
    """Hard tries rest as those of somebody new do."""
    movements = {
        name: replace(movement, rest=min(movement.rest, levels.REST))
        if name in _tried(library)
        else movement
        for name, movement in library.movements.items()
    }
    return replace(library, movements=movements)


def _tried(library: Library) -> frozenset[str]:
    """The movements of hard tries."""
    hard = (block for block in library.routine.blocks if block.kind is BlockKind.HARD)
    return frozenset(item.movement for block in hard for item in block.items)


def _without_catches(library: Library) -> Library:
    """No far catches: a fall that nobody sees is another fall."""
    catches = {name for name, m in library.movements.items() if m.family is Family.CATCH}
    blocks = tuple(
        replace(block, items=tuple(i for i in block.items if i.movement not in catches))
        for block in library.routine.blocks
    )
    return replace(library, routine=replace(library.routine, blocks=blocks))
