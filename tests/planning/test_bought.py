"""The clock of a plan is that of the session: against a climber who does it at the planned pace."""

import pytest

from coach.planning import bought, timeline
from coach.planning.why import once_open
from tests.climber import Day, rehearsed
from tests.planning.days import library
from tests.planning.walker import ADULT, Walker


def at_the_planned_pace(minutes: int) -> Day:
    # a cause that asks for a longer rest is no part of a plan
    return rehearsed(float(minutes), answers={"try-cause": "topped"})


@pytest.mark.parametrize("minutes", [20, 30, 45, 60, 75, 90, 120])
def test_the_clock_of_a_plan_is_within_three_in_a_hundred_of_its_session(minutes: int) -> None:
    day = at_the_planned_pace(minutes)
    walk = Walker(ADULT, minutes)
    planned = timeline.seconds_of(once_open(walk.change.day, walk.steps, library()))
    assert planned == pytest.approx(day.session.ended, rel=0.03)


@pytest.mark.parametrize("minutes", [45, 60, 90, 120])
def test_the_table_tells_what_the_session_held(minutes: int) -> None:
    walk, day = Walker(ADULT, minutes), at_the_planned_pace(minutes)
    told = bought.of(once_open(walk.change.day, walk.steps, library()), 1)
    assert day.first_try is not None
    assert told.first_try == pytest.approx(day.first_try, abs=1.0)
    assert (told.tries, told.easy, told.middle) == (
        day.tries,
        day.boulders("easy"),
        day.boulders("middle"),
    )
    hung = [step for at, step in day.steps if step.hangs and at < day.first_try * 60]
    assert told.hangs == len(hung)
