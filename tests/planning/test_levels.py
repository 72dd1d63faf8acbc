"""Months of climbing and the distance to one's best decide about doses, by rules that say so."""

import pytest

from coach.model.person import AgeBand, Person
from coach.model.plan import StepKind
from coach.planning import bought
from coach.planning.pyramid import tiers
from coach.planning.why import once_open
from tests.planning.days import library
from tests.planning.walker import PAIR, Walker

CIRCUITS = [circuit.name for circuit in library().place.circuits]


def somebody(months: int | None, best: int = 2, who: int = 1) -> Person:
    """An adult whose comfortable circuit is the first, her best so many above it."""
    return Person(
        who, age=AgeBand.ADULT, comfortable=CIRCUITS[0], best=CIRCUITS[best], months=months
    )


def held(person: Person, minutes: int) -> tuple[Walker, bought.Bought]:
    walk = Walker((person,), minutes)
    return walk, bought.of(once_open(walk.change.day, walk.steps, library()), person.who)


def hangs(walk: Walker) -> list[tuple[str, str]]:
    """Hold and feet of every hang of the day, each check answered well."""
    steps = once_open(walk.change.day, walk.steps, library())
    names = [form.movement for step in steps for form in step.forms if step.hangs]
    found = [library().movements[name].hang for name in names]
    return [(hang.hold.value, hang.feet.value) for hang in found if hang is not None]


@pytest.mark.parametrize("minutes", [30, 60, 75, 90, 120])
def test_who_is_new_hangs_with_the_feet_on_and_never_unevenly(minutes: int) -> None:
    walk, _ = held(somebody(3), minutes)
    assert hangs(walk)
    assert all(feet == "on" and hold != "uneven" for hold, feet in hangs(walk))
    assert "new-to-climbing" in walk.fired


@pytest.mark.parametrize("minutes", [75, 90, 120])
def test_who_is_new_has_few_hard_tries_and_more_technique(minutes: int) -> None:
    (_, new), (_, usual) = held(somebody(3), minutes), held(somebody(60), minutes)
    assert new.tries <= 5 < usual.tries
    assert new.later > usual.later
    assert new.first_try is not None
    assert usual.first_try is not None
    assert new.first_try <= usual.first_try + 1


def test_who_is_new_rests_two_to_three_minutes_and_others_longer() -> None:
    """Sets of several joints are rested 2 to 3 min (ACSM 2009, Med Sci Sports Exerc 41:687-708)."""
    rests = {
        months: [s.seconds for s in held(somebody(months), 60)[0].steps if s.kind is StepKind.REST]
        for months in (3, 60)
    }
    assert rests[3]
    assert all(120.0 <= seconds <= 180.0 for seconds in rests[3])
    assert min(rests[60]) > max(rests[3])
    pair = Walker((somebody(60), somebody(3, who=2)), 60)
    tried = [n for n, step in enumerate(pair.steps) if step.kind is StepKind.TRY and step.turn == 1]
    between = pair.steps[tried[0] + 1 : tried[1]]
    assert sum(step.seconds for step in between) >= min(rests[60])


def test_hard_is_one_circuit_above_comfortable_for_who_is_new_and_two_for_others() -> None:
    new, usual = (tiers(somebody(months), library().place) for months in (3, 60))
    assert new is not None
    assert usual is not None
    assert (new.hard, usual.hard) == ((CIRCUITS[1],), (CIRCUITS[2],))


def test_who_is_learning_hangs_unevenly_with_the_feet_on_alone() -> None:
    walk, _ = held(somebody(12), 90)
    assert ("uneven", "off") not in hangs(walk)
    assert "learning" in walk.fired


@pytest.mark.parametrize("minutes", [45, 60, 90])
def test_the_further_the_best_the_more_middle_boulders_come_before_it(minutes: int) -> None:
    (walk, strong), (_, usual) = held(somebody(60, 3), minutes), held(somebody(60), minutes)
    assert strong.middle >= 8
    assert usual.middle >= 5
    assert 3 <= strong.tries < usual.tries
    assert "strong" in walk.fired


def test_untold_months_change_nothing_and_a_partner_keeps_her_own() -> None:
    (_, untold), (_, usual) = held(somebody(None, 3), 90), held(somebody(60), 90)
    assert untold == usual
    pair = Walker((somebody(60), somebody(3, who=2)), 90)
    assert pair.tries(2) <= 5 < pair.tries(1) <= Walker(PAIR, 90).tries(1)
