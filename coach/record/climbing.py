"""Boulders from the floor up, tries gone for, new heights."""

import re
from collections import Counter
from collections.abc import Mapping, Sequence

from coach.model.place import Circuit
from coach.model.tries import UNNAMED
from coach.planning.grades import GRADES, span
from coach.record.digest import HEIGHTS
from coach.record.entry import Entry
from coach.record.panel import Panel, Series, Shape
from coach.record.periods import Span, grouped
from coach.record.words import count, listed

TIERS = ("easy", "middle", "hard")

_GROUP = re.compile(r"[\W\d_]*$")


def group_of(boulder: str) -> str:
    """The circuit that a boulder's name begins with, or its grade: 'slate 4' -> 'slate'."""
    if boulder in GRADES:
        return boulder
    return _GROUP.sub("", boulder) or boulder


def stairs(entries: Sequence[Entry], circuits: Sequence[Circuit] = ()) -> Panel:
    """Boulders climbed in each tier, and hard boulders topped in each group, from the floor up."""
    climbed = Counter[str]()
    topped = Counter[str]()
    for entry in entries:
        climbed.update(entry.digest.boulders)
        topped.update(group_of(boulder) for boulder in entry.digest.tops)
    order = {circuit.name: place for place, circuit in enumerate(circuits)}
    groups = sorted(topped, key=lambda name: (order.get(name, -1), _least(name), name))
    grades = {circuit.name: _grades(circuit) for circuit in circuits}
    treads = [(tier, climbed[tier]) for tier in TIERS if climbed[tier]]
    treads += [(f"{name}{grades.get(name, '')} topped", topped[name]) for name in groups]
    text = [f"{name} {number}" for name, number in treads]
    return Panel(
        "stairs",
        "Boulders, from the floor up",
        "boulders",
        Shape.STAIRS,
        tuple(name for name, _ in treads),
        (Series("boulders", tuple(float(number) for _, number in treads)),),
        (f"From the floor up: {listed(text)}." if text else "No boulder was counted.",),
        note="A circuit spans several grades: what the place says of it, and the comparative scale "
        "of Draper et al. 2015. Grades are opinions.",
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


def tries(entries: Sequence[Entry], span: Span) -> Panel:
    """Hard tries, tops and new heights per period, and how often the go-ahead was taken."""
    groups = grouped(entries, span)
    new = new_heights(entries)
    asked = sum(entry.digest.go_aheads for entry in entries)
    gone = sum(entry.digest.gone_for for entry in entries)
    columns: Mapping[str, tuple[float, ...]] = {
        "hard tries": tuple(sum(e.digest.hard_tries for e in group) for _, group in groups),
        "tops": tuple(sum(len(e.digest.tops) for e in group) for _, group in groups),
        "new heights": tuple(sum(len(new[e.uid]) for e in group) for _, group in groups),
    }
    totals = [count(sum(values), name.removesuffix("s"), name) for name, values in columns.items()]
    totals[0] = count(sum(columns["hard tries"]), "hard try", "hard tries")
    text = [f"{listed(totals)}."]
    if asked:
        text.append(f"Went for it at {gone} of {count(asked, 'go-ahead')}.")
        halves = _halves(entries)
        if halves:
            text.append(halves)
    told = sum(e.digest.tries_gone_for + e.digest.tries_held_back for e in entries)
    if told:
        went = sum(entry.digest.tries_gone_for for entry in entries)
        text.append(f"Tries gone for: {went} of {told} asked about.")
    return Panel(
        "tries",
        f"Hard tries by {span}",
        "times",
        Shape.LINE,
        tuple(name for name, _ in groups),
        tuple(Series(name, values) for name, values in columns.items()),
        tuple(text),
        note="A new height is a try that ended higher on a boulder than any before it.",
    )


def _halves(entries: Sequence[Entry]) -> str:
    """How the share of go-aheads taken differs between the first and the second half."""
    asked = [entry for entry in entries if entry.digest.go_aheads]
    if len(asked) < 10:
        return ""
    middle = len(asked) // 2
    parts = (asked[:middle], asked[middle:])
    first, second = (
        (sum(e.digest.gone_for for e in part), sum(e.digest.go_aheads for e in part))
        for part in parts
    )
    return f"First half: {first[0]} of {first[1]}; second half: {second[0]} of {second[1]}."


def new_heights(entries: Sequence[Entry]) -> dict[str, tuple[str, ...]]:
    """Session uid -> boulders on which it got higher than in any session before.

    On a boulder that was not tried before only a top counts, and so on one without a name: it
    may be another one each day.
    """
    best: dict[tuple[str, str], int] = {}
    found: dict[str, tuple[str, ...]] = {}
    for entry in entries:
        higher = []
        for boulder, height in entry.digest.highest.items():
            reached = HEIGHTS.index(height)
            nameless = boulder.rpartition(" ")[0] == UNNAMED
            key = (entry.place, f"{entry.uid} {boulder}" if nameless else boulder)
            before = best.get(key, HEIGHTS.index("top"))
            if reached > before:
                higher.append(boulder)
            best[key] = max(best.get(key, reached), reached)
        found[entry.uid] = tuple(higher)
    return found
