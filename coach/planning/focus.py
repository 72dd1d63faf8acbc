"""The technique focus of easy boulders: two or three offers, of which the climber chooses.

Owns which steps take a focus, what is offered, and the focus in place of plain boulders.
"""

from collections.abc import Sequence
from dataclasses import replace

from coach.model.day import Day, Library
from coach.model.movement import Family, Movement
from coach.model.plan import Form, Step
from coach.planning import forms

#: How many are offered.
OFFERED = 3


def offer(
    day: Day,
    library: Library,
    who: int,
    practised: Sequence[str],
    favoured: Sequence[str] = (),
    towards: Sequence[str] = (),
) -> tuple[str, ...]:
    """Names of focuses: towards the hard boulder, favoured by an aim, practised least lately.

    `towards` are those of its key move, the best first. `practised` are the focuses of earlier
    sessions, oldest first; one never practised comes before any that was, in the order of the
    catalogue. Focuses that a cap or an age leaves out are not offered.
    """
    person = next(person for person in day.people if person.who == who)
    today = forms.of(day, library)
    found = [
        movement
        for movement in library.movements.values()
        if movement.family is Family.FOCUS and today.allowed(movement, person)
    ]
    last = {name: place for place, name in enumerate(practised, start=1)}

    wanted = {name: place for place, name in enumerate(towards)}

    def rank(movement: Movement) -> tuple[int, bool, int]:
        name = movement.name
        return (wanted.get(name, len(wanted)), name not in favoured, last.get(name, 0))

    return tuple(movement.name for movement in sorted(found, key=rank)[:OFFERED])


def choosers(step: Step, library: Library) -> tuple[int, ...]:
    """Who may choose a focus for a step: the routine says so, and they do it as it is meant."""
    free = {
        item.movement
        for block in library.routine.blocks
        for item in block.items
        if item.choose is Family.FOCUS and block.kind is step.block
    }
    if not free:
        return ()
    now = {form.who: form.movement for form in step.forms}
    return tuple(
        form.who
        for form in step.intended
        if form.movement in free and now[form.who] == form.movement
    )


def focused(step: Step, day: Day, library: Library, name: str) -> Step:
    """The step with a focus in place of plain boulders, for each person who may choose one.

    Its count, seconds and rest stay. Whoever may not do the focus now stays with plain boulders.
    """
    free = choosers(step, library)
    if not free:
        return step
    movement = library.movements[name]
    people = {person.who: person for person in day.people}
    today = forms.of(day, library)
    taken = {
        who: Form(who, name, movement.load, movement.aims)
        for who in free
        if today.allowed(movement, people[who])
    }
    return replace(
        step,
        forms=tuple(taken.get(form.who, form) for form in step.forms),
        intended=tuple(taken.get(form.who, form) for form in step.intended),
    )
