"""Unfolding: from a routine to everything it can hold today, as offers in the order of the session.

Owns which sets are floors, what a block has room for, and rounds of hard tries with their rests.
"""

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property, lru_cache
from math import ceil

from coach.model.body import Part
from coach.model.day import Day, Library
from coach.model.movement import Movement
from coach.model.plan import Form, Step, StepKind
from coach.model.routine import BlockKind
from coach.planning import cue_seconds, forms, recovery, routine_layout
from coach.planning.forms import Forms
from coach.planning.offers import NO_TRIES, Offer, hopeful, whole_seconds
from coach.planning.routine_layout import Block, Layout, Set

#: Seconds of static stretching of one part before hard tries from which on strength suffers:
#: -4.6 % at 60 s and more, -1.1 % below (Behm DG et al. 2016, Appl Physiol Nutr Metab 41(1):1-11).
STATIC = 60.0
_Shapes = tuple[tuple[Step, ...], int]
#: Who takes part, and what each of them does of each movement of a block; None for nothing.
_Taken = tuple[tuple[int, tuple[str | None, ...]], ...]


def of_routine(day: Day, library: Library, *, turns: bool = True) -> tuple[Offer, ...]:
    """All offers in the order of the session, in the forms of today as if the gates were open.

    Static stretches that would bring a part to STATIC seconds before hard tries are left out.
    Several at one board take turns, unless somebody else seats them.
    """
    return unfolded(day, library, turns=turns).every


def too_long(day: Day, library: Library) -> list[Offer]:
    """The stretches of a routine that are left out today, for being too long before hard tries."""
    return unfolded(day, library).too_long


def unfolded(day: Day, library: Library, *, turns: bool = True) -> "Unfolding":
    """The routine on a day; used again while nothing that shapes it changes."""
    spared = frozenset(who for who, tag in day.told if tag == NO_TRIES)
    return _unfolded(forms.of(hopeful(day), library), spared, turns)


@lru_cache(maxsize=8)
def _unfolded(hoped: Forms, spared: frozenset[int], turns: bool) -> "Unfolding":
    return Unfolding(hoped, spared, turns)


class Unfolding:
    """What a routine can hold on one day: the forms once every gate is open, who has no tries."""

    def __init__(self, hoped: Forms, spared: frozenset[int], turns: bool) -> None:
        self._forms, self._spared = hoped, spared
        boards = hoped.library.place.boards
        self._turns = turns and len(boards) <= 1 and len(hoped.people) > 1
        self.layout = routine_layout.of(hoped.library)

    @cached_property
    def every(self) -> tuple[Offer, ...]:
        """The offers in order.

        Static stretches that would bring a part to STATIC seconds before hard tries are left out.
        """
        out = {offer.name for offer in self.too_long}
        return tuple(offer for offer in self._in_order if offer.name not in out)

    @cached_property
    def too_long(self) -> list[Offer]:
        """The stretches that are left out."""
        names = self.layout.stretches
        stretches = {name: self.layout.library.movements[name].aims for name in names}
        return _long_stretches(self._in_order, stretches) if stretches else []

    @cached_property
    def _in_order(self) -> list[Offer]:
        """The offers in order, all static stretches among them."""
        found = []
        for number, block in enumerate(self.layout.blocks):
            if block.before:
                found.append(self._ask(block.spec.kind, block.before))
            found.extend(_laid(self.layout, number, self._taken(block), self._turns))
            if block.after:
                found.append(self._ask(block.spec.kind, block.after))
        return found

    def _ask(self, kind: BlockKind, question: str) -> Offer:
        people = self._forms.people
        step = Step(
            name="",
            kind=StepKind.ASK,
            block=kind,
            forms=tuple(Form(person.who, "", {}) for person in people),
            amount=1,
            seconds=cue_seconds.ASKING * len(people),
            question=question,
        )
        return Offer(f"{kind}.{question}", kind, (step,), 0, whole_seconds((step,)), must=True)

    def _taken(self, block: Block) -> _Taken:
        """What each person does of each movement of a block today, once every gate is open."""
        taken = []
        for person in self._forms.people:
            names: list[str | None] = []
            for movement in block.movements:
                eased = self._forms.ease(movement.name, person.who)
                if movement.name in block.tried and (
                    eased is not movement or person.who in self._spared
                ):
                    eased = None
                names.append(eased.name if eased is not None else None)
            taken.append((person.who, tuple(names)))
        return tuple(taken)


def _long_stretches(offers: Sequence[Offer], still: Mapping[str, frozenset[Part]]) -> list[Offer]:
    """Offers of static stretches before hard tries that bring a part to STATIC seconds or more."""
    tries = [rank for rank, offer in enumerate(offers) if offer.tries]
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


def _stretched(offer: Offer, still: Mapping[str, frozenset[Part]]) -> dict[tuple[int, Part], float]:
    """Seconds of static stretching by person and part, of one side."""
    found: dict[tuple[int, Part], float] = {}
    for shape in offer.shapes:
        for form in shape.forms:
            for part in still.get(form.movement, ()):
                key = (form.who, part)
                found[key] = found.get(key, 0.0) + shape.seconds
    return found


