"""Forms: what each person really does in a step, given what caps them now.

A step remembers what the routine means (`intended`); what may be done is worked out again from
it whenever a cap is set or lifted, so that a lifted cap gives back exactly what it took.
"""

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import TypedDict

from coach.model.day import Day, Library
from coach.model.movement import Movement, Unit
from coach.model.person import Person
from coach.model.plan import LEFT, RIGHT, Form, Step, StepKind
from coach.model.routine import BlockKind
from coach.planning import allowance, cue_seconds
from coach.planning.allowance import Allowance
from coach.planning.identity import Same

KINDS: dict[Unit, StepKind] = {
    Unit.SECONDS: StepKind.STAY,
    Unit.BREATHS: StepKind.BREATHE,
    Unit.REPEATS: StepKind.REPEAT,
    Unit.BOULDERS: StepKind.CLIMB,
    Unit.GOES: StepKind.DOSE,
}
_GOES, _TRY = Unit.GOES, StepKind.TRY
_NOBODY: frozenset[int] = frozenset()


def length(movement: Movement, amount: int) -> float:
    """Seconds that an amount takes on one side; rests between the goes of a dose count."""
    between = movement.rest * max(amount - 1, 0) if movement.unit is _GOES else 0.0
    return amount * movement.seconds_each + between


class Forms:
    """What everybody may do under the caps of one day."""

    def __init__(
        self, people: tuple[Person, ...], library: Library, of: Mapping[int, Allowance]
    ) -> None:
        self.people, self.library, self._of = people, library, of

    def allowed(self, movement: Movement, person: Person) -> bool:
        """Whether a person may do a movement now."""
        return self._of[person.who].allows(movement)

    def ease(self, name: str, who: int) -> Movement | None:
        """The movement itself, or the nearest easier neighbour that the person may do now."""
        return self._of[who].ease(name)

    def resolve(self, step: Step, left_done: frozenset[int] = _NOBODY) -> Step | None:
        """The step as it may be done now, or None where nobody may do any form of it.

        A person who may do no form sits it out while others do theirs. An easier form never
        takes longer than the intended one, and no rest gets shorter. `left_done` are those who
        have only this right side before them.
        """
        if not step.intended or self._stands(step, left_done):
            return step
        right = step.half == RIGHT
        found = [(form.who, self._done(form, right, left_done)) for form in step.intended]
        doing = [movement for _, movement in found if movement is not None]
        if not doing:
            return None
        forms = tuple(_form(who, movement) for who, movement in found)
        if step.kind is _TRY:
            return replace(step, forms=forms)
        # whoever asked for something longer does not make it longer for the others
        intended = (self.library.movements[f.movement] for f in step.intended if f.movement)
        meant = min(intended, key=lambda movement: length(movement, step.dose))
        shape = _shape(meant, step.dose, doing, step.rest)
        side = step.half if any(movement.sides > 1 for movement in doing) else ""
        if side == RIGHT:
            shape["lead"] = cue_seconds.AGAIN
        return replace(step, forms=forms, side=side, **shape)

    def other_side(self, before: Step, now: Step) -> Step | None:
        """The right of a step whose left has come back to one side, where it had been both."""
        if before.side or now.side != LEFT or not before.other:
            return None
        right = replace(before, name=before.other, other=before.name, half=RIGHT, side=RIGHT)
        return self.resolve(right)

    def _stands(self, step: Step, left_done: frozenset[int]) -> bool:
        """Whether a step is in the forms of now already, and somebody does it."""
        right, sides = step.half == RIGHT, 0
        for meant, form in zip(step.intended, step.forms, strict=True):
            movement = self._done(meant, right, left_done)
            if form.movement != (movement.name if movement is not None else ""):
                return False
            if movement is not None and movement.sides > sides:
                sides = movement.sides
        return sides > 0 and step.side == (step.half if sides > 1 else "")

    def lay(
        self, name: str, movement: Movement, dose: int, block: BlockKind, people: Iterable[int]
    ) -> Step | None:
        """A new step of a movement, for one side, in the forms of now; None where nobody may.

        `people` do it; everybody else of the day sits it out.
        """
        takes_part = frozenset(people)
        each = [
            (person.who, movement, self.ease(movement.name, person.who))
            if person.who in takes_part
            else (person.who, None, None)
            for person in self.people
        ]
        return laid(name, movement, dose, block, each)

    def _done(self, form: Form, right: bool, left_done: frozenset[int]) -> Movement | None:
        """What a person does in a step that means this form, on the right or not.

        What both hands do at once is done on the left, and not again on the right, unless the
        left was done by itself.
        """
        if not form.movement:
            return None
        movement = self._of[form.who].ease(form.movement)
        if right and movement is not None and movement.sides == 1 and form.who not in left_done:
            return None
        return movement


def of(day: Day, library: Library) -> Forms:
    """The forms of a day; used again while nothing that decides what anybody may do changes."""
    return _of(Same(library), tuple([allowance.holds(day, person) for person in day.people]))


@lru_cache(maxsize=16)
def _of(same: Same, held: tuple[allowance.Holds, ...]) -> Forms:
    people = tuple(holds[0] for holds in held)
    of = {holds[0].who: allowance.of(same, holds) for holds in held}
    return Forms(people, same.library, of)


def laid(
    name: str,
    movement: Movement,
    dose: int,
    block: BlockKind,
    each: Iterable[tuple[int, Movement | None, Movement | None]],
) -> Step | None:
    """A new step of a movement, for one side; None where nobody does it.

    `each` are who, what is meant for them and what they do; None for nothing.
    """
    intended, now, doing = [], [], []
    for who, meant, eased in each:
        form = _form(who, meant)
        intended.append(form)
        now.append(form if eased is meant else _form(who, eased))
        if eased is not None:
            doing.append(eased)
    if not doing:
        return None
    return Step(
        name=name,
        block=block,
        forms=tuple(now),
        intended=tuple(intended),
        dose=dose,
        **_shape(movement, dose, doing, movement.rest),
    )


def with_left_done(step: Step, names: Container[str]) -> frozenset[int]:
    """Who does a step as a right side whose left is not among the names of what is left."""
    if step.half != RIGHT or step.other in names:
        return _NOBODY
    return frozenset(form.who for form in step.forms if form.movement)


class _Shape(TypedDict):
    """The fields of a step that follow from the forms in it."""

    kind: StepKind
    amount: int
    seconds: float
    rest: float
    lead: float
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
        lead=cue_seconds.lead(doing),
        least=lead.least if goes else 0,
        most=lead.most if goes else 0,
        hangs=any(movement.hang is not None for movement in doing),
    )


def _form(who: int, movement: Movement | None) -> Form:
    if movement is None:
        return Form(who, "", {})
    return Form(who, movement.name, movement.load, movement.aims)
