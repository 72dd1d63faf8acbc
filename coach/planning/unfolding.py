"""Unfolding: from a routine to everything it can hold, as offers in the order of the session.

Owns which sets are floors, the batches of boulders, and rounds of hard tries with their rests.
"""

from collections.abc import Iterator
from functools import lru_cache
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
    return unfolded(day, library).offers()


def too_long(day: Day, library: Library) -> list[Offer]:
    """The stretches of a routine that are left out today, for being too long before hard tries."""
    return unfolded(day, library).too_long()


def long_stretches(offers: tuple[Offer, ...], library: Library) -> list[Offer]:
    """Offers of static stretches before hard tries that bring a part to STATIC seconds or more."""
    tries = [rank for rank, offer in enumerate(offers) if offer.tries]
    still = {name for name, movement in library.movements.items() if movement.static_stretch}
    spent: dict[tuple[int, Part], float] = {}
    too_long = []
    for offer in offers[: tries[-1]] if tries and still else ():
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


class _Set(NamedTuple):
    """One set of an item before it is placed; a batch of boulders is a set."""

    item: Item
    movement: Movement
    number: int
    """Which set of the item, from 0."""
    dose: int
    least: bool
    """Among the least sets of the item."""


class _Block(NamedTuple):
    """A block with its sets, the question before it and the one after it; '' for none."""

    spec: BlockSpec
    first: int
    """How many sets of its kind come before it."""
    sets: tuple[_Set, ...]
    names: tuple[str, ...]
    """The name of the offer of each set."""
    before: str
    after: str

    def by_number(self) -> list[int]:
        """Positions of its sets: the first of every item, then the second."""
        return sorted(range(len(self.sets)), key=lambda i: self.sets[i].number)


