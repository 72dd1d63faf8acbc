"""What a routine file writes, with what it takes from the routine that it extends.

`extends = "full"` takes every block of full. A block of the same name changes the keys that it
writes; a block of a new name is added after the block that `after` names; `without` leaves
blocks out. Each key remembers the file in which it was written, so that errors point there.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field

from coach.errors import FileError
from coach.files.checked_tables import ByValue, Name, Seconds, Table, Texts, validate
from coach.files.document import Document, read
from coach.files.find import FileKind, data_root, find
from coach.files.names import advice
from coach.files.positions import Key
from coach.model.movement import Family
from coach.model.routine import BlockKind

_Minutes = Annotated[int, Field(ge=1, le=300)]


class ItemTable(Table):
    """One line of a block; see `coach.model.routine.Item` for what each key means."""

    movement: Name
    amount: Annotated[int, Field(ge=1, le=1000)] | None = None
    sets: Annotated[int, Field(ge=1, le=50)] = 1
    least_sets: Annotated[int, Field(ge=0, le=50)] = 0
    core: bool = False
    choose: Annotated[Family, ByValue] | None = None


class BlockTable(Table):
    """One table `[[blocks]]`; see `coach.model.routine.BlockSpec` for what each key means."""

    name: Name
    after: Name | None = None
    kind: Annotated[BlockKind, ByValue] | None = None
    items: Annotated[list[ItemTable], Field(min_length=1)] | None = None
    floor: Seconds = 0.0
    most: Seconds | None = None
    gate: str | None = None
    """"" takes a gate away that the extended routine has."""


class RoutineTable(Table):
    """A file of `routines`."""

    title: Texts
    extends: Name | None = None
    without: list[Name] = Field(default_factory=list)
    minutes: _Minutes | None = None
    least_minutes: _Minutes | None = None
    blocks: list[BlockTable] = Field(default_factory=list)


#: What each block must have, from its own file or the one it extends.
_NEEDED = ("kind", "items", "most")


@dataclass(frozen=True, slots=True)
class WrittenBlock:
    """A block with all its keys, and where each was written."""

    name: str
    kind: BlockKind
    items: Sequence[ItemTable]
    floor: float
    most: float
    gate: str | None
    places: Mapping[str, tuple[Document, Key]] = field(repr=False)
    """Key of the block -> the file and the table it was written in."""

    def error(self, key: Key, what: str, do: str = "") -> FileError:
        """The error that points at one key of the block."""
        document, table = self.places.get(str(key[0]), self.places["name"])
        return document.error((*table, *key), what, do)


@dataclass(frozen=True, slots=True)
class Written:
    """A routine as written, nothing of it compared with the catalogue yet."""

    document: Document
    title: Mapping[str, str]
    minutes: int
    least_minutes: int
    blocks: tuple[WrittenBlock, ...]


def written(
    document: Document, user_dirs: Sequence[Path] = (), above: tuple[Path, ...] = ()
) -> Written:
    """What a file and the routines above it write; FileError for the first mistake."""
    table = validate(document, RoutineTable)
    parent = _parent(document, table, user_dirs, above) if table.extends else None
    blocks = _left(document, table, parent)
    for number, block in enumerate(table.blocks):
        key = ("blocks", number)
        if block.name in [other.name for other in table.blocks[:number]]:
            what = f"{block.name!r} is there twice"
            raise document.error((*key, "name"), what, "Give one of them another name.")
        same = next((i for i, other in enumerate(blocks) if other.name == block.name), None)
        if same is None:
            at = _place(document, key, block, blocks)
            blocks.insert(at, _new(document, key, block))
        else:
            blocks[same] = _changed(document, key, block, blocks[same])
    if not blocks:
        raise document.error(("blocks",), "is missing", "Add a table [[blocks]].")
    lengths = {}
    for name in ("minutes", "least_minutes"):
        length = getattr(table, name) or (getattr(parent, name) if parent else None)
        if length is None:
            raise document.error((name,), "is missing", "Add it above the first block.")
        lengths[name] = length
    return Written(document, table.title, blocks=tuple(blocks), **lengths)


def _parent(
    document: Document, table: RoutineTable, user_dirs: Sequence[Path], above: tuple[Path, ...]
) -> Written:
    """The routine that a file extends; under its own name it means ours, and ours mean ours.

    So a user's routine under one of our names changes that one alone.
    """
    name = str(table.extends)
    ours = name == document.name or document.path.parent == data_root(FileKind.ROUTINE)
    try:
        path = find(FileKind.ROUTINE, name, () if ours else user_dirs)
    except FileError as error:
        raise document.error(("extends",), f"there is no routine {name!r}", error.do) from None
    if path in (*above, document.path):
        what = f"{name!r} extends this routine in turn"
        raise document.error(("extends",), what, "One of them must extend another, or none.")
    return written(read(path), user_dirs, (*above, document.path))


def _left(document: Document, table: RoutineTable, parent: Written | None) -> list[WrittenBlock]:
    """The blocks of the extended routine that stay."""
    blocks = list(parent.blocks) if parent else []
    for place, name in enumerate(table.without):
        if name not in [block.name for block in blocks]:
            what = f"there is no block {name!r} to leave out"
            do = advice(name, [block.name for block in blocks])
            raise document.error(("without", place), what, do)
    return [block for block in blocks if block.name not in table.without]


def _place(document: Document, key: Key, block: BlockTable, blocks: Sequence[WrittenBlock]) -> int:
    """Where a new block goes: after the one that it names, else at the end."""
    if block.after is None:
        return len(blocks)
    names = [other.name for other in blocks]
    if block.after not in names:
        what = f"there is no block {block.after!r} before this one"
        raise document.error((*key, "after"), what, advice(block.after, names))
    return names.index(block.after) + 1


def _new(document: Document, key: Key, block: BlockTable) -> WrittenBlock:
    for name in _NEEDED:
        if getattr(block, name) is None:
            raise document.error((*key, name), "is missing", "Add it to this table.")
    assert block.kind is not None
    assert block.items is not None
    assert block.most is not None
    return WrittenBlock(
        name=block.name,
        kind=block.kind,
        items=block.items,
        floor=block.floor,
        most=block.most,
        gate=block.gate or None,
        places=dict.fromkeys(BlockTable.model_fields, (document, key)),
    )


def _changed(document: Document, key: Key, block: BlockTable, before: WrittenBlock) -> WrittenBlock:
    """The block with the keys that this file writes."""
    if block.after is not None:
        what = f"{block.name!r} has its place already"
        raise document.error((*key, "after"), what, "Only a new block says where it goes.")
    names = block.model_fields_set - {"name"}
    changes: dict[str, Any] = {name: getattr(block, name) for name in names}
    places = {**before.places, "name": (document, key)}
    places.update(dict.fromkeys(names, (document, key)))
    return replace(before, **changes, places=places)
