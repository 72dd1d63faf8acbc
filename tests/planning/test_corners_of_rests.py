"""Rests that grow, checks that come again soon, and a re-warm that nobody's try waits for."""

from dataclasses import replace

from coach import planning
from coach.files.library import load_library
from coach.model.answers import parse
from coach.model.body import Part
from coach.model.person import AgeBand, Person
from coach.model.plan import Step, StepKind
from coach.model.routine import BlockKind
from coach.planning.rest_promises import kept_apart

LIBRARY = load_library("full", None, ())
PAIR = (Person(1, age=AgeBand.ADULT), Person(2, age=AgeBand.ADULT))


def a_try(name: str) -> Step:
    return Step(name, StepKind.TRY, BlockKind.HARD, (), 1, 40.0, turn=1)


def test_a_rest_grows_to_what_the_next_try_needs() -> None:
    rest = Step("rest", StepKind.REST, BlockKind.HARD, (), 60, 60.0)
    steps = kept_apart((a_try("one"), rest, a_try("two")), {1: 200.0})
    assert [step.seconds for step in steps] == [40.0, 200.0, 40.0]


def test_without_a_rest_before_it_nothing_grows() -> None:
    climb = Step("climb", StepKind.CLIMB, BlockKind.EASY, (), 1, 60.0)
    steps = (a_try("one"), climb, a_try("two"))
    assert kept_apart(steps, {1: 200.0}) == steps


def test_declining_a_re_warm_with_no_try_left_asks_nothing_more() -> None:
    day = replace(planning.open_day(PAIR[:1], 90.0, LIBRARY), go=(1,))
    steps = planning.make_plan(day, 0.0, LIBRARY).steps
    left = tuple(step for step in steps if step.block is BlockKind.COOL_DOWN)
    change = planning.adapt(day, left, 0.0, 1, parse("no"), "re-warm", LIBRARY)
    assert not any(step.kind is StepKind.ASK for step in change.steps)


def test_a_sore_muscle_is_asked_about_again_after_a_rest_and_before_the_others_tries() -> None:
    day = planning.open_day(PAIR, 120.0, LIBRARY)
    change = planning.make_plan(day, 0.0, LIBRARY)
    for question in ("gate-body", "gate-shoulders", "gate-fingers"):
        for who in (1, 2):
            change = planning.adapt(
                change.day, change.steps, 0.0, who, parse("feel:fine"), question, LIBRARY
            )
    asks = [i for i, s in enumerate(change.steps) if s.question == "go-ahead"]
    steps = change.steps[asks[0] :]
    edge = next(s for s in change.steps if any(f.load.get(Part.FINGERS, 0) > 1 for f in s.forms))
    hang = replace(edge, intended=edge.forms)
    short = (*steps, *(replace(hang, name=f"late.{n}") for n in range(3)))
    told = planning.adapt(change.day, short, 3600.0, 1, parse("feel:fingers:sore"), "", LIBRARY)
    told = planning.adapt(
        told.day, told.steps, 3600.0, 1, parse("tissue:muscle"), "tissue", LIBRARY
    )
    again = next(i for i, s in enumerate(told.steps) if s.question.startswith("gate-fingers"))
    first = next(i for i, s in enumerate(told.steps) if s.kind is StepKind.TRY)
    assert again < first
    assert told.steps[again - 1].kind is StepKind.REST
