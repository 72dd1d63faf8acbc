"""Forms: what each person really does in a step, given what caps them now.

Owns the swap to easier neighbours. A step remembers what the routine means (`intended`);
what may be done is worked out again from it whenever a cap is set or lifted, so that a
lifted cap gives back exactly what it took.
"""

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TypedDict

from coach.model.body import HIGHEST_LOAD, CapReason, Part
from coach.model.day import Day, Library
from coach.model.movement import Movement, Unit
from coach.model.person import Person
from coach.model.plan import Form, Step, StepKind
from coach.model.routine import BlockKind
from coach.planning import ages, gates

KINDS: dict[Unit, StepKind] = {
    Unit.SECONDS: StepKind.STAY,
    Unit.BREATHS: StepKind.BREATHE,
    Unit.REPEATS: StepKind.REPEAT,
    Unit.BOULDERS: StepKind.CLIMB,
    Unit.GOES: StepKind.DOSE,
}
_GOES = Unit.GOES
LEFT, RIGHT = "left", "right"
#: Load at or below which a movement is gentle: it warms and moves, it does not tire.
GENTLE = 1


def gentle(movement: Movement) -> bool:
    """Whether a movement loads no part beyond the gentle."""
    return all(load <= GENTLE for load in movement.load.values())


def length(movement: Movement, amount: int) -> float:
    """Seconds that an amount takes on one side; rests between the goes of a dose count."""
    between = movement.rest * max(amount - 1, 0) if movement.unit is _GOES else 0.0
    return amount * movement.seconds_each + between


def down_from(name: str, movements: Mapping[str, Movement]) -> Iterator[str]:
    """A movement and its easier neighbours, the nearest first, each once."""
    ahead, seen = [name], set()
    for name in ahead:
        movement = movements.get(name)
        if movement is None or name in seen:
            continue
        seen.add(name)
        yield name
        if movement.easier is not None:
            ahead.append(movement.easier)
        ahead.extend(movement.also_easier)


class Forms:
    """What may be done under the caps of one day; each answer is worked out once."""

    def __init__(self, day: Day, library: Library) -> None:
        self.day, self.library = day, library
        self._people = {person.who: person for person in day.people}
        self._there = library.place.equipment | ({"board"} if library.place.boards else set())
        self._ceilings: dict[int, dict[Part, int]] = {who: {} for who in self._people}
        for cap in day.caps:
            most = self._ceilings.setdefault(cap.who, {})
            most[cap.part] = min(cap.most, most.get(cap.part, HIGHEST_LOAD))
        self._shut = {who: gates.shut(day.caps, who) for who in self._people}
        self._tags = {who: _tags(day, who) for who in self._people}
        self._eased: dict[tuple[str, int], Movement | None] = {}

    def allowed(self, movement: Movement, person: Person) -> bool:
        """Whether a person may do a movement now: age, caps, gates, reports and equipment."""
        who = person.who
        ceilings = self._ceilings[who]
        for part, load in movement.load.items():
            if load > ceilings.get(part, HIGHEST_LOAD):
                return False
        return (
            movement.equipment <= self._there
            and ages.allows(person, movement)
            and not gates.waits(movement, self._shut[who])
            and self._tags[who].isdisjoint(movement.leave_out)
        )

    def ease(self, name: str, who: int) -> Movement | None:
        """The movement itself, or the nearest easier neighbour that the person may do now.

        A neighbour that is counted in another unit has to be gentle: a step has one length for
        everybody in it, which that neighbour was not made for.
        """
        key = (name, who)
        if key not in self._eased:
            person, movement = self._people[who], self.library.movements.get(name)
            fits = movement is not None and self.allowed(movement, person)
            self._eased[key] = movement if fits else self._nearest(name, person)
        return self._eased[key]

    def _nearest(self, name: str, person: Person) -> Movement | None:
        unit = None
        for easier in down_from(name, self.library.movements):
            movement = self.library.movements[easier]
            unit = unit or movement.unit
            fits = movement.unit is unit or gentle(movement)
            if fits and self.allowed(movement, person):
                return movement
        return None

    def resolve(self, step: Step, left_done: frozenset[int] = frozenset()) -> Step | None:
        """The step as it may be done now, or None where nobody may do any form of it.

        A person who may do no form sits it out while others do theirs. An easier form never
        takes longer than the intended one, and no rest gets shorter. `left_done` are those who
        have only this right side before them.
        """
        if not step.intended or self._stands(step, left_done):
            return step
        found = [(form.who, self._done(form, step, left_done)) for form in step.intended]
        doing = [movement for _, movement in found if movement is not None]
        if not doing:
            return None
        forms = tuple(_form(who, movement) for who, movement in found)
        if step.kind is StepKind.TRY:
            return replace(step, forms=forms)
        # whoever asked for something longer does not make it longer for the others
        intended = (self.library.movements[f.movement] for f in step.intended if f.movement)
        meant = min(intended, key=lambda movement: length(movement, step.dose))
        shape = _shape(meant, step.dose, doing, step.rest)
        side = _side(step.name, max(movement.sides for movement in doing))
        return replace(step, forms=forms, side=side, **shape)

    def other_side(self, before: Step, now: Step) -> Step | None:
        """The right of a step whose left has come back to one side, where it had been both."""
        if before.side or now.side != LEFT:
            return None
        name = before.name.removesuffix(LEFT) + RIGHT
        return self.resolve(replace(before, name=name, side=RIGHT))

    def _stands(self, step: Step, left_done: frozenset[int]) -> bool:
        """Whether a step is in the forms of now already, and somebody does it."""
        sides = 0
        for meant, form in zip(step.intended, step.forms, strict=True):
            movement = self._done(meant, step, left_done)
            if form.movement != (movement.name if movement is not None else ""):
                return False
            if movement is not None:
                sides = max(sides, movement.sides)
        return sides > 0 and step.side == _side(step.name, sides)

    def lay(
        self, name: str, movement: Movement, dose: int, block: BlockKind, people: Iterable[int]
    ) -> Step | None:
        """A new step of a movement, for one side, in the forms of now; None where nobody may.

        `people` do it; everybody else of the day sits it out.
        """
        people = frozenset(people)
        intended, forms, doing = [], [], []
        for person in self.day.people:
            who = person.who
            takes_part = who in people
            eased = self.ease(movement.name, who) if takes_part else None
            form = _form(who, movement if takes_part else None)
            intended.append(form)
            forms.append(form if eased is movement else _form(who, eased))
            if eased is not None:
                doing.append(eased)
        if not doing:
            return None
        return Step(
            name=name,
            block=block,
            forms=tuple(forms),
            intended=tuple(intended),
            dose=dose,
            **_shape(movement, dose, doing, movement.rest),
        )

    def _done(self, form: Form, step: Step, left_done: frozenset[int]) -> Movement | None:
        """What a person does in a step that means this form.

        What both hands do at once is done on the left, and not again on the right, unless the
        left was done by itself.
        """
        if not form.movement:
            return None
        movement = self.ease(form.movement, form.who)
        if (
            movement is not None
            and movement.sides == 1
            and step.name.endswith(f".{RIGHT}")
            and form.who not in left_done
        ):
            return None
        return movement


