"""Whatever is told, in whatever window: nothing is raised without its own yes."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st

from coach.errors import UsageError
from coach.model.answers import Answer, parse
from coach.model.day import Change, Day
from coach.model.person import AgeBand, Person
from coach.model.plan import Step, StepKind
from coach.planning import adapt, after_idle, make_plan, open_day, timeline
from coach.planning.day_tags import TOLD
from tests import oracle
from tests.planning.days import Move, library, moves, onward, people
from tests.planning.simulated import Happened
from tests.planning.test_simulated import broken

State = tuple[Day, tuple[Step, ...]]


class Begun(NamedTuple):
    """How a day of the property tests begins."""

    ages: tuple[Person, ...]
    minutes: int
    told: tuple[tuple[int, str], ...]


def first(begun: Begun) -> Change:
    """The plan of the day."""
    told = tuple((min(who, len(begun.ages)), tag) for who, tag in begun.told)
    return make_plan(open_day(begun.ages, begun.minutes, library(), told=told), 0.0, library())


def walk(begun: Begun, told: Sequence[Move]) -> Iterator[Happened]:
    """Every change that the answers make."""
    lib = library()
    change = first(begun)
    day, steps, now = change.day, change.steps, 0.0
    for move in told:
        steps, now = onward(steps, now, move.onward)
        who, key, question = min(move.who, len(begun.ages)), move.key, move.question
        if steps and steps[0].kind is StepKind.ASK:
            if question != steps[0].question:
                question = steps[0].question
                key = "go" if question == "go-ahead" else "feel:fine"
            who = steps[0].forms[0].who
            steps, now = steps[1:], now + 10.0
        elif question == "next":
            continue
        answer: Answer = parse(key)
        change = adapt(day, steps, now, who, answer, question, lib)
        yield Happened((day, steps), change, who, answer, question, now, lib)
        day, steps = change.day, change.steps


begins = st.builds(
    Begun,
    people,
    st.sampled_from([50, 60, 75, 90, 120, 150]),
    st.lists(st.tuples(st.integers(1, 3), st.sampled_from(sorted(TOLD))), max_size=2).map(tuple),
)
answers = st.lists(moves, min_size=4, max_size=16)


@pytest.mark.no_cover
@settings(max_examples=200, deadline=None)
@given(begins, answers)
def test_no_answer_breaks_a_promise_of_planning(begun: Begun, told: list[Move]) -> None:
    for one in walk(begun, told):
        assert broken(one) == []


@settings(max_examples=40, deadline=None)
@given(begins, answers)
def test_the_same_input_gives_the_same_plan(begun: Begun, told: list[Move]) -> None:
    assert list(walk(begun, told)) == list(walk(begun, told))


@settings(max_examples=60, deadline=None)
@given(begins, answers, st.floats(0, 5000))
def test_idling_raises_nothing(begun: Begun, told: list[Move], idle: float) -> None:
    change = first(begun)
    state = (change.day, change.steps)
    now = 0.0
    for one in walk(begun, told):
        state, now = one.after, one.now
    later = after_idle(*state, now + idle, idle, library())
    assert oracle.raises(state, (later.day, later.steps)) == []


@settings(max_examples=60, deadline=None)
@given(people, st.floats(45, 300))
def test_a_plan_keeps_its_minutes_and_what_comes_before_hard_tries(
    ages: tuple[Person, ...], minutes: float
) -> None:
    try:
        steps = make_plan(open_day(ages, minutes, library()), 0.0, library()).steps
    except UsageError:
        reject()
    assert timeline.seconds_of(steps) <= minutes * 60
    tried = next((i for i, s in enumerate(steps) if s.kind is StepKind.TRY), len(steps))
    ahead = steps[:tried]
    climbed = {
        tier: sum(s.amount for s in ahead if s.block == tier and s.kind is StepKind.CLIMB)
        for tier in ("easy", "middle")
    }
    if any(step.kind is StepKind.TRY for step in steps):
        assert 10 <= climbed["easy"] <= 15
        assert 5 <= climbed["middle"] <= 10
        assert sum(climbed.values()) >= 15


def test_the_walk_gets_to_hard_tries() -> None:
    begun = Begun((Person(1, age=AgeBand.ADULT),), 90, ())
    *_, last = walk(begun, [Move(99, 1, "", "next")] * 4)
    assert any(
        step.kind is StepKind.TRY and step.forms[0].movement == "hard-try" for step in last.after[1]
    )