class Unfolding:
    """What a routine can hold on one day.

    A set is laid out once it is asked for, and sets of one movement and dose share their shapes:
    whoever looks for a few offers does not pay for all.
    """

    def __init__(self, day: Day, library: Library) -> None:
        self.day, self.library = day, library
        self._forms = forms.Forms(hopeful(day), library)
        self._shapes: dict[tuple[str, int, BlockKind, bool], _Shapes] = {}
        self._offers: dict[str, Offer | None] = {}
        self._staying: dict[str, tuple[set[int], set[int] | None]] = {}
        self._everybody = frozenset(person.who for person in day.people)
        self._blocks = _blocks(library)

    def names(self) -> list[str]:
        """The names of its offers in order, with those of sets that nobody may do today."""
        found: list[str] = []
        for block in self._blocks:
            kind = block.spec.kind
            found.extend([f"{kind}.{block.before}"] if block.before else [])
            found.extend(block.names)
            found.extend([f"{kind}.{block.after}"] if block.after else [])
        return found

    def offers(self, wanted: frozenset[str] | None = None) -> tuple[Offer, ...]:
        """The offers in order, or those of the wanted names.

        Static stretches that would bring a part to STATIC seconds before hard tries are left out.
        """
        laid = None if wanted is None else wanted.union(self._near_stretches())
        found = tuple(self.in_order(laid))
        out = {offer.name for offer in long_stretches(found, self.library)}
        if wanted is not None:
            out |= {offer.name for offer in found if offer.name not in wanted}
        return tuple(offer for offer in found if offer.name not in out) if out else found

    def too_long(self) -> list[Offer]:
        """The stretches that are left out; only they and the tries are laid out."""
        return long_stretches(tuple(self.in_order(frozenset(self._near_stretches()))), self.library)

    def in_order(self, wanted: frozenset[str] | None = None) -> Iterator[Offer]:
        """The offers in order, or those of the wanted names; static stretches among them."""
        for block in self._blocks:
            if block.before:
                yield self._ask(block.spec.kind, block.before)
            if wanted is None or not wanted.isdisjoint(block.names):
                yield from self._block(block, wanted)
            if block.after:
                yield self._ask(block.spec.kind, block.after)

    def _near_stretches(self) -> set[str]:
        """Names of what decides which stretches are too long: stretches, and hard tries."""
        movements = self.library.movements
        still = {name for name, movement in movements.items() if movement.static_stretch}
        return {
            name
            for block in (self._blocks if still else ())
            for name, one in zip(block.names, block.sets, strict=True)
            if block.spec.kind is BlockKind.HARD
            or not still.isdisjoint(forms.down_from(one.movement.name, movements))
        }

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

    def _block(self, block: _Block, wanted: frozenset[str] | None) -> Iterator[Offer]:
        """The offers of one block: its floor first, then what its most seconds leave room for."""
        for position, name in enumerate(block.names):
            if wanted is None or name in wanted:
                if name not in self._offers:
                    self._offers[name] = self._offer(block, position)
                offer = self._offers[name]
                if offer is not None:
                    yield offer

    def _offer(self, block: _Block, position: int) -> Offer | None:
        """The offer of one set; None where it has no room in its block, or nobody may do it."""
        spec, one = block.spec, block.sets[position]
        floor, kept = self._stays(block)
        if kept is not None and position not in kept:
            return None
        shapes, seconds = self._shape(block, position)
        if not shapes:
            return None
        must = position in floor
        return Offer(
            name=block.names[position],
            kind=spec.kind,
            shapes=shapes,
            index=block.first + position,
            seconds=seconds,
            must=must,
            floor=must and spec.floor > 0.0,
            core=one.item.core,
            sides=one.movement.sides,
        )

    def _stays(self, block: _Block) -> tuple[set[int], set[int] | None]:
        """The floor of a block, and what it has room for; None where it has room for all."""
        key = block.names[0]
        if key not in self._staying:
            floor = self._floor(block)
            kept = self._kept(block, floor) if block.spec.most else None
            self._staying[key] = (floor, kept)
        return self._staying[key]

    def _floor(self, block: _Block) -> set[int]:
        """The sets that stay: the least of each item and the core, then in order up to the floor.

        Sets that nobody may do are among them and take no time.
        """
        floor = {i for i, one in enumerate(block.sets) if one.least}
        if block.spec.kind is BlockKind.HARD or not block.spec.floor:
            return floor
        spent = sum(self._shape(block, i)[1] for i in floor)
        for i in block.by_number():
            if spent >= block.spec.floor:
                break
            if i not in floor:
                floor.add(i)
                spent += self._shape(block, i)[1]
        return floor

    def _kept(self, block: _Block, floor: set[int]) -> set[int]:
        """The floor, and in order what the most seconds of the block leave room for."""
        kept = set(floor)
        room = block.spec.most - sum(self._shape(block, i)[1] for i in floor)
        for i in block.by_number():
            seconds = self._shape(block, i)[1]
            if i not in kept and seconds <= room:
                kept.add(i)
                room -= seconds
        return kept

    def _shape(self, block: _Block, position: int) -> _Shapes:
        """The shapes of a set, none where nobody may do it, and their whole seconds."""
        kind, one = block.spec.kind, block.sets[position]
        hard = kind is BlockKind.HARD and one.movement.unit is Unit.BOULDERS
        first = hard and not block.first + position
        key = (one.movement.name, one.dose, kind, first)
        known = self._shapes.get(key)
        if known is None:
            if hard:
                shapes = tuple(self._round(one.movement, first=first))
                known = (shapes, whole_seconds(shapes))
            else:
                step = self._forms.lay("", one.movement, one.dose, kind, self._everybody)
                shapes = (step,) if step is not None else ()
                known = (shapes, whole_seconds(shapes * self._sides(shapes)))
            self._shapes[key] = known
        return known

    def _sides(self, shapes: tuple[Step, ...]) -> int:
        """2 where the shapes are done left and right."""
        names = {form.movement for shape in shapes for form in shape.forms if form.movement}
        return max((self.library.movements[name].sides for name in names), default=1)

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


class _Same:
    """A library by what it is: what it holds can't be hashed, and one lasts a whole session."""

    __slots__ = ("library",)

    def __init__(self, library: Library) -> None:
        self.library = library

    def __hash__(self) -> int:
        return id(self.library)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and self.library is other.library


def unfolded(day: Day, library: Library) -> Unfolding:
    """The routine on a day; what was laid out is used again while nothing that shapes it changes.

    That are the people, what was told, how parts feel, and caps that no opened gate lifts.
    """
    hoped = hopeful(day)
    shaping = Day(hoped.people, 0.0, caps=hoped.caps, reports=hoped.reports, told=hoped.told)
    return _unfolded(_Same(library), shaping)


@lru_cache(maxsize=4)
def _unfolded(same: _Same, day: Day) -> Unfolding:
    return Unfolding(day, same.library)


def _blocks(library: Library) -> list[_Block]:
    """The blocks of the routine with their sets; each question stands once, the go-ahead first."""
    found = []
    counts = dict.fromkeys(BlockKind, 0)
    asked: set[str] = set()
    for spec in library.routine.blocks:
        before = (
            gates.GO_AHEAD if spec.kind is BlockKind.HARD and gates.GO_AHEAD not in asked else ""
        )
        asked.add(before)
        after = spec.gate if spec.gate is not None and spec.gate not in asked else ""
        asked.add(after)
        first, sets = counts[spec.kind], tuple(_sets(library, spec))
        names = tuple(f"{spec.kind}.{first + n}" for n in range(1, len(sets) + 1))
        found.append(_Block(spec, first, sets, names, before, after))
        counts[spec.kind] += len(sets)
    return found


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
