"""The catalogue of movements: `routines/movements/*.toml`, one file a family.

A user's file adds movements or replaces ours one by one, by name.
"""

from collections.abc import Collection, Mapping, Sequence
from pathlib import Path
from typing import Annotated

from pydantic import Field

from coach.files.checked_tables import ByValue, Name, Seconds, Table, Texts, validate
from coach.files.document import Document, read
from coach.files.find import FileKind, folders
from coach.files.names import advice
from coach.files.neighbours import MovementEntry, check_neighbours
from coach.files.positions import Key
from coach.model.body import HIGHEST_LOAD, Load, Part
from coach.model.demands import DEMANDS, Does, demanded, whole_load
from coach.model.movement import Family, Feet, Grip, Hang, Hold, Movement, Unit, hung, shown
from coach.model.place import EQUIPMENT

#: Who can be told to leave a movement out: an age, a warning sign in a part, or how a part feels.
LEAVE_OUT = (
    "under-16",
    "under-18",
    *(f"{state}:{part}" for state in ("sign", "sore", "hurting") for part in Part),
)

_Count = Annotated[int, Field(ge=1, le=1000)]


class HangTable(Table):
    """How a movement hangs."""

    hold: Annotated[Hold, ByValue]
    grip: Annotated[Grip, ByValue]
    feet: Annotated[Feet, ByValue]


class MovementTable(Table):
    """One table `[movements.NAME]`; see `coach.model.movement.Movement` for what each key means."""

    title: Texts
    cue: Texts
    form: Texts
    unit: Annotated[Unit, ByValue]
    amount: _Count
    least: _Count
    most: _Count
    seconds_each: Annotated[float, Field(gt=0, le=3600, allow_inf_nan=False)]
    load: dict[Annotated[Part, ByValue], Annotated[int, Field(ge=0, le=HIGHEST_LOAD)]]
    does: list[Annotated[Does, ByValue]] = Field(default_factory=list)
    spares: list[Annotated[Part, ByValue]] = Field(default_factory=list)
    order: Annotated[int, Field(ge=0)]
    sides: Annotated[int, Field(ge=1, le=2)] = 1
    rest: Seconds = 0.0
    equipment: list[str] = Field(default_factory=list)
    easier: Name | None = None
    harder: Name | None = None
    also_easier: list[Name] = Field(default_factory=list)
    hang: HangTable | None = None
    leave_out: list[str] = Field(default_factory=list)
    static_stretch: bool = False


class FamilyTable(Table):
    """A file of `routines/movements`."""

    family: Annotated[Family, ByValue]
    movements: dict[Name, MovementTable]


def load_movements(user_dirs: Sequence[Path] = ()) -> dict[str, Movement]:
    """Every movement by name; FileError for the first mistake."""
    return {name: entry.movement for name, entry in entries(movement_files(user_dirs)).items()}


def movement_files(user_dirs: Sequence[Path] = ()) -> list[Path]:
    """The files of the catalogue, ours first: a later one wins, movement by movement."""
    found = folders(FileKind.MOVEMENTS, user_dirs)
    return [path for folder in found for path in sorted(folder.glob("*.toml"))]


def entries(paths: Sequence[Path]) -> Mapping[str, MovementEntry]:
    """The movements of some files, each with its place; the later of two files wins by name."""
    found: dict[str, MovementEntry] = {}
    for path in paths:
        for entry in entries_of(read(path)):
            found[entry.movement.name] = entry
    check_neighbours(found)
    return found


def entries_of(document: Document) -> Sequence[MovementEntry]:
    """The movements of one file, their neighbours not looked at yet."""
    family = validate(document, FamilyTable)
    return [
        _entry(document, family.family, name, table) for name, table in family.movements.items()
    ]


def _entry(document: Document, family: Family, name: str, table: MovementTable) -> MovementEntry:
    key = ("movements", name)
    if not table.least <= table.amount <= table.most:
        what = f"must lie from least {table.least} to most {table.most}, not {table.amount}"
        raise document.error((*key, "amount"), what, "Change one of the three.")
    for field, given, valid in (
        ("equipment", table.equipment, EQUIPMENT),
        ("leave_out", table.leave_out, LEAVE_OUT),
    ):
        for place, item in enumerate(given):
            if item not in valid:
                where = (*key, field, place)
                raise document.error(where, f"there is no {item!r}", advice(item, valid))
    if "under-18" in table.leave_out and "under-16" not in table.leave_out:
        what = "leaves out under-18 but not under-16"
        raise document.error((*key, "leave_out"), what, "Add 'under-16'.")
    hang = Hang(**dict(table.hang)) if table.hang else None
    if table.spares and not table.does:
        what = "spares parts, and does not say what the body does"
        raise document.error((*key, "spares"), what, "Add does = ['stands'], say.")
    does = shown(frozenset(table.does), family, table.unit, hang, table.equipment)
    if Does.HANGS in does and hang is None:
        told = Does.HANGS in table.does
        at = (*key, "does", table.does.index(Does.HANGS)) if told else key
        what = "hangs, and does not say how"
        raise document.error(
            at, what, "Add hang = { hold = 'largest', grip = 'jug', feet = 'on' }, say."
        )
    load = _load(document, key, table, does, hung(hang))
    movement = Movement(
        name=name,
        family=family,
        unit=table.unit,
        amount=table.amount,
        least=table.least,
        most=table.most,
        seconds_each=float(table.seconds_each),
        load=load,
        title=table.title,
        cue=table.cue,
        form=table.form,
        sides=table.sides,
        rest=float(table.rest),
        equipment=frozenset(table.equipment),
        order=table.order,
        easier=table.easier,
        harder=table.harder,
        also_easier=tuple(table.also_easier),
        hang=hang,
        leave_out=tuple(table.leave_out),
        static_stretch=table.static_stretch,
        does=does,
        aims=frozenset(part for part, amount in table.load.items() if amount),
    )
    return MovementEntry(movement, document)


def _load(
    document: Document,
    key: tuple[str, str],
    table: MovementTable,
    does: Collection[Does],
    hangs: Load,
) -> dict[Part, int]:
    """The load of every part; FileError where a part is said to be spared that is not."""
    for place, part in enumerate(table.spares):
        if table.load.get(part, 0):
            what = f"spares the {part.value} and loads them {table.load[part]}"
            raise document.error((*key, "spares", place), what, "Take one of the two away.")
    try:
        load = whole_load(does, table.load, table.spares)
    except ValueError as error:
        part = Part(str(error))
        asking = ", ".join(sorted(one.value for one in does if part in DEMANDS[one].load))
        least = demanded(does)[part]
        what = f"says that the {part.value} get no load, but it {asking}: at least {least}"
        where: Key = (*key, "load", part.value)
        if part not in table.load:
            where = (*key, "spares", table.spares.index(part))
        raise document.error(where, what, f"Take {part.value!r} away there.") from None
    return {part: max(amount, hangs.get(part, 0)) for part, amount in load.items()}
