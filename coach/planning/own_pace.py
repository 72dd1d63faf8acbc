"""The climber's own seconds per boulder, from earlier sessions, in place of the catalogue's."""

from collections.abc import Mapping
from dataclasses import replace
from math import ceil

from coach.model.day import Library
from coach.model.person import Person
from coach.model.routine import Reach
from coach.planning import boulder_time, contents, day_library, first_plan


def library_of(
    library: Library, seconds: Mapping[str, float], people: tuple[Person, ...]
) -> Library:
    """The library with each boulder of a tier at the climber's own pace.

    `seconds` are those of one boulder by tier: climbing, coming off, walking and waiting. The
    least minutes of the routine grow where its floors take longer now.
    """
    own = boulder_time.at(library, seconds)
    return library if own is library else _with_least(own, people)


def _with_least(library: Library, people: tuple[Person, ...]) -> Library:
    """The library whose routine takes at least what its floors take, where it reaches least."""
    day = first_plan.open_day(people, float(first_plan.MOST_MINUTES), library)
    day = replace(day, reach=Reach.BOARD)
    shortest = contents.of_routine(day, day_library.library_of(day, library))
    floors = sum(offer.seconds for offer in shortest if offer.must)
    least = max(library.routine.least_minutes, ceil(floors / 60))
    minutes = max(library.routine.minutes, least)
    routine = replace(library.routine, minutes=minutes, least_minutes=least)
    return replace(library, routine=routine)
