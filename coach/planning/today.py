"""The library as it is today: what was told of the place changes how long things take."""

from dataclasses import replace

from coach.model.day import Day, Library
from coach.model.movement import Unit

#: How much longer a boulder takes where people queue (our choice).
CROWDED = 1.4


def library_of(day: Day, library: Library) -> Library:
    """The same library, or one whose boulders take longer because the place is crowded."""
    if all(tag != "crowded" for _, tag in day.told):
        return library
    movements = {
        name: replace(movement, seconds_each=round(movement.seconds_each * CROWDED))
        if movement.unit is Unit.BOULDERS
        else movement
        for name, movement in library.movements.items()
    }
    return replace(library, movements=movements)
