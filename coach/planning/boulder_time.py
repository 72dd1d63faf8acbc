"""What a boulder takes: the catalogue's seconds, or the climber's own as today's batches tell them.

Climbing, coming off, walking and waiting count. Only estimates of time change with a pace: the
same boulders are floors, and every rest stays. What a block may hold grows with a slow pace, what
counts as its floor shrinks with a quick one.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from statistics import median

from coach.model.day import Day, Library
from coach.model.movement import Movement, Unit
from coach.model.plan import Step, StepKind
from coach.model.routine import BlockKind, BlockSpec

#: Tiers whose seconds are learnt. A hard try takes what its rest takes, whatever the pace.
TIERS = (BlockKind.EASY, BlockKind.MIDDLE)
#: A pace outside these many times the library's is taken as this many times (our choice).
LEAST, MOST = 0.5, 2.5
#: Seconds below which nobody climbs a boulder of a tier and is at the next: a try took 28.9 +-
#: 10.8 s (White DJ, Olsen PD 2010, J Strength Cond Res 24(5):1356-1360), an easy one less; the
#: seconds themselves are our choice.
FLOOR = {BlockKind.EASY: 15.0, BlockKind.MIDDLE: 25.0}
#: The latest batches of a tier that count today.
LATEST = 3


def at(library: Library, seconds: Mapping[str, float]) -> Library:
    """The library with each boulder of a tier at these seconds; the same where none is told."""
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
    return replace(library, movements=movements, routine=routine)


def own(batches: Sequence[tuple[BlockKind, float]]) -> tuple[tuple[BlockKind, float], ...]:
    """The seconds of a boulder by tier that today's batches tell; none where there was none.

    The median of the latest: one batch with a long break in it spoils nothing for good.
    """
    found = []
    for tier in TIERS:
        told = [seconds for kind, seconds in batches if kind is tier][-LATEST:]
        if told:
            found.append((tier, round(median(told), 1)))
    return tuple(found)


def kept(day: Day, step: Step, boulders: int, seconds: float) -> Day:
    """The day after a batch: what one of its boulders took, never less than is plausible."""
    tier = tier_of(step)
    if tier not in FLOOR or boulders < 1:
        return day
    each = max(seconds / boulders, FLOOR[tier])
    return replace(day, batches=(*day.batches, (tier, each)))


def tier_of(step: Step) -> BlockKind:
    """The tier of the boulders that are really climbed in a step: easier ones count as such."""
    most = max((max(f.load.values(), default=0) for f in step.forms if f.movement), default=0)
    if step.kind is not StepKind.CLIMB or step.block not in TIERS:
        return step.block
    return BlockKind.EASY if most <= 1 else step.block


def believable(step: Step, seconds: float) -> int:
    """How many boulders of a batch can have been climbed in these seconds.

    Nobody is believed to be twice as quick as usual, nor quicker than anybody.
    """
    usual = step.seconds / max(step.amount, 1)
    return int(seconds / max(usual * LEAST, FLOOR.get(tier_of(step), 0.0), 1.0))


def stretched(steps: Iterable[Step], library: Library) -> tuple[Step, ...]:
    """The steps with every batch as long as its boulders take in this library."""
    return tuple(_stretched(step, library) for step in steps)


def _stretched(step: Step, library: Library) -> Step:
    each = [library.movements[form.movement].seconds_each for form in step.forms if form.movement]
    if step.kind is not StepKind.CLIMB or not each:
        return step
    seconds = step.amount * max(each)
    return step if seconds == step.seconds else replace(step, seconds=seconds)


def _boulders(block: BlockSpec, library: Library) -> Iterator[Movement]:
    """Movements that are counted in boulders: those of the block, and those to choose instead."""
    for item in block.items:
        for movement in library.movements.values():
            meant = movement.name == item.movement or movement.family is item.choose
            if meant and movement.unit is Unit.BOULDERS:
                yield movement


def _usual(block: BlockSpec, library: Library) -> float | None:
    """Seconds of one boulder of the block by the library; None where it holds none."""
    spent = boulders = 0.0
    for item in block.items:
        movement = library.movements.get(item.movement)
        if movement is not None and movement.unit is Unit.BOULDERS:
            count = item.sets * (item.amount or movement.amount)
            spent += count * movement.seconds_each
            boulders += count
    return spent / boulders if boulders else None
