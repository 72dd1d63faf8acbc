"""Whether a routine can be run as it says: floors that fit, and checks before what they guard."""

from collections.abc import Mapping

from coach.files.document import Document
from coach.files.positions import Key
from coach.model.movement import Movement, Unit
from coach.model.routine import BlockKind, BlockSpec, Item, Routine


def check_floors(document: Document, routine: Routine, movements: Mapping[str, Movement]) -> None:
    """FileError for the first floor that can't be met, and for hard tries without a go-ahead."""
    if routine.minutes < routine.least_minutes:
        what = f"must be at least least_minutes, {routine.least_minutes}, not {routine.minutes}"
        raise document.error(("minutes",), what)
    for number, block in enumerate(routine.blocks):
        _check_block(document, ("blocks", number), block, movements)
    _check_shortest(document, routine, movements)
    _check_go_ahead(document, routine)


def _check_block(
    document: Document,
    key: Key,
    block: BlockSpec,
    movements: Mapping[str, Movement],
) -> None:
    whole = sum(seconds(item, item.sets, movements) for item in block.items)
    least = sum(seconds(item, item.least_sets, movements) for item in block.items)
    if block.floor > block.most:
        what = f"must be at most the block's most, {block.most:g}, not {block.floor:g}"
        raise document.error((*key, "floor"), what)
    if block.floor > whole:
        what = f"{block.floor:g} s can't be reached: all its items together take {whole:g} s"
        raise document.error((*key, "floor"), what, "Lower the floor, or add sets.")
    if least > block.most:
        what = f"{block.most:g} s is less than its least sets take, {least:g} s"
        raise document.error((*key, "most"), what, "Raise it, or lower least_sets.")


def _check_shortest(
    document: Document, routine: Routine, movements: Mapping[str, Movement]
) -> None:
    need = 0.0
    for block in routine.blocks:
        least = sum(seconds(item, item.least_sets, movements) for item in block.items)
        need += max(block.floor, least)
    if need > routine.least_minutes * 60:
        minutes = -int(-need // 60)
        what = f"the floors and least sets of the blocks take {minutes} minutes, more than this"
        raise document.error(("least_minutes",), what, f"Write {minutes}, or lower a floor.")


def _check_go_ahead(document: Document, routine: Routine) -> None:
    asked = False
    for number, block in enumerate(routine.blocks):
        if block.kind is BlockKind.HARD and not asked:
            what = "hard tries with no go-ahead before them"
            do = 'Give an earlier block: gate = "go-ahead".'
            raise document.error(("blocks", number, "kind"), what, do)
        asked = asked or block.gate == "go-ahead"


def seconds(item: Item, sets: int, movements: Mapping[str, Movement]) -> float:
    """Seconds that some sets of an item take, with their rests."""
    movement = movements[item.movement]
    amount = movement.amount if item.amount is None else item.amount
    rests = amount * movement.sides if movement.unit is Unit.GOES else 1
    return sets * (amount * movement.seconds_each * movement.sides + rests * movement.rest)
