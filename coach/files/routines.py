"""Routines: `routines/*.toml`, the blocks of a session with their floors.

A routine may extend another: then it says only what differs, block by block (`extending`).
"""

from collections.abc import Mapping, Sequence
from pathlib import Path

from coach.errors import FileError, UsageError
from coach.files.atomic import write_text
from coach.files.document import Document, read
from coach.files.extending import ItemTable, Written, WrittenBlock, written
from coach.files.find import FileKind, files, find
from coach.files.floors import Blame, check_floors
from coach.files.movements import load_movements
from coach.files.names import advice
from coach.files.positions import Key
from coach.model.movement import Movement
from coach.model.questions import QUESTIONS
from coach.model.routine import BlockSpec, Item, Routine

#: Questions that a block can end with.
GATES = sorted(name for name in QUESTIONS if name.startswith("gate-") or name == "go-ahead")


def list_routines(user_dirs: Sequence[Path] = ()) -> list[str]:
    """The names of all routines."""
    return sorted(files(FileKind.ROUTINE, user_dirs))


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
    return routine_of(read(find(FileKind.ROUTINE, name, user_dirs)), movements, user_dirs)


def copy_routine(name: str, to: Path, user_dirs: Sequence[Path] = ()) -> Path:
    """Copy a routine to a new file, comments and all, to be edited there; the path it has.

    `to` is that file, or a user's folder. UsageError if something is there already.
    """
    source = find(FileKind.ROUTINE, name, user_dirs)
    path = to if to.suffix == ".toml" else to / FileKind.ROUTINE.value / source.name
    if path.exists():
        raise UsageError(f"{path} is there already", "Take another name, or edit that file.")
    write_text(path, source.read_text(encoding="utf-8"))
    return path


def routine_of(
    document: Document, movements: Mapping[str, Movement], user_dirs: Sequence[Path] = ()
) -> Routine:
    """The routine that a file describes, of movements that exist, with floors that fit."""
    found = written(document, user_dirs)
    routine = Routine(
        document.name,
        found.title,
        found.minutes,
        found.least_minutes,
        tuple(_block(block, movements) for block in found.blocks),
    )
    check_floors(routine, movements, _blame(found))
    return routine


def _check_choice(
    written: WrittenBlock, where: Key, item: ItemTable, movements: Mapping[str, Movement]
) -> None:
    """FileError if a movement that may be chosen loads more than the one it stands for."""
    most = movements[item.movement].load
    for movement in movements.values():
        if movement.family is item.choose:
            for part, amount in movement.load.items():
                if amount > most.get(part, 0):
                    what = f"{movement.name!r} loads the {part.value} more than {item.movement!r}"
                    raise written.error((*where, "choose"), what, "Choose another family.")


def _blame(found: Written) -> Blame:
    def blame(key: Key, what: str, do: str) -> FileError:
        if key[0] == "blocks" and isinstance(key[1], int):
            return found.blocks[key[1]].error(key[2:], what, do)
        return found.document.error(key, what, do)

    return blame


def _block(written: WrittenBlock, movements: Mapping[str, Movement]) -> BlockSpec:
    """The block as a value; FileError for a gate or a movement that does not exist."""
    if written.gate and written.gate not in GATES:
        what = f"there is no gate called {written.gate!r}"
        raise written.error(("gate",), what, advice(written.gate, GATES))
    for place, item in enumerate(written.items):
        where = ("items", place)
        if item.movement not in movements:
            what = f"there is no movement called {item.movement!r}"
            raise written.error((*where, "movement"), what, advice(item.movement, movements))
        if item.least_sets > item.sets:
            what = f"must be at most its sets, {item.sets}, not {item.least_sets}"
            raise written.error((*where, "least_sets"), what)
        if item.choose is not None:
            _check_choice(written, where, item, movements)
    return BlockSpec(
        kind=written.kind,
        items=tuple(Item(**dict(item)) for item in written.items),
        floor=float(written.floor),
        most=float(written.most),
        gate=written.gate or None,
        name=written.name,
    )
