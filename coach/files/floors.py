"""Whether a routine can be run as it says: floors that can be met, in its shortest time."""

from collections.abc import Callable, Mapping
from math import ceil

from coach.errors import FileError
from coach.files.positions import Key
from coach.model.movement import Movement, Unit
from coach.model.routine import BlockSpec, Item, Routine
from coach.planning import shorter

Blame = Callable[[Key, str, str], FileError]
"""Key, what, do -> the error that points at where the key was written."""


def check_floors(routine: Routine, movements: Mapping[str, Movement], blame: Blame) -> None:
    """FileError for the first floor or length that can't be met."""
    if routine.minutes < routine.least_minutes:
        what = f"must be at least least_minutes, {routine.least_minutes}, not {routine.minutes}"
        raise blame(("minutes",), what, "")
    for number, block in enumerate(routine.blocks):
        _check_block(("blocks", number), block, movements, blame)
    always = [block for block in routine.blocks if block.kind not in shorter.TAKES]
    need = sum(max(one.floor, least_seconds(one, movements)) for one in always or routine.blocks)
    if need > routine.least_minutes * 60:
        minutes = ceil(need / 60)
        what = f"the floors and least sets of the blocks take {minutes} minutes, more than this"
        raise blame(("least_minutes",), what, f"Write {minutes}, or lower a floor.")


def _check_block(
    key: Key, block: BlockSpec, movements: Mapping[str, Movement], blame: Blame
) -> None:
    whole = sum(seconds(item, item.sets, movements) for item in block.items)
    least = least_seconds(block, movements)
    if block.floor > block.most:
        what = f"must be at most the block's most, {block.most:g}, not {block.floor:g}"
        raise blame((*key, "floor"), what, "")
    if block.floor > whole:
        what = f"{block.floor:g} s can't be reached: all its items together take {whole:g} s"
        raise blame((*key, "floor"), what, "Lower the floor, or add sets.")
    if least > block.most:
        what = f"{block.most:g} s is less than its least sets take, {least:g} s"
        raise blame((*key, "most"), what, "Raise it, or lower least_sets.")


def least_seconds(block: BlockSpec, movements: Mapping[str, Movement]) -> float:
    """Seconds that the sets take which stay when time is short: the least, and all of the core."""
    return sum(
        seconds(item, item.sets if item.core else item.least_sets, movements)
        for item in block.items
    )


def seconds(item: Item, sets: int, movements: Mapping[str, Movement]) -> float:
    """Seconds that some sets of an item take, with their rests."""
    movement = movements[item.movement]
    amount = movement.amount if item.amount is None else item.amount
    rests = amount * movement.sides if movement.unit is Unit.GOES else 1
    return sets * (amount * movement.seconds_each * movement.sides + rests * movement.rest)
