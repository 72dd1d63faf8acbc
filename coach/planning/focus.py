"""The technique focus of easy boulders: two or three offers, of which the climber chooses."""

from collections.abc import Sequence

from coach.model.day import Day, Library
from coach.model.movement import Family, Movement
from coach.planning import forms

#: How many are offered.
OFFERED = 3


def offer(
    day: Day, library: Library, who: int, practised: Sequence[str], aim: str = ""
) -> tuple[str, ...]:
    """Names of focuses, the one for today's aim first, then those practised least lately.

    `practised` are the focuses of earlier sessions, oldest first; one never practised comes
    before any that was. Focuses that a cap or an age leaves out are not offered.
    """
    person = next(person for person in day.people if person.who == who)
    today = forms.Forms(day, library)
    found = [
        movement
        for movement in library.movements.values()
        if movement.family is Family.FOCUS and today.allowed(movement, person)
    ]
    last = {name: place for place, name in enumerate(practised, start=1)}

    def rank(movement: Movement) -> tuple[bool, int, str]:
        return (movement.name != aim, last.get(movement.name, 0), movement.name)

    return tuple(movement.name for movement in sorted(found, key=rank)[:OFFERED])
