"""Forms: what each person really does in a step, given what caps them now.

Owns the swap to easier neighbours. A step remembers what the routine means (`intended`);
what may be done is worked out again from it whenever a cap is set or lifted, so that a
lifted cap gives back exactly what it took.
"""

from dataclasses import replace

from coach.model.body import CapReason, within
from coach.model.day import Day, Library
from coach.model.movement import Movement, Unit
from coach.model.person import Person
from coach.model.plan import Form, Step, StepKind
from coach.planning import ages, gates

KINDS: dict[Unit, StepKind] = {
    Unit.SECONDS: StepKind.STAY,
    Unit.BREATHS: StepKind.BREATHE,
    Unit.REPEATS: StepKind.REPEAT,
    Unit.BOULDERS: StepKind.CLIMB,
    Unit.GOES: StepKind.DOSE,
}


def allowed(movement: Movement, person: Person, day: Day, library: Library) -> bool:
    """Whether a person may do a movement now: age, caps, gates, reports and equipment."""
    there = library.place.equipment | ({"board"} if library.place.boards else set())
    return (
        movement.equipment <= there
        and ages.allows(person, movement)
        and within(movement.load, day.caps, person.who)
        and not gates.waits(movement, gates.shut(day.caps, person.who))
        and not _left_out(movement, person, day)
    )


def _left_out(movement: Movement, person: Person, day: Day) -> bool:
    tags = {
        f"sign:{cap.part}"
        for cap in day.caps
        if cap.who == person.who and cap.reason is CapReason.SIGN
    }
    tags |= {f"{item.feel}:{item.part}" for item in day.reports if item.who == person.who}
    return bool(tags & set(movement.leave_out))


#: Load at or below which a movement is gentle: it warms and moves, it does not tire.
GENTLE = 1


def gentle(movement: Movement) -> bool:
    """Whether a movement loads no part beyond the gentle."""
    return all(load <= GENTLE for load in movement.load.values())


def ease(name: str, person: Person, day: Day, library: Library) -> Movement | None:
    """The movement itself, or the nearest easier neighbour that the person may do now.

    A neighbour that is counted in another unit has to be gentle: a step has one length for
    everybody in it, which that neighbour was not made for.
    """
    ahead, seen = [name], set()
    meant = library.movements.get(name)
    while ahead:
        name = ahead.pop(0)
        movement = library.movements.get(name)
        if movement is None or name in seen:
            continue
        fits = meant is not None and (movement.unit is meant.unit or gentle(movement))
        if fits and allowed(movement, person, day, library):
            return movement
        seen.add(name)
        if movement.easier is not None:
            ahead.append(movement.easier)
        ahead.extend(movement.also_easier)
    return None


def may_try(who: int, day: Day) -> bool:
    """Whether a person may have hard tries now: said 'go' and no gate is shut."""
    return who in day.go and not gates.shut(day.caps, who)


def resolve(step: Step, day: Day, library: Library) -> Step | None:
    """The step as it may be done now, or None where nobody may do any form of it.

    A person who may do no form sits it out while others do theirs. An easier form never
    takes longer than the intended one.
    """
    if not step.intended:
        return step
    people = {person.who: person for person in day.people}
    found = [
        (form.who, ease(form.movement, people[form.who], day, library) if form.movement else None)
        for form in step.intended
    ]
    forms = tuple(
        Form(who, movement.name, movement.load) if movement is not None else Form(who, "", {})
        for who, movement in found
    )
    doing = [movement for _, movement in found if movement is not None]
    if not doing:
        return None
    return replace(_shape(step, doing, library), forms=forms)


def _shape(step: Step, doing: list[Movement], library: Library) -> Step:
    """The step with the kind, amount and length that the forms in it have.

    Forms counted as the intended one is set the shape, the longest of them the length; no
    rest gets shorter.
    """
    if step.kind is StepKind.TRY:
        return step
    meant = library.movements[next(form.movement for form in step.intended if form.movement)]
    whole = length(meant, step.dose)
    alike = [movement for movement in doing if movement.unit is meant.unit]
    lead = alike[0] if alike else doing[0]
    if alike:
        amount = step.dose
        seconds = max(length(movement, amount) for movement in alike)
    else:
        amount = max(1, min(lead.amount, int(whole / lead.seconds_each)))
        seconds = length(lead, amount)
    return replace(
        step,
        kind=KINDS[lead.unit],
        amount=amount,
        seconds=min(whole, seconds),
        rest=max([step.rest, *(movement.rest for movement in doing)]),
        least=lead.least if lead.unit is Unit.GOES else 0,
        most=lead.most if lead.unit is Unit.GOES else 0,
        hangs=any(movement.hang is not None for movement in doing),
    )


def length(movement: Movement, amount: int) -> float:
    """Seconds that an amount takes on one side; rests between the goes of a dose count."""
    between = movement.rest * max(amount - 1, 0) if movement.unit is Unit.GOES else 0.0
    return amount * movement.seconds_each + between
