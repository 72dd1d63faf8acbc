"""Places: `routines/places/*.toml`. A user's place is written once, from what the climber told."""

from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from typing import Annotated

import tomlkit
from pydantic import Field

from coach.errors import UsageError
from coach.files.atomic import write_text
from coach.files.checked_tables import Name, Table, Text, validate
from coach.files.document import Document, read
from coach.files.find import FileKind, files, find
from coach.files.names import advice
from coach.files.positions import Key
from coach.model.place import EQUIPMENT, Board, Circuit, Edge, Place
from coach.planning import grades, pyramid

#: The place of a climber who has described none.
ANY_PLACE = "any-hall"
_HEAD = "Circuits from easiest to hardest; edges from largest to smallest."


class EdgeTable(Table):
    """One edge of a board."""

    name: Name
    depth_mm: Annotated[float, Field(ge=0, le=200, allow_inf_nan=False)] = 0.0


class BoardTable(Table):
    """A board."""

    name: Name
    edges: Annotated[list[EdgeTable], Field(min_length=1)]
    large_hold: bool = True


class CircuitTable(Table):
    """A circuit, with the first and last grade it is thought to span."""

    name: Name
    grades: Annotated[list[Text], Field(max_length=2)] = Field(default_factory=list)


class PlaceTable(Table):
    """A file of `routines/places`."""

    title: Text
    circuits: list[CircuitTable]
    boards: list[BoardTable] = Field(default_factory=list)
    equipment: list[str] = Field(default_factory=list)


def list_places(user_dirs: Sequence[Path] = ()) -> list[str]:
    """The names of all places."""
    return sorted(files(FileKind.PLACE, user_dirs))


def load_place(name: str, user_dirs: Sequence[Path] = ()) -> Place:
    """A place by name; FileError with the nearest name, or for the first mistake in it."""
    return place_of(read(find(FileKind.PLACE, name, user_dirs)))


def place_of(document: Document) -> Place:
    """The place that a file describes."""
    table = validate(document, PlaceTable)
    for place, item in enumerate(table.equipment):
        if item not in EQUIPMENT:
            key = ("equipment", place)
            raise document.error(key, f"there is no {item!r}", advice(item, EQUIPMENT))
    _check_unique(document, ("circuits",), [item.name for item in table.circuits])
    _check_unique(document, ("boards",), [item.name for item in table.boards])
    for number, board in enumerate(table.boards):
        check_edges(document, ("boards", number, "edges"), board.edges)
    _check_grades(document, table.circuits)
    return Place(
        name=document.name,
        title=table.title,
        circuits=tuple(Circuit(item.name, tuple(item.grades)) for item in table.circuits),
        boards=tuple(
            Board(item.name, edges_of(item.edges), item.large_hold) for item in table.boards
        ),
        equipment=frozenset(table.equipment),
    )


def edges_of(tables: Sequence[EdgeTable]) -> tuple[Edge, ...]:
    """The edges that a board's tables describe."""
    return tuple(Edge(edge.name, float(edge.depth_mm)) for edge in tables)


def check_edges(document: Document, edges: Key, tables: Sequence[EdgeTable]) -> None:
    """FileError for two edges of one name, and for one that is not smaller than that before it."""
    _check_unique(document, edges, [edge.name for edge in tables])
    measured = [(n, edge) for n, edge in enumerate(tables) if edge.depth_mm]
    for (_, larger), (n, edge) in pairwise(measured):
        if edge.depth_mm >= larger.depth_mm:
            what = f"{edge.name!r} is not smaller than {larger.name!r} before it"
            raise document.error((*edges, n, "depth_mm"), what, "Largest edge first.")


def _check_grades(document: Document, circuits: Sequence[CircuitTable]) -> None:
    """FileError for what is no boulder grade, and for grades or circuits in a wrong order."""
    for number, circuit in enumerate(circuits):
        key = ("circuits", number, "grades")
        if len(circuit.grades) == 1:
            what = "needs the first and the last grade, or none"
            raise document.error(key, what, "Write the same one twice.")
        for n, name in enumerate(circuit.grades):
            try:
                grades.grade(name)
            except UsageError as error:
                do = f"{error.do[:1].upper()}{error.do[1:]}."
                raise document.error((*key, n), error.what, do) from None
    wrong = pyramid.misplaced([Circuit(item.name, tuple(item.grades)) for item in circuits])
    if wrong is not None:
        number, n, what = wrong
        raise document.error(("circuits", number, "grades", n), what, "Easiest first.")


def _check_unique(document: Document, key: Key, names: Sequence[str]) -> None:
    for place, name in enumerate(names):
        if name in names[:place]:
            what = f"{name!r} is there twice"
            raise document.error((*key, place, "name"), what, "Give one of them another name.")


def save_place(place: Place, user_dir: Path) -> Path:
    """Write a place where `load_place` finds it in that user folder; the path it has."""
    document = tomlkit.document()
    document.add(tomlkit.comment(_HEAD))
    document["title"] = place.title or place.name
    document["equipment"] = sorted(place.equipment)
    circuits, boards = tomlkit.aot(), tomlkit.aot()
    for circuit in place.circuits:
        circuits.append(tomlkit.item({"name": circuit.name, "grades": list(circuit.grades)}))
    for board in place.boards:
        edges = [{"name": edge.name, "depth_mm": edge.depth_mm} for edge in board.edges]
        boards.append(
            tomlkit.item({"name": board.name, "large_hold": board.large_hold, "edges": edges})
        )
    document["circuits"] = circuits if place.circuits else []
    if place.boards:
        document["boards"] = boards
    path = user_dir / FileKind.PLACE.value / f"{place.name}.toml"
    write_text(path, tomlkit.dumps(document))
    return path
