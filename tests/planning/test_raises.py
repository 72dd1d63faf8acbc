"""Whatever is told, in whatever window: nothing is raised without its own yes."""

from hypothesis import given, settings
from hypothesis import strategies as st

from coach.model.answers import parse
from coach.model.body import CapReason
from coach.model.plan import StepKind
from coach.planning import adapt, after_idle, make_plan, open_day
from coach.planning.offers import cost
from tests import oracle
from tests.planning.days import Move, library, moves, onward, people


def walk(ages, minutes, routine, told):  # type: ignore[no-untyped-def]
    """Every change that a day goes through: (before, after, who, answer, question, now)."""
    lib = library(routine)
    day = open_day(ages, minutes, lib)
    steps = make_plan(day, 0.0, lib).steps
    now = 0.0
    for move in told:
        steps, now = onward(steps, now, move.onward)
        who = min(move.who, len(ages))
        key, question = move.key, move.question
        if steps and steps[0].kind is StepKind.ASK:
            question = steps[0].question
            who = steps[0].forms[0].who
            clear = "go" if question == "go-ahead" else "feel:fine"
            key = key if question == move.question else clear
            steps, now = steps[1:], now + 10.0
        elif question == "next":
            continue
        answer = parse(key)
        change = adapt(day, steps, now, who, answer, question, lib)
        yield (day, steps), (change.day, change.steps), who, answer, question, now
        day, steps = change.day, change.steps


days = (
    people,
    st.sampled_from([50, 60, 75, 90, 120, 150]),
    st.sampled_from(["full"]),
    st.lists(moves, max_size=14),
)


@settings(max_examples=300, deadline=None)
@given(*days)
def test_no_answer_raises_without_its_own_yes(ages, minutes, routine, told):
    for before, after, who, answer, question, _ in walk(ages, minutes, routine, told):
        assert oracle.unentitled(before, after, who, answer, question) == []


@settings(max_examples=300, deadline=None)
@given(*days)
def test_every_plan_keeps_caps_ages_time_and_floors(ages, minutes, routine, told):
    lib = library(routine)
    for _, (day, steps), _, _, _, now in walk(ages, minutes, routine, told):
        assert oracle.above_caps(day, steps) == []
        assert oracle.under_age(day, steps, dict(lib.movements)) == []
        first = cost(steps[0]) if steps else 0.0
        assert now + sum(cost(step) for step in steps) <= max(day.ends_at + 60.0, now + first + 60)
        assert len({step.name for step in steps}) == len(steps)
        tried = {step.turn for step in steps if step.kind is StepKind.TRY}
        hard = {
            step.turn
            for step in steps
            if step.kind is StepKind.TRY and any(max(f.load.values()) > 2 for f in step.forms)
        }
        assert hard <= set(day.go)
        for who in hard:
            assert not any(
                cap.who == who and cap.reason in (CapReason.COLD, CapReason.GATE)
                for cap in day.caps
            )
        assert tried <= {person.who for person in day.people}


@settings(max_examples=100, deadline=None)
@given(*days)
def test_the_same_input_gives_the_same_plan(ages, minutes, routine, told):
    assert list(walk(ages, minutes, routine, told)) == list(walk(ages, minutes, routine, told))


@settings(max_examples=150, deadline=None)
@given(people, st.sampled_from([50, 90, 150]), st.lists(moves, max_size=6), st.floats(0, 5000))
def test_idling_raises_nothing(ages, minutes, told, idle):
    lib = library()
    day = open_day(ages, minutes, lib)
    steps = make_plan(day, 0.0, lib).steps
    states = [after for _, after, *_ in walk(ages, minutes, "full", told)]
    day, steps = states[-1] if states else (day, steps)
    change = after_idle(day, steps, idle, idle, lib)
    assert oracle.raises((day, steps), (change.day, change.steps)) == []


def test_walk_reaches_hard_tries() -> None:
    """The walk above is worth something: with clear answers it gets to hard tries."""
    told = [Move(99, 1, "", "next")] * 4
    from coach.model.person import AgeBand, Person

    *_, last = walk((Person(1, age=AgeBand.ADULT),), 90, "full", told)
    assert any(
        step.kind is StepKind.TRY and step.forms[0].movement == "hard-try" for step in last[1][1]
    )
