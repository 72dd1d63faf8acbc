"""Layout: what a routine holds whatever the day: its blocks, their sets, batches and questions.

Owns their order and their names, and which sets are the least of their item.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import NamedTuple

from coach.model.day import Library
from coach.model.movement import Feet, Hold, Movement, Unit
from coach.model.routine import BlockKind, BlockSpec, Item
from coach.planning import gates
from coach.planning.identity import Same
from coach.planning.offers import BATCH, BOULDERS


class Set(NamedTuple):
    """One set of an item before it is placed; a batch of boulders is a set."""

    item: Item
    movement: Movement
    number: int
    """Which set of the item, from 0."""
    dose: int
    least: bool
    """Among the least sets of the item."""


class Block(NamedTuple):
    """A block with its sets, the question before it and the one after it; '' for none."""

    spec: BlockSpec
    first: int
    """How many sets of its kind come before it."""
    sets: tuple[Set, ...]
    names: tuple[str, ...]
    """The name of the offer of each set."""
    movements: tuple[Movement, ...]
    """The movements of its sets, each once."""
    tried: frozenset[str]
    """Those of them that are tried hard, one turn after the other."""
    before: str
    after: str

    def by_number(self) -> list[int]:
        """Positions of its sets: the first of every item, then the second."""
        return sorted(range(len(self.sets)), key=lambda i: self.sets[i].number)


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """A routine laid out; there is one of each library."""

    library: Library
    blocks: tuple[Block, ...]
    names: tuple[str, ...]
    """The names of its offers in order, with those of sets that nobody may do today."""
    ranks: Mapping[str, int]
    """Name -> place in that order."""
    stretches: frozenset[str]
    """Movements that are static stretches."""


def of(library: Library) -> Layout:
    """The layout of the routine of a library."""
    return _of(Same(library))


@lru_cache(maxsize=4)
def _of(same: Same) -> Layout:
    library = same.library
    blocks = tuple(_blocks(library))
    names = tuple(_names(blocks))
    stretches = frozenset(name for name, m in library.movements.items() if m.static_stretch)
    return Layout(
        library=library,
        blocks=blocks,
        names=names,
        ranks={name: rank for rank, name in enumerate(names)},
        stretches=stretches,
    )


def _names(blocks: tuple[Block, ...]) -> Iterator[str]:
    for block in blocks:
        kind = block.spec.kind
        if block.before:
            yield f"{kind}.{block.before}"
        yield from block.names
        if block.after:
            yield f"{kind}.{block.after}"


def _blocks(library: Library) -> Iterator[Block]:
    """The blocks of the routine; each question stands once, the go-ahead first."""
    counts = dict.fromkeys(BlockKind, 0)
    asked: set[str] = set()
    for spec in library.routine.blocks:
        before = (
            gates.GO_AHEAD if spec.kind is BlockKind.HARD and gates.GO_AHEAD not in asked else ""
        )
        asked.add(before)
        after = spec.gate if spec.gate is not None and spec.gate not in asked else ""
        asked.add(after)
        first, sets = counts[spec.kind], tuple(_sets(library, spec))
        names = tuple(f"{spec.kind}.{first + n}" for n in range(1, len(sets) + 1))
        movements = {one.movement.name: one.movement for one in sets}
        tried = frozenset(
            name
            for name, movement in movements.items()
            if spec.kind is BlockKind.HARD and movement.unit is Unit.BOULDERS
        )
        yield Block(spec, first, sets, names, tuple(movements.values()), tried, before, after)
        counts[spec.kind] += len(sets)


def _sets(library: Library, block: BlockSpec) -> Iterator[Set]:
    """The sets of a block in order; boulders come in batches that are easy to count."""
    for item in block.items:
        movement = _weighed(library.movements.get(item.movement), library)
        if movement is None:
            continue
        dose = item.amount or movement.amount
        if movement.unit is not Unit.BOULDERS:
            for number in range(item.sets):
                yield Set(item, movement, number, dose, number < item.least_sets or item.core)
        elif block.kind is BlockKind.HARD:
            for number in range(item.sets * dose):
                yield Set(item, movement, number, 1, False)
        else:
            done = 0
            for number, size in enumerate(batches(block.kind, item.sets * dose)):
                least = done < item.least_sets * dose or item.core
                yield Set(item, movement, number, size, least)
                done += size


def _weighed(movement: Movement | None, library: Library) -> Movement | None:
    """The edge check feet on where the place has a scale: with the feet off it tells the weight."""
    hang = movement.hang if movement is not None else None
    if movement is None or hang is None or "scale" not in library.place.equipment:
        return movement
    if hang.hold is not Hold.USUAL_EDGE or hang.feet is Feet.ON:
        return movement
    for name in (movement.easier, *movement.also_easier):
        form = library.movements.get(name or "")
        if form is not None and form.hang == replace(hang, feet=Feet.ON):
            return form
    return movement


def batches(kind: BlockKind, boulders: int) -> list[int]:
    """Sizes of the batches: what hard tries need in full ones, the rest in twos and threes."""
    least = min(BOULDERS.get(kind, (boulders, boulders))[0], boulders)
    sizes = [BATCH] * (least // BATCH) + ([least % BATCH] if least % BATCH else [])
    more = boulders - least
    while more > 0:
        sizes.append(more if more <= 3 else 2 if more == 4 else 3)
        more -= sizes[-1]
    return sizes
