"""Offers: everything a routine can hold, as steps with stable names, worth and floors.

Owns names ('board.3' is always the same set of the same item), the split of boulders into
batches, rounds of hard tries with their rests, and what each piece is worth to the budget.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import ceil

from coach.model.body import CapReason, Part
from coach.model.day import Day, Library
from coach.model.movement import Movement, Unit
from coach.model.plan import Form, Step, StepKind
from coach.model.routine import BlockKind, BlockSpec, Item
from coach.planning import forms, gates, recovery

#: Boulders in one batch (common practice: few enough to count).
BATCH = 5
#: Least and most boulders by tier before hard tries (common practice).
BOULDERS = {BlockKind.EASY: (10, 15), BlockKind.MIDDLE: (5, 10)}
#: Seconds to hear the cue and get into place, by kind of step.
LEAD_IN = {
    StepKind.STAY: 5.0,
    StepKind.REPEAT: 5.0,
    StepKind.BREATHE: 5.0,
    StepKind.CLIMB: 6.0,
    StepKind.DOSE: 5.0,
    StepKind.TRY: 4.0,
}
ASKING = 10.0
#: Kept in `Day.told` of whoever has no hard tries any more today, or no further ones.
NO_TRIES = "no-tries"
NO_MORE_TRIES = "no-more-tries"
#: Seconds of static stretching of one part before hard tries from which on strength suffers:
#: -4.6 % at 60 s and more, -1.1 % below (Behm DG et al. 2016, Appl Physiol Nutr Metab 41(1):1-11).
STATIC = 60.0
#: Seconds that a round of tries counts as in its worth, whatever its rest: so that it is always
#: the last rounds that go.
_ROUND = 240
#: How much a second of each block is worth, and how many pieces until it is worth nothing:
#: the designers' choice of what matters when time is short.
_WORTH = {
    BlockKind.PULSE: (4, 12),
    BlockKind.MAT: (5, 40),
    BlockKind.BOARD: (7, 30),
    BlockKind.EASY: (6, 24),
    BlockKind.MIDDLE: (7, 16),
    BlockKind.HARD: (9, 14),
    BlockKind.STRENGTH: (6, 16),
    BlockKind.COOL_DOWN: (3, 16),
}


@dataclass(frozen=True, slots=True)
class Offer:
    """A group of steps that is done whole, in its place in the session."""

    name: str
    kind: BlockKind
    steps: tuple[Step, ...]
    index: int
    """How many pieces of its kind come before it."""
    must: bool
    """Core, a floor, or a question."""

    @property
    def seconds(self) -> int:
        """Whole seconds with lead-ins and rests."""
        return ceil(sum(cost(step) for step in self.steps))


def cost(step: Step) -> float:
    """Seconds that a step takes from the session, lead-in and rest counted."""
    goes = step.amount if step.kind is StepKind.DOSE else 1
    return step.seconds + step.rest + LEAD_IN.get(step.kind, 0.0) * goes


def worth(kind: BlockKind, index: int, seconds: int) -> int:
    """What a piece is worth to the budget; later pieces of a kind are worth less."""
    rate, pieces = _WORTH[kind]
    if kind is BlockKind.HARD:
        seconds = _ROUND
    return max(seconds * rate * max(pieces - index, 0) // pieces, 1)


def hopeful(day: Day) -> Day:
    """The day as it is once every gate has been opened and every skipped floor made up."""
    passing = (CapReason.GATE, CapReason.COLD)
    return replace(
        day,
        caps=tuple(cap for cap in day.caps if cap.reason not in passing),
        go=tuple(person.who for person in day.people),
    )


def group(name: str) -> str:
    """The group that a step belongs to: 'board.3' of 'board.3.left'."""
    return ".".join(name.split(".")[:2])


def of_routine(day: Day, library: Library) -> tuple[Offer, ...]:
    """All offers in the order of the session, resolved for today as if the gates were open.

    Static stretches that would bring a part to STATIC seconds before hard tries are left out.
    """
    found = in_order(day, library)
    long = {offer.name for offer in long_stretches(found, library)}
    return tuple(offer for offer in found if offer.name not in long)


def long_stretches(offers: tuple[Offer, ...], library: Library) -> list[Offer]:
    """Offers of static stretches before hard tries that bring a part to STATIC seconds or more."""
    tries = [i for i, o in enumerate(offers) if any(s.kind is StepKind.TRY for s in o.steps)]
    spent: dict[tuple[int, Part, str], float] = {}
    too_long = []
    for offer in offers[: tries[-1]] if tries else ():
        added: dict[tuple[int, Part, str], float] = {}
        for step in offer.steps:
            for form in step.forms:
                if form.movement and library.movements[form.movement].static_stretch:
                    for part in form.load:
                        key = (form.who, part, step.side)
                        added[key] = added.get(key, 0.0) + step.seconds
        if any(spent.get(key, 0.0) + seconds >= STATIC for key, seconds in added.items()):
            too_long.append(offer)
            continue
        for key, seconds in added.items():
            spent[key] = spent.get(key, 0.0) + seconds
    return too_long


def in_order(day: Day, library: Library) -> tuple[Offer, ...]:
    """All offers of the routine in its order."""
    counts = dict.fromkeys(BlockKind, 0)
    asked: set[str] = set()
    found: list[Offer] = []
    for block in library.routine.blocks:
        if block.kind is BlockKind.HARD and gates.GO_AHEAD not in asked:
            found.append(_ask(day, block.kind, gates.GO_AHEAD))
            asked.add(gates.GO_AHEAD)
        found.extend(_block(day, library, block, counts))
        if block.gate is not None and block.gate not in asked:
            found.append(_ask(day, block.kind, block.gate))
            asked.add(block.gate)
    return tuple(found)


def _ask(day: Day, kind: BlockKind, question: str) -> Offer:
    step = Step(
        name=f"{kind}.{question}",
        kind=StepKind.ASK,
        block=kind,
        forms=tuple(Form(person.who, "", {}) for person in day.people),
        amount=1,
        seconds=ASKING * len(day.people),
        question=question,
    )
    return Offer(step.name, kind, (step,), 0, True)


@dataclass(frozen=True, slots=True)
class _Set:
    """One set of an item before it is numbered; a batch of boulders is a set."""

    item: Item
    movement: Movement
    number: int
    """Which set of the item, from 0."""
    dose: int
    least: bool
    """Among the least sets of the item."""


def _block(
    day: Day, library: Library, block: BlockSpec, counts: dict[BlockKind, int]
) -> Iterator[Offer]:
    """The offers of one block: its floor first, then what its most seconds leave room for."""
    offers: list[tuple[_Set, Offer]] = []
    for one in _sets(library, block):
        index = counts[block.kind]
        counts[block.kind] += 1
        steps = tuple(_steps(day, library, block, one, index))
        if steps:
            name = f"{block.kind}.{index + 1}"
            offers.append((one, Offer(name, block.kind, steps, index, False)))
    floor = _floor(block, offers)
    room = block.most - sum(offers[i][1].seconds for i in floor) if block.most else float("inf")
    kept = set(floor)
    for i in sorted(range(len(offers)), key=lambda i: (offers[i][0].number, i)):
        if i not in kept and offers[i][1].seconds <= room:
            kept.add(i)
            room -= offers[i][1].seconds
    for i in sorted(kept):
        one, offer = offers[i]
        floors = i in floor and block.floor > 0.0
        yield replace(
            offer,
            steps=tuple(replace(step, floor=floors, core=one.item.core) for step in offer.steps),
            must=i in floor,
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


def _floor(block: BlockSpec, offers: list[tuple[_Set, Offer]]) -> frozenset[int]:
    """The sets that stay: the least of each item and the core, then in order up to the floor."""
    floor = {i for i, (one, _) in enumerate(offers) if one.least}
    if block.kind is BlockKind.HARD:
        return frozenset(floor)
    for i in sorted(range(len(offers)), key=lambda i: (offers[i][0].number, i)):
        if sum(offers[j][1].seconds for j in floor) >= block.floor:
            break
        floor.add(i)
    return frozenset(floor)


def _steps(day: Day, library: Library, block: BlockSpec, one: _Set, index: int) -> Iterator[Step]:
    """The steps of one set: one for each side, or one round of tries with the rest before it."""
    name = f"{block.kind}.{index + 1}"
    if block.kind is BlockKind.HARD and one.movement.unit is Unit.BOULDERS:
        yield from _round(day, library, one.movement, name, index)
        return
    dose = one.dose
    intended = tuple(
        Form(person.who, one.movement.name, one.movement.load) for person in day.people
    )
    for side in ("left", "right") if one.movement.sides == 2 else ("",):
        step = Step(
            name=f"{name}.{side}" if side else name,
            kind=forms.KINDS[one.movement.unit],
            block=block.kind,
            forms=intended,
            amount=dose,
            seconds=forms.length(one.movement, dose),
            rest=one.movement.rest,
            side=side,
            intended=intended,
            dose=dose,
        )
        resolved = forms.resolve(step, hopeful(day), library)
        if resolved is not None:
            yield resolved


def _round(day: Day, library: Library, movement: Movement, name: str, index: int) -> Iterator[Step]:
    """One try of everybody who may have hard tries today, after the rest that it needs."""
    hoped = hopeful(day)
    who = [
        p.who
        for p in day.people
        if (p.who, NO_TRIES) not in day.told and forms.allowed(movement, p, hoped, library)
    ]
    if not who:
        return
    if index:
        others = (len(who) - 1) * movement.seconds_each
        rest = recovery.between(others, movement.rest)
        if rest:
            yield Step(
                f"{name}.rest", StepKind.REST, BlockKind.HARD, (), ceil(rest), float(ceil(rest))
            )
    for number in who:
        form = (Form(number, movement.name, movement.load),)
        yield Step(
            name=f"{name}.{number}",
            kind=StepKind.TRY,
            block=BlockKind.HARD,
            forms=form,
            amount=1,
            seconds=movement.seconds_each,
            turn=number,
            intended=form,
            dose=1,
        )
