"""Whether every way from a movement to an easier or harder one really goes that way.

The planner trusts the neighbours without looking: it eases by following `easier`. So a file
whose neighbours could raise a load is refused here, before anything starts.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from coach.errors import FileError
from coach.files.document import Document
from coach.files.names import advice
from coach.files.positions import Key
from coach.model.movement import Family, Movement

#: The most that the gentlest movement of a chain may load any part.
GENTLE = 1
#: Families whose movements may name neighbours of another: a focus is a way to climb boulders.
_TOWARDS = frozenset({(Family.FOCUS, Family.CLIMB)})


@dataclass(frozen=True, slots=True)
class MovementEntry:
    """A movement and the file that it stands in."""

    movement: Movement
    document: Document

    def error(self, key: Key, what: str, do: str = "") -> FileError:
        """The error that points at one key of the movement."""
        return self.document.error(("movements", self.movement.name, *key), what, do)


def check_neighbours(catalogue: Mapping[str, MovementEntry]) -> None:
    """FileError for the first neighbour that is unknown, in a circle, or goes the wrong way."""
    for entry in catalogue.values():
        for key, name in _neighbours(entry.movement):
            _check_known(catalogue, entry, key, name)
    for entry in catalogue.values():
        _check_no_circle(catalogue, entry, "easier")
        _check_no_circle(catalogue, entry, "harder")
    for entry in catalogue.values():
        for key, name in _neighbours(entry.movement):
            _check_direction(entry, key, catalogue[name].movement)
    for entry in catalogue.values():
        _check_way_down(catalogue, entry)


def _neighbours(movement: Movement) -> Iterator[tuple[Key, str]]:
    if movement.easier:
        yield ("easier",), movement.easier
    if movement.harder:
        yield ("harder",), movement.harder
    for place, name in enumerate(movement.also_easier):
        yield ("also_easier", place), name


def _check_known(
    catalogue: Mapping[str, MovementEntry], entry: MovementEntry, key: Key, name: str
) -> None:
    if name not in catalogue:
        raise entry.error(key, f"there is no movement called {name!r}", advice(name, catalogue))
    own, family = entry.movement.family, catalogue[name].movement.family
    if family is not own and (own, family) not in _TOWARDS:
        what = f"{name!r} is of the family {family.value!r}, not {own.value!r}"
        raise entry.error(key, what, "Name a movement of the same family.")


def _chain(catalogue: Mapping[str, MovementEntry], start: Movement, way: str) -> Iterator[Movement]:
    """What following `easier` or `harder` meets, the start not included; it may be endless."""
    name = getattr(start, way)
    while name:
        yield (movement := catalogue[name].movement)
        name = getattr(movement, way)


def _check_no_circle(
    catalogue: Mapping[str, MovementEntry], entry: MovementEntry, way: str
) -> None:
    seen = {entry.movement.name}
    for movement in _chain(catalogue, entry.movement, way):
        if movement.name in seen:
            what = f"following {way!r} from here comes round to {movement.name!r} again"
            raise entry.error((way,), what, "One of them must name another, or none.")
        seen.add(movement.name)


def _check_direction(entry: MovementEntry, key: Key, neighbour: Movement) -> None:
    if key == ("harder",):
        low, high, should, heavy = entry.movement, neighbour, "is easier", "less"
    else:
        low, high, should, heavy = neighbour, entry.movement, "is harder", "more"
    if low.order >= high.order:
        what = f"{neighbour.name!r} {should} by its order: {neighbour.order} against "
        raise entry.error(key, f"{what}{entry.movement.order}", "Change one of the two orders.")
    for part, amount in low.load.items():
        if amount > high.load.get(part, 0):
            what = f"{neighbour.name!r} loads the {part.value} {heavy}"
            raise entry.error(key, what, "Name another movement, or change one of the loads.")
    if low.rest > high.rest:
        what = f"{low.name!r} rests {low.rest:g} s, {high.name!r} only {high.rest:g} s"
        do = "The harder of two rests at least as long; change one of them."
        raise entry.error(key, what, do)


def _check_way_down(catalogue: Mapping[str, MovementEntry], entry: MovementEntry) -> None:
    *_, last = (entry.movement, *_chain(catalogue, entry.movement, "easier"))
    heavy = [part.value for part, amount in last.load.items() if amount > GENTLE]
    if heavy:
        name = "" if last is entry.movement else f"{last.name!r}, the last, "
        what = f"no easier way down: {name}loads the {', '.join(heavy)} above {GENTLE}"
        key: Key = ("load",) if last is entry.movement else ("easier",)
        raise entry.error(key, what, f"Name an easier movement that loads no part above {GENTLE}.")