def with_left_done(step: Step, names: Container[str]) -> frozenset[int]:
    """Who does a step as a right side whose left is not among the names of what is left."""
    stem = step.name.removesuffix(f".{RIGHT}")
    if stem == step.name or f"{stem}.{LEFT}" in names:
        return frozenset()
    return frozenset(form.who for form in step.forms if form.movement)


def _side(name: str, sides: int) -> str:
    """The side of a step by the end of its name; '' where what is done has no sides."""
    end = name.rpartition(".")[2]
    return end if sides > 1 and end in (LEFT, RIGHT) else ""


class _Shape(TypedDict):
    """The fields of a step that follow from the forms in it."""

    kind: StepKind
    amount: int
    seconds: float
    rest: float
    least: int
    most: int
    hangs: bool


def _shape(meant: Movement, dose: int, doing: Sequence[Movement], rest: float) -> _Shape:
    """What a step is that means a dose of one movement and is done in these forms.

    Forms that are counted as the meant one is set the shape, the longest of them the length.
    """
    whole = length(meant, dose)
    for movement in doing:
        rest = max(rest, movement.rest)
    alike = [movement for movement in doing if movement.unit is meant.unit]
    lead = alike[0] if alike else doing[0]
    if alike:
        amount = dose
        seconds = max([length(movement, amount) for movement in alike])
    else:
        amount = max(1, min(lead.amount, int(whole / lead.seconds_each)))
        seconds = length(lead, amount)
    goes = lead.unit is _GOES
    return _Shape(
        kind=KINDS[lead.unit],
        amount=amount,
        seconds=min(whole, seconds),
        rest=rest,
        least=lead.least if goes else 0,
        most=lead.most if goes else 0,
        hangs=any(movement.hang is not None for movement in doing),
    )


def _form(who: int, movement: Movement | None) -> Form:
    return Form(who, movement.name, movement.load) if movement is not None else Form(who, "", {})


def _tags(day: Day, who: int) -> frozenset[str]:
    """What `Movement.leave_out` may name of a person today: signs, and how parts feel."""
    signs = (
        f"sign:{cap.part}" for cap in day.caps if cap.who == who and cap.reason is CapReason.SIGN
    )
    feels = (f"{item.feel}:{item.part}" for item in day.reports if item.who == who)
    return frozenset((*signs, *feels))
