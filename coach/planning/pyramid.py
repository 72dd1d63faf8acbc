"""The pyramid: which circuits of a place are easy, middle and hard for one person today.

Owns the tiers. From the person's best and the circuit they call comfortable; where a place's
circuits carry no grades, their order alone decides. That volume falls as difficulty rises is
common practice; no trial was found for its shape.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from coach.errors import UsageError
from coach.model.person import Person
from coach.model.place import Circuit, Place
from coach.planning import grades

#: Months of climbing below which hard is one circuit above the comfortable one (our choice).
NEW = 6


@dataclass(frozen=True, slots=True)
class Tiers:
    """Names of circuits by tier, each from easiest to hardest.

    No circuit of a tier is harder than one of the next; a place with one or two circuits
    shows the same one in more than one tier.
    """

    easy: tuple[str, ...]
    middle: tuple[str, ...]
    hard: tuple[str, ...]


def index_of(name: str, place: Place) -> int:
    """Place of a circuit in the order of its hall; UsageError with the nearest name."""
    names = [circuit.name for circuit in place.circuits]
    if name in names:
        return names.index(name)
    close = get_close_matches(name, names, n=1, cutoff=0.0)
    raise UsageError(
        f"{place.name} has no circuit {name!r}",
        f"the nearest is {close[0]!r}" if close else "it lists no circuits",
    )


def tiers(person: Person, place: Place) -> Tiers | None:
    """The tiers of a person at a place; None where the place lists no circuits or nothing is known.

    The hardest tier is the circuit of the best boulder, at most two above the comfortable one;
    with one of the two unknown the other stands for it.
    """
    if not place.circuits or not (person.best or person.comfortable):
        return None
    comfortable = index_of(person.comfortable, place) if person.comfortable else None
    best = index_of_best(person.best, place) if person.best else None
    if best is None:
        if comfortable is None:
            return None
        best = min(comfortable + 2, len(place.circuits) - 1)
    if comfortable is None:
        comfortable = max(best - 2, 0)
    comfortable = min(comfortable, best)
    # for somebody new hard is the next circuit above what is comfortable
    new = person.months is not None and person.months < NEW
    hard = min(best, comfortable + (1 if new else 2))
    middle = max(hard - 1, comfortable) if hard > comfortable else comfortable
    easy = min(comfortable, max(middle - 1, 0)) if middle <= comfortable else comfortable
    names = [circuit.name for circuit in place.circuits]
    return Tiers(tuple(names[: easy + 1])[-2:], (names[middle],), (names[hard],))


def check_best(best: str, place: Place) -> None:
    """UsageError with the nearest name for what is no circuit of the place and no boulder grade."""
    if best:
        index_of_best(best, place)


def index_of_best(best: str, place: Place) -> int | None:
    """The circuit of the best boulder, told as a circuit or as a grade; None where unmapped."""
    names = [circuit.name for circuit in place.circuits]
    if best in names:
        return names.index(best)
    mapped = [(i, s) for i, c in enumerate(place.circuits) if (s := _span(c)) is not None]
    number = grades.grade(best)
    if not mapped:
        return None
    reached = [index for index, (least, _) in mapped if least <= number.most]
    return reached[-1] if reached else mapped[0][0]


def misplaced(circuits: Sequence[Circuit]) -> tuple[int, int, str] | None:
    """The first grade that breaks the order from easiest to hardest; None where all is well.

    Which circuit, which of its grades (both from 0), and what is wrong. The grades must be valid.
    """
    before: tuple[str, int] | None = None
    for number, circuit in enumerate(circuits):
        if not circuit.grades:
            continue
        first, last = (grades.grade(name) for name in circuit.grades)
        if (last.least, last.most) < (first.least, first.most):
            return number, 1, f"{last.name!r} is easier than {first.name!r} before it"
        if before is not None and first.least < before[1]:
            return number, 0, f"{circuit.name!r} begins easier than {before[0]!r} before it"
        before = (circuit.name, first.least)
    return None


def _span(circuit: Circuit) -> tuple[int, int] | None:
    return grades.span(circuit.grades)
