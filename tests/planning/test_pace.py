"""A learnt pace changes estimates of time and nothing else."""

from dataclasses import replace
from math import ceil

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.model.routine import BlockKind
from coach.planning import contents, fitting, make_plan, open_day, timeline
from coach.planning.boulder_time import LEAST, MOST
from coach.planning.offers import Offer
from coach.planning.own_pace import library_of
from tests.planning.days import library
from tests.planning.walker import ADULT

ROUTINES = ("full", "easy-day", "technique-day", "first-days", "outdoors", "mat-and-board")
PACES = st.fixed_dictionaries({"easy": st.floats(1, 900), "middle": st.floats(1, 900)})


@settings(max_examples=80, deadline=None)
@given(st.sampled_from(ROUTINES), PACES)
def test_floors_keep_their_boulders_and_every_rest_stays(
    routine: str, seconds: dict[str, float]
) -> None:
    usual = library(routine)
    mine = library_of(usual, seconds, ADULT)
    before, after = (contents.of_routine(open_day(ADULT, 300, one), one) for one in (usual, mine))

    def kept(offers: tuple[Offer, ...]) -> list[object]:
        return [
            (offer.name, offer.floor, offer.core, [(s.amount, s.rest) for s in offer.steps])
            for offer in offers
            if offer.must
        ]

    assert kept(after) == kept(before)
    assert {offer.name for offer in before} <= {offer.name for offer in after}


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(ROUTINES), PACES)
def test_the_least_minutes_that_it_tells_are_enough(
    routine: str, seconds: dict[str, float]
) -> None:
    mine = library_of(library(routine), seconds, ADULT)
    least = mine.routine.least_minutes

    assert mine.routine.minutes >= least >= library(routine).routine.least_minutes
    assert make_plan(open_day(ADULT, least, mine), 0.0, mine).steps


@pytest.mark.parametrize(("told", "taken"), [(80.0, 80.0), (7.0, 20.0), (7000.0, 100.0)])
def test_a_boulder_takes_what_was_learnt_within_bounds(told: float, taken: float) -> None:
    assert (LEAST, MOST) == (0.5, 2.5)
    mine = library_of(library(), {"easy": told}, ADULT)

    assert mine.movements["easy-boulders"].seconds_each == taken
    factor = taken / 40.0
    assert mine.movements["quiet-feet"].seconds_each == round(40 * factor, 1)
    assert mine.movements["middle-boulders"] == library().movements["middle-boulders"]
    assert mine.movements["hard-try"] == library().movements["hard-try"]


def test_nothing_learnt_changes_nothing() -> None:
    assert library_of(library(), {}, ADULT) is library()
    assert library_of(library(), {"hard": 9.0}, ADULT) is library()
    home = library("at-home")
    assert library_of(home, {"easy": 99.0, "middle": 99.0}, ADULT) is home


def test_a_block_without_boulders_has_no_pace() -> None:
    blocks = tuple(
        replace(block, kind=BlockKind.EASY) if block.kind is BlockKind.MAT else block
        for block in library("at-home").routine.blocks
    )
    home = library("at-home")
    odd = replace(home, routine=replace(home.routine, blocks=blocks))
    assert library_of(odd, {"easy": 99.0}, ADULT) is odd


def test_a_slow_pace_is_planned_with_what_it_takes() -> None:
    mine = library_of(library(), {"easy": 80.0, "middle": 160.0}, ADULT)
    steps = make_plan(open_day(ADULT, 60, mine), 0.0, mine).steps

    easy = [s for s in steps if s.block is BlockKind.EASY]
    assert all(step.seconds == 80.0 * step.amount for step in easy)
    assert timeline.seconds_of(steps) <= 60 * 60
    usual = make_plan(open_day(ADULT, 60, library()), 0.0, library()).steps
    assert fitting.tries(steps, 1) < fitting.tries(usual, 1)
    assert ceil(timeline.seconds_of(steps) / 60) <= 60
