"""Whoever told no age is taken for under 18, in every movement that is shipped."""

from dataclasses import replace

import pytest

from coach.model.movement import Feet, Hold, Movement
from coach.model.person import AgeBand, Person
from coach.planning import age_limits
from tests.planning.days import library

MOVEMENTS = list(library().movements.values())
#: As they are shipped, and as somebody may write them who knows no tags.
HANGS = [
    bare for one in MOVEMENTS if one.hang is not None for bare in (one, replace(one, leave_out=()))
]


def may(age: AgeBand, movement: Movement) -> bool:
    return age_limits.allows(Person(1, age=age), movement)


@pytest.mark.parametrize("movement", MOVEMENTS, ids=lambda one: one.name)
def test_an_untold_age_may_what_sixteen_may(movement: Movement) -> None:
    assert may(AgeBand.UNKNOWN, movement) == may(AgeBand.UNDER_18, movement)
    if may(AgeBand.UNDER_16, movement):
        assert may(AgeBand.UNDER_18, movement)
    if may(AgeBand.UNDER_18, movement):
        assert may(AgeBand.ADULT, movement)


def test_only_the_grown_up_hang_with_the_feet_off() -> None:
    """Morrison AB, Schoeffl VR (2007) Br J Sports Med 41:852-861; the hold is our choice."""
    assert any(one.hang.feet is Feet.OFF for one in HANGS if one.hang is not None)
    for one in HANGS:
        assert not may(AgeBand.UNDER_16, one)
        if may(AgeBand.UNKNOWN, one):
            assert one.hang is not None
            assert (one.hang.feet, one.hang.hold) == (Feet.ON, Hold.LARGEST)
