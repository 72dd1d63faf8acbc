"""Boulders from the floor up: climbed in each tier, topped in each circuit."""

import re
from collections import Counter
from collections.abc import Sequence

from coach.model.place import Circuit
from coach.model.tries import UNNAMED
from coach.planning.grades import GRADES, span
from coach.record.amounts import listed
from coach.record.entry import Entry
from coach.record.panel import Panel, Series, Shape

TIERS = ("easy", "middle", "hard")

#: Where boulders that nobody named are counted.
NO_NAME = "no name"

_GROUP = re.compile(r"[\W\d_]*$")


def has_no_name(boulder: str) -> bool:
    """Whether it is only called by its number of the day."""
    return boulder.rpartition(" ")[0] == UNNAMED


def group_of(boulder: str) -> str:
    """The circuit that a boulder's name begins with, or its grade: 'slate 4' -> 'slate'."""
    if has_no_name(boulder):
        return NO_NAME
    if boulder in GRADES:
        return boulder
    return _GROUP.sub("", boulder) or boulder


def stairs(entries: Sequence[Entry]) -> Panel:
    """Boulders climbed in each tier, and hard ones topped, from the floor up."""
    climbed = Counter[str]()
    for entry in entries:
        climbed.update(entry.digest.boulders)
        climbed.update({"hard, topped": len(entry.digest.tops)})
    treads = [(tier, climbed[tier]) for tier in (*TIERS, "hard, topped") if climbed[tier]]
    text = [f"{name} {number}" for name, number in treads]
    return _counted(
        "stairs",
        "Boulders, from the floor up",
        treads,
        f"From the floor up: {listed(text)}." if text else "No boulder was counted.",
    )


def tops(entries: Sequence[Entry], circuits: Sequence[Circuit] = ()) -> Panel:
    """Hard boulders topped in each circuit, from the floor up; one counts once a day."""
    topped = Counter[str]()
    for entry in entries:
        topped.update(group_of(boulder) for boulder in entry.digest.tops)
    order = {circuit.name: place for place, circuit in enumerate(circuits)}
    groups = sorted(topped, key=lambda name: (order.get(name, -1), _least(name), name))
    grades = {circuit.name: _grades(circuit) for circuit in circuits}
    treads = [(f"{name}{grades.get(name, '')}", topped[name]) for name in groups]
    text = [f"{name} {number}" for name, number in treads]
    return _counted(
        "tops",
        "Hard boulders topped, by circuit, from the floor up",
        treads,
        f"Topped: {listed(text)}." if text else "No hard boulder was topped.",
        "A circuit spans several grades: what the place says of it, and the comparative scale "
        "of Draper et al. 2015. Grades are opinions.",
    )


def _counted(
    name: str, title: str, treads: Sequence[tuple[str, int]], text: str, note: str = ""
) -> Panel:
    return Panel(
        name,
        title,
        "boulders",
        Shape.STAIRS,
        tuple(tread for tread, _ in treads),
        (Series("boulders", tuple(float(number) for _, number in treads)),),
        (text,),
        note=note,
    )


def _least(name: str) -> int:
    return GRADES[name].least if name in GRADES else 0


def _grades(circuit: Circuit) -> str:
    """A circuit's grades with their range on the comparative scale, where they are known."""
    if not circuit.grades:
        return ""
    told = " to ".join(circuit.grades)
    if not GRADES.keys() >= set(circuit.grades):
        return f" ({told})"
    least, most = span(circuit.grades) or (0, 0)
    return f" ({told}; IRCRA {least} to {most})"
