"""What half an hour to the first hard try promises, each promise by a day of its own.

The least boulders, the minutes of the first try and the least rest are written here again: ten easy
and five middle boulders in about half an hour are common practice when time is short; the two
minutes of rest are the lower end of a maximal effort's (`docs/figures/numbers.md`).
"""

from itertools import pairwise
from typing import Any

import pytest

from coach.model.facts import Climbed, Rested, StepEnded, Tried
from coach.model.person import AgeBand, Person
from coach.model.plan import StepKind
from coach.planning import bought
from coach.planning.why import once_open
from coach.session.events import Source
from coach.session.state import Phase
from tests.climber import ADULT, Pace, rehearsed
from tests.planning.days import library
from tests.planning.walker import Walker
from tests.session.stage import Play

FIRST_BY = {45: 26, 60: 30, 75: 30, 90: 32, 120: 32}
FEWEST_TRIES = {45: 3, 60: 3, 75: 3, 90: 3, 120: 3}
LEAST_REST = 120.0


def plan(minutes: int, *tags: str, people: tuple[Person, ...] = ADULT) -> bought.Bought:
    """What a day buys with every check answered well."""
    walk = Walker(people, minutes, told=tuple((1, tag) for tag in tags))
    return bought.of(once_open(walk.change.day, walk.steps, library()), 1)


@pytest.mark.parametrize("minutes", FIRST_BY)
def test_the_first_hard_try_comes_in_time_after_a_whole_warm_up(minutes: int) -> None:
    day = plan(minutes)
    assert day.first_try is not None
    assert day.first_try <= FIRST_BY[minutes]
    assert (day.easy, day.middle) >= (10, 5)
    assert day.middle >= 5
    assert day.tries >= FEWEST_TRIES[minutes]


def test_more_minutes_go_to_tries_and_not_into_the_warm_up() -> None:
    days = [plan(minutes) for minutes in FIRST_BY]
    assert all(other.tries >= one.tries for one, other in pairwise(days))
    assert (days[3].first_try or 0) - (days[1].first_try or 0) <= 5


def test_the_mat_keeps_its_movements_as_minutes_grow() -> None:
    """From 60 minutes on none is dropped; of the six body parts none is ever left out."""
    mats = {minutes: Walker(ADULT, minutes).forms("mat") for minutes in (30, *FIRST_BY)}
    assert mats[60] <= mats[75] <= mats[90] <= mats[120]
    always = {"cat-arch", "thread-the-arm", "wrist-circles", "wall-slides", "deep-squat"}
    assert all(
        always | {"low-lunge", "hip-switches", "ankle-rocks"} <= mat for mat in mats.values()
    )


@pytest.mark.parametrize(("minutes", "easy", "middle"), [(30, 8, 4), (20, 5, 0), (10, 0, 0)])
def test_short_minutes_are_a_session_of_their_own(minutes: int, easy: int, middle: int) -> None:
    day = plan(minutes)
    assert day.easy >= easy
    assert day.middle >= middle
    assert day.tries == 0
    assert day.hangs or day.easy
    assert day.mobility >= 1


def test_a_crowded_hall_leaves_a_session() -> None:
    day = plan(45, "crowded")
    assert day.minutes >= 30
    assert day.easy >= 5


@pytest.mark.parametrize("tag", ["short-of-sleep", "hard-yesterday", "tired"])
@pytest.mark.parametrize("minutes", [60, 90])
def test_a_worn_day_cuts_and_adds_nothing(tag: str, minutes: int) -> None:
    worn, usual = plan(minutes, tag), plan(minutes)
    assert worn.tries <= usual.tries
    assert worn.hangs <= usual.hangs
    assert worn.middle <= usual.middle
    assert worn.easy + worn.later <= usual.easy + usual.later


def test_levels_change_the_doses() -> None:
    circuits = [one.name for one in library().place.circuits]
    held = [
        plan(
            90,
            people=(
                Person(
                    1, age=AgeBand.ADULT, comfortable=circuits[0], best=circuits[best], months=m
                ),
            ),
        )
        for m, best in ((3, 2), (60, 2), (60, 3), (60, 5))
    ]
    new, usual, strong, stronger = held
    assert new.tries < usual.tries
    assert usual.middle < strong.middle < stronger.middle


def test_easier_on_the_middle_boulders_opens_no_hard_try_above_them() -> None:
    def easier(session: Any, now: float) -> str | None:
        running, window = session.course.running, session.window
        on_middle = running is not None and running.step.block.value == "middle"
        said = any(fired.rule == "easier-middle" for fired in session.course.fired)
        takes = window is not None and "easier" in window.answers
        return "easier" if on_middle and takes and not said else None

    day = rehearsed(60.0, Pace(40, 80), also=easier)
    texts = [entry.text for entry in day.transcript.entries if entry.kind == "said"]
    at = texts.index("Easy boulders instead, so no hard tries today.")
    assert texts[at + 1].startswith("That leaves ")
    assert not [fact for fact in day.facts if isinstance(fact, Climbed) and fact.tier == "middle"]
    assert not [fact for fact in day.facts if isinstance(fact, Tried)]


def test_ready_one_second_after_a_try_does_not_cut_the_least_rest() -> None:
    play = Play(routine="rests", minutes=120.0)
    play.until(Phase.WORK, StepKind.TRY)
    play.run(20.0)
    play.say("ended-middle", source=Source.KEY)
    play.until(Phase.REST)
    play.run(1.0)
    for _ in range(9):
        play.say("ready", source=Source.KEY)
        play.run(12.0)
    assert "2 minutes at least" in " ".join(play.said)
    play.until(Phase.WORK, StepKind.TRY)
    ends = [f.at for f in play.found(StepEnded) if f.kind == "try"]
    assert play.session.course.running.since - ends[0] >= LEAST_REST
    assert play.found(Rested)[-1].seconds >= LEAST_REST - 1.0
