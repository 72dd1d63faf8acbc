"""What a routine can hold: whoever asks for a few offers gets them as they are among all."""

from dataclasses import replace
from random import Random

from coach.model.body import Cap, CapReason, Part
from coach.model.day import Library
from coach.planning import open_day
from coach.planning.unfolding import Unfolding
from tests.planning.budgets import ALONE, routine_of
from tests.planning.simulated import libraries


def compared(library: Library, dice: Random) -> int:
    """How many offers of a random few were found, each the same as among all."""
    caps = (Cap(1, dice.choice(list(Part)), dice.randint(0, 2), CapReason.SORE, "sore"),)
    day = open_day(ALONE, 120, library)
    day = replace(day, caps=(*day.caps, *dice.choice(((), caps))))
    unfolding = Unfolding(day, library)
    every = unfolding.offers()
    names = unfolding.names()
    few = frozenset(dice.sample(names, len(names) // 3))
    found = Unfolding(day, library).offers(few)

    assert found == tuple(offer for offer in every if offer.name in few)
    assert [name for name in names if name in {offer.name for offer in every}] == [
        offer.name for offer in every
    ]
    return len(found)


def test_a_few_offers_are_those_among_all() -> None:
    dice = Random("few")
    random = sum(compared(routine_of(dice, dice.randint(1, 20)), dice) for _ in range(60))
    real = sum(compared(library, dice) for library in libraries() for _ in range(6))

    assert random > 300
    assert real > 300
