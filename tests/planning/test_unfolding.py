"""What a routine can hold: whoever asks for a few offers gets them as they are among all."""

from dataclasses import replace
from random import Random

from coach.model.body import Cap, CapReason, Part
from coach.model.day import Library
from coach.planning import open_day
from coach.planning.unfolding import Unfolding, unfolded
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


def test_what_was_laid_out_is_used_again_only_where_nothing_that_shapes_it_differs() -> None:
    dice = Random("again")
    some = [routine_of(dice, 8) for _ in range(3)]
    capped = Cap(1, Part.FINGERS, 0, CapReason.SORE, "sore")
    for _ in range(60):
        library = dice.choice(some)
        day = open_day(ALONE, dice.choice((60, 120)), library)
        day = replace(day, caps=(*day.caps, *dice.choice(((), (capped,)))))
        day = replace(day, told=dice.choice(((), ((1, "no-tries"),))))
        few = frozenset(dice.sample(unfolded(day, library).names(), 5))
        assert unfolded(day, library).offers(few) == Unfolding(day, library).offers(few)
        assert unfolded(day, library).offers() == Unfolding(day, library).offers()

    day = open_day(ALONE, 60, some[0])
    later = replace(day, ends_at=99.0, caps=())
    assert unfolded(day, some[0]) is unfolded(later, some[0])
    assert unfolded(day, some[0]) is not unfolded(day, replace(some[0]))