@lru_cache(maxsize=512)
def _laid(whole: Layout, number: int, taken: _Taken, turns: bool) -> tuple[Offer, ...]:
    """The offers of a block: its floor first, then what its most seconds leave room for.

    Nothing else of a day shapes them than what everybody does of its movements: a change lays out
    again only the blocks that it can change.
    """
    return tuple(_Laying(whole.library, whole.blocks[number], taken, turns).offers())


class _Laying:
    """A block being laid out; sets of one movement and dose share their shapes."""

    def __init__(self, library: Library, block: Block, taken: _Taken, turns: bool) -> None:
        self.library, self.block, self.taken, self.turns = library, block, taken, turns
        self._places = {movement.name: place for place, movement in enumerate(block.movements)}
        self._known: dict[tuple[str, int, bool], _Shapes] = {}

    def offers(self) -> Iterator[Offer]:
        """The offers in order, without sets that have no room or that nobody may do."""
        block, spec = self.block, self.block.spec
        floor = self._floor()
        kept = self._kept(floor) if spec.most else range(len(block.sets))
        for position, one in enumerate(block.sets):
            shapes, seconds = self._shape(position) if position in kept else ((), 0)
            if not shapes:
                continue
            must = position in floor
            yield Offer(
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

    def _floor(self) -> set[int]:
        """The sets that stay: the least of each item and the core, then in order up to the floor.

        Sets that nobody may do are among them and take no time.
        """
        block = self.block
        floor = {i for i, one in enumerate(block.sets) if one.least}
        if block.spec.kind is BlockKind.HARD or not block.spec.floor:
            return floor
        spent = sum(self._counted(i) for i in floor)
        for i in block.by_number():
            if spent >= block.spec.floor:
                break
            if i not in floor:
                floor.add(i)
                spent += self._counted(i)
        return floor

    def _kept(self, floor: set[int]) -> set[int]:
        """The floor, and in order what the most seconds of the block leave room for."""
        kept = set(floor)
        room = self.block.spec.most - sum(self._counted(i) for i in floor)
        for i in self.block.by_number():
            seconds = self._counted(i)
            if i not in kept and seconds <= room:
                kept.add(i)
                room -= seconds
        return kept

    def _shape(self, position: int) -> _Shapes:
        """The shapes of a set, none where nobody may do it, and their whole seconds."""
        one = self.block.sets[position]
        tried = one.movement.name in self.block.tried
        first = tried and not self.block.first + position
        key = (one.movement.name, one.dose, first)
        known = self._known.get(key)
        if known is None:
            if tried:
                shapes = tuple(self._round(one.movement, first=first))
                known = (shapes, whole_seconds(shapes))
            else:
                step = self._lay(one.movement, one.dose)
                shapes = self._in_turns(step, one) if step is not None else ()
                known = (shapes, whole_seconds(shapes * self._sides(shapes)))
            self._known[key] = known
        return known

    def _in_turns(self, step: Step, one: Set) -> tuple[Step, ...]:
        """The step, or where several share one board a step of each who hangs, in turn."""
        if not self.turns or not step.hangs:
            return (step,)
        each = self._of_each(one.movement)
        kind = self.block.spec.kind
        return tuple(
            own
            for who, eased in each
            if (
                own := forms.laid(
                    f".{who}", one.movement, one.dose, kind, [(who, one.movement, eased)]
                )
            )
        )

    def _counted(self, position: int) -> int:
        """Whole seconds of a set for one person, where each has their turn at it."""
        shapes, seconds = self._shape(position)
        turns = len(shapes) if all(len(shape.forms) == 1 and shape.hangs for shape in shapes) else 1
        return seconds // max(turns, 1)

    def _sides(self, shapes: tuple[Step, ...]) -> int:
        """2 where the shapes are done left and right."""
        names = {form.movement for shape in shapes for form in shape.forms if form.movement}
        return max((self.library.movements[name].sides for name in names), default=1)

    def _of_each(self, movement: Movement) -> list[tuple[int, Movement | None]]:
        """What each person does of a movement."""
        place = self._places[movement.name]
        found = [(who, names[place]) for who, names in self.taken]
        return [
            (who, self.library.movements[name] if name is not None else None) for who, name in found
        ]

    def _lay(self, movement: Movement, dose: int) -> Step | None:
        """A set for everybody; None where nobody may do it."""
        each = [(who, movement, eased) for who, eased in self._of_each(movement)]
        return forms.laid("", movement, dose, self.block.spec.kind, each)

    def _round(self, movement: Movement, *, first: bool) -> Iterator[Step]:
        """One try of everybody who may have hard tries today, after the rest that it needs."""
        who = [number for number, may in self._of_each(movement) if may is not None]
        rest = recovery.between((len(who) - 1) * movement.seconds_each, movement.rest)
        if who and rest and not first:
            whole = ceil(rest)
            yield Step(".rest", StepKind.REST, BlockKind.HARD, (), whole, float(whole))
        for number in who:
            form = (Form(number, movement.name, movement.load, movement.aims),)
            yield Step(
                name=f".{number}",
                kind=StepKind.TRY,
                block=BlockKind.HARD,
                forms=form,
                amount=1,
                seconds=movement.seconds_each,
                lead=cue_seconds.OF_TRY,
                turn=number,
                intended=form,
                dose=1,
            )
