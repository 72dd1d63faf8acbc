"""What a routine can hold: laid out again only where a change can have changed it."""

from dataclasses import replace
from random import Random

from coach.model.body import Cap, CapReason, Part
from coach.model.routine import BlockKind
from coach.planning import open_day
from coach.planning.contents import of_routine, unfolded
from tests.planning.budgets import ALONE, routine_of
from tests.planning.simulated import libraries
from tests.planning.walker import PAIR

SORE = Cap(1, Part.FINGERS, 1, CapReason.SORE, "sore")


def test_offers_come_in_the_order_of_the_layout() -> None:
    dice = Random("order")
    some = [routine_of(dice, dice.randint(1, 20)) for _ in range(40)]
    for library in (*some, *libraries()):
        day = open_day(ALONE, 120, library)
        day = replace(day, caps=(*day.caps, *dice.choice(((), (SORE,)))))
        ranks = unfolded(day, library).layout.ranks
        places = [ranks[offer.name] for offer in of_routine(day, library)]
        assert places
        assert places == sorted(set(places))


def test_what_was_laid_out_is_used_again_only_where_nothing_that_shapes_it_differs() -> None:
    """The same library, copied, is laid out afresh: nothing is kept for a copy."""
    dice = Random("again")
    some = [routine_of(dice, 8) for _ in range(3)]
    caps = [Cap(1, Part.FINGERS, most, CapReason.SORE, "sore") for most in range(3)]
    for _ in range(90):
        library = dice.choice(some)
        people = dice.choice((ALONE, PAIR))
        day = open_day(people, dice.choice((60, 120)), library)
        day = replace(day, caps=(*day.caps, *dice.choice(((), (dice.choice(caps),)))))
        day = replace(day, told=dice.choice(((), ((1, "no-tries"),))))
        assert of_routine(day, library) == of_routine(day, replace(library))


def test_a_cap_lays_out_again_only_the_blocks_that_it_changes() -> None:
    library = routine_of(Random("kept"), 12)
    day = open_day(ALONE, 120, library)
    sore = replace(day, caps=(*day.caps, SORE))
    before, after = of_routine(day, library), of_routine(sore, library)
    laid = {id(offer) for offer in before if not offer.question}
    kept = [offer for offer in after if not offer.question]

    assert kept
    assert all(id(offer) in laid for offer in kept)
    assert {offer.kind for offer in before if not offer.question} - {o.kind for o in kept} == {
        BlockKind.MIDDLE,
        BlockKind.HARD,
    }
