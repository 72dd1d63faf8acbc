"""Unfolding: from a routine to everything it can hold, as offers in the order of the session.

Owns which sets are floors, the batches of boulders, and rounds of hard tries with their rests.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil
from typing import NamedTuple

from coach.model.body import Part
from coach.model.day import Day, Library
from coach.model.movement import Movement, Unit
from coach.model.plan import Form, Step, StepKind
from coach.model.routine import BlockKind, BlockSpec, Item
from coach.planning import forms, gates, recovery
from coach.planning.offers import ASKING, BATCH, BOULDERS, NO_TRIES, Offer, hopeful, whole_seconds

#: Seconds of static stretching of one part before hard tries from which on strength suffers:
#: -4.6 % at 60 s and more, -1.1 % below (Behm DG et al. 2016, Appl Physiol Nutr Metab 41(1):1-11).
STATIC = 60.0
_Shapes = tuple[tuple[Step, ...], int]


def of_routine(day: Day, library: Library) -> tuple[Offer, ...]:
    """All offers in the order of the session, in the forms of today as if the gates were open.

    Static stretches that would bring a part to STATIC seconds before hard tries are left out.
    """
    found = in_order(day, library)
    long = {offer.name for offer in long_stretches(found, library)}
    return tuple(offer for offer in found if offer.name not in long) if long else found


def in_order(day: Day, library: Library) -> tuple[Offer, ...]:
    """All offers of the routine in its order."""
    return tuple(_Unfolding(day, library).blocks())


def long_stretches(offers: tuple[Offer, ...], library: Library) -> list[Offer]:
    """Offers of static stretches before hard tries that bring a part to STATIC seconds or more."""
    tries = [rank for rank, offer in enumerate(offers) if offer.tries]
    still = {name for name, movement in library.movements.items() if movement.static_stretch}
    spent: dict[tuple[int, Part], float] = {}
    too_long = []
    for offer in offers[: tries[-1]] if tries else ():
        added = _stretched(offer, still)
        if any(spent.get(key, 0.0) + seconds >= STATIC for key, seconds in added.items()):
            too_long.append(offer)
            continue
        for key, seconds in added.items():
            spent[key] = spent.get(key, 0.0) + seconds
    return too_long


def _stretched(offer: Offer, still: set[str]) -> dict[tuple[int, Part], float]:
    """Seconds of static stretching by person and part, of one side."""
    found: dict[tuple[int, Part], float] = {}
    for shape in offer.shapes:
        for form in shape.forms:
            if form.movement in still:
                for part in form.load:
                    key = (form.who, part)
                    found[key] = found.get(key, 0.0) + shape.seconds
    return found


@dataclass(frozen=True, slots=True)
class _Set:
    """One set of an item before it is placed; a batch of boulders is a set."""

    item: Item
    movement: Movement
    number: int
    """Which set of the item, from 0."""
    dose: int
    least: bool
    """Among the least sets of the item."""


class _Placed(NamedTuple):
    """A set with its place among those of its kind, and what it is."""

    one: _Set
    place: int
    shapes: tuple[Step, ...]
    seconds: int


class _Unfolding:
    """One pass over a routine. Sets of one movement and dose share their shapes."""

    def __init__(self, day: Day, library: Library) -> None:
        self.day, self.library = day, library
        self._forms = forms.Forms(hopeful(day), library)
        self._shapes: dict[tuple[str, int, BlockKind, bool], _Shapes] = {}
        self._everybody = frozenset(person.who for person in day.people)
        self._counts = dict.fromkeys(BlockKind, 0)

    def blocks(self) -> Iterator[Offer]:
        asked: set[str] = set()
        for block in self.library.routine.blocks:
            if block.kind is BlockKind.HARD and gates.GO_AHEAD not in asked:
                asked.add(gates.GO_AHEAD)
                yield self._ask(block.kind, gates.GO_AHEAD)
            yield from self._block(block)
            if block.gate is not None and block.gate not in asked:
                asked.add(block.gate)
                yield self._ask(block.kind, block.gate)

    def _ask(self, kind: BlockKind, question: str) -> Offer:
        people = self.day.people
        step = Step(
            name="",
            kind=StepKind.ASK,
            block=kind,
            forms=tuple(Form(person.who, "", {}) for person in people),
            amount=1,
            seconds=ASKING * len(people),
            question=question,
        )
        return Offer(f"{kind}.{question}", kind, (step,), 0, whole_seconds((step,)), must=True)

    def _block(self, block: BlockSpec) -> Iterator[Offer]:
        """The offers of one block: its floor first, then what its most seconds leave room for."""
        found: list[_Placed] = []
        for one in _sets(self.library, block):
            index = self._counts[block.kind]
            self._counts[block.kind] += 1
            shapes, seconds = self._shape(block.kind, one, first=index == 0)
            if shapes:
                found.append(_Placed(one, index, shapes, seconds))
        order = sorted(range(len(found)), key=lambda i: (found[i].one.number, i))
        floor = _floor(block, found, order)
        room = block.most - sum(found[i].seconds for i in floor) if block.most else float("inf")
        kept = set(floor)
        for i in order:
            if i not in kept and found[i].seconds <= room:
                kept.add(i)
                room -= found[i].seconds
        for i in sorted(kept):
            one, index, shapes, seconds = found[i]
            yield Offer(
                name=f"{block.kind}.{index + 1}",
                kind=block.kind,
                shapes=shapes,
                index=index,
                seconds=seconds,
                must=i in floor,
                floor=i in floor and block.floor > 0.0,
                core=one.item.core,
                sides=one.movement.sides,
            )

    def _shape(self, kind: BlockKind, one: _Set, *, first: bool) -> _Shapes:
        hard = kind is BlockKind.HARD and one.movement.unit is Unit.BOULDERS
        key = (one.movement.name, one.dose, kind, hard and first)
        if key not in self._shapes:
            if hard:
                shapes = tuple(self._round(one.movement, first=first))
                self._shapes[key] = (shapes, whole_seconds(shapes))
            else:
                step = self._forms.lay("", one.movement, one.dose, kind, self._everybody)
                shapes = (step,) if step is not None else ()
                self._shapes[key] = (shapes, whole_seconds(shapes * one.movement.sides))
        return self._shapes[key]

    def _round(self, movement: Movement, *, first: bool) -> Iterator[Step]:
        """One try of everybody who may have hard tries today, after the rest that it needs."""
        who = [
            person.who
            for person in self.day.people
            if (person.who, NO_TRIES) not in self.day.told and self._forms.allowed(movement, person)
        ]
        rest = recovery.between((len(who) - 1) * movement.seconds_each, movement.rest)
        if who and rest and not first:
            whole = ceil(rest)
            yield Step(".rest", StepKind.REST, BlockKind.HARD, (), whole, float(whole))
        for number in who:
            form = (Form(number, movement.name, movement.load),)
            yield Step(
                name=f".{number}",
                kind=StepKind.TRY,
                block=BlockKind.HARD,
                forms=form,
                amount=1,
                seconds=movement.seconds_each,
                turn=number,
                intended=form,
                dose=1,
            )


def _sets(library: Library, block: BlockSpec) -> Iterator[_Set]:
    """The sets of a block in order; boulders come in batches that are easy to count."""
    for item in block.items:
        movement = library.movements.get(item.movement)
        if movement is None:
            continue
        dose = item.amount or movement.amount
        if movement.unit is not Unit.BOULDERS:
            for number in range(item.sets):
                yield _Set(item, movement, number, dose, number < item.least_sets or item.core)
        elif block.kind is BlockKind.HARD:
            for number in range(item.sets * dose):
                yield _Set(item, movement, number, 1, False)
        else:
            done = 0
            for number, size in enumerate(batches(block.kind, item.sets * dose)):
                least = done < item.least_sets * dose or item.core
                yield _Set(item, movement, number, size, least)
                done += size


def batches(kind: BlockKind, boulders: int) -> list[int]:
    """Sizes of the batches: what hard tries need in full ones, the rest in twos and threes."""
    least = min(BOULDERS.get(kind, (boulders, boulders))[0], boulders)
    sizes = [BATCH] * (least // BATCH) + ([least % BATCH] if least % BATCH else [])
    more = boulders - least
    while more > 0:
        sizes.append(more if more <= 3 else 2 if more == 4 else 3)
        more -= sizes[-1]
    return sizes


def _floor(block: BlockSpec, found: list[_Placed], order: list[int]) -> frozenset[int]:
    """The sets that stay: the least of each item and the core, then in order up to the floor."""
    floor = {i for i, placed in enumerate(found) if placed.one.least}
    if block.kind is BlockKind.HARD:
        return frozenset(floor)
    spent = sum(found[i].seconds for i in floor)
    for i in order:
        if spent >= block.floor:
            break
        if i not in floor:
            floor.add(i)
            spent += found[i].seconds
    return frozenset(floor)
