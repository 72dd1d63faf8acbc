"""Routines: `routines/*.toml`, the blocks of a session with their floors."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Annotated

from pydantic import Field

from coach.files.document import Document, read
from coach.files.find import Kind, files, find
from coach.files.floors import check_floors
from coach.files.movements import load_movements
from coach.files.names import advice
from coach.files.positions import Key
from coach.files.tables import ByValue, Name, Seconds, Table, Texts, validate
from coach.model.movement import Movement
from coach.model.questions import QUESTIONS
from coach.model.routine import BlockKind, BlockSpec, Item, Routine

#: Questions that a block can end with.
GATES = sorted(name for name in QUESTIONS if name.startswith("gate-") or name == "go-ahead")

_Minutes = Annotated[int, Field(ge=1, le=300)]
_Sets = Annotated[int, Field(ge=1, le=50)]


class ItemTable(Table):
    """One line of a block; see `coach.model.routine.Item` for what each key means."""

    movement: Name
    amount: Annotated[int, Field(ge=1, le=1000)] | None = None
    sets: _Sets = 1
    least_sets: Annotated[int, Field(ge=0, le=50)] = 0
    core: bool = False


class BlockTable(Table):
    """One table `[[blocks]]`; see `coach.model.routine.BlockSpec` for what each key means."""

    name: Name
    kind: Annotated[BlockKind, ByValue]
    items: Annotated[list[ItemTable], Field(min_length=1)]
    floor: Seconds = 0.0
    most: Seconds
    gate: str | None = None


class RoutineTable(Table):
    """A file of `routines`."""

    title: Texts
    minutes: _Minutes
    least_minutes: _Minutes
    blocks: Annotated[list[BlockTable], Field(min_length=1)]


def list_routines(user_dirs: Sequence[Path] = ()) -> list[str]:
    """The names of all routines."""
    return sorted(files(Kind.ROUTINE, user_dirs))


def load_routine(
    name: str,
    movements: Mapping[str, Movement] | None = None,
    user_dirs: Sequence[Path] = (),
) -> Routine:
    """A routine by name; FileError with the nearest name, or for the first mistake in it.

    `movements` is the catalogue, where it is loaded already.
    """
    if movements is None:
        movements = load_movements(user_dirs)
    return routine_of(read(find(Kind.ROUTINE, name, user_dirs)), movements)


def routine_of(document: Document, movements: Mapping[str, Movement]) -> Routine:
    """The routine that a file describes, of movements that exist, with floors that fit."""
    table = validate(document, RoutineTable)
    blocks = [
        _block(document, ("blocks", number), block, movements)
        for number, block in enumerate(table.blocks)
    ]
    for number, block in enumerate(blocks):
        if block.name in [other.name for other in blocks[:number]]:
            what = f"{block.name!r} is there twice"
            raise document.error(("blocks", number, "name"), what, "Give one another name.")
    routine = Routine(document.name, table.title, table.minutes, table.least_minutes, tuple(blocks))
    check_floors(document, routine, movements)
    return routine


def _block(
    document: Document,
    key: Key,
    table: BlockTable,
    movements: Mapping[str, Movement],
) -> BlockSpec:
    if table.gate is not None and table.gate not in GATES:
        what = f"there is no gate called {table.gate!r}"
        raise document.error((*key, "gate"), what, advice(table.gate, GATES))
    for place, item in enumerate(table.items):
        where = (*key, "items", place)
        if item.movement not in movements:
            what = f"there is no movement called {item.movement!r}"
            raise document.error((*where, "movement"), what, advice(item.movement, movements))
        if item.least_sets > item.sets:
            what = f"must be at most its sets, {item.sets}, not {item.least_sets}"
            raise document.error((*where, "least_sets"), what)
    return BlockSpec(
        kind=table.kind,
        items=tuple(
            Item(item.movement, item.amount, item.sets, item.least_sets, item.core)
            for item in table.items
        ),
        floor=float(table.floor),
        most=float(table.most),
        gate=table.gate,
        name=table.name,
    )
