"""The focus of easy boulders loads nobody more than plain boulders do."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.model.answers import parse
from coach.model.body import Cap, CapReason, Part
from coach.model.movement import Family
from coach.model.plan import StepKind
from coach.planning import adapt, focus
from tests import oracle
from tests.planning.days import Move, library, moves
from tests.planning.test_raises import Begun, begins, first, walk
from tests.planning.walker import ADULT, Walker

FOCUSES = sorted(n for n, m in library().movements.items() if m.family is Family.FOCUS)
EASY = ("easy-boulders", "easy-traverse")


@pytest.mark.no_cover
@settings(max_examples=150, deadline=None)
@given(begins, st.lists(moves, max_size=12), st.sampled_from(FOCUSES))
def test_a_focus_raises_nothing_and_stays_under_every_cap(
    begun: Begun, told: list[Move], name: str
) -> None:
    for change in (first(begun), *(one.change for one in walk(begun, told))):
        day, before = change.day, change.steps
        after = tuple(focus.focused(step, day, library(), name) for step in before)

        assert oracle.raises((day, before), (day, after)) == []
        assert oracle.above_caps(day, after) == oracle.above_caps(day, before)
        assert [(s.name, s.seconds, s.rest, s.amount) for s in after] == [
            (s.name, s.seconds, s.rest, s.amount) for s in before
        ]


def test_the_focuses_reach_easy_boulders_and_no_others() -> None:
    walker = Walker()
    taken = [focus.focused(step, walker.change.day, library(), FOCUSES[0]) for step in walker.steps]

    changed = {
        old.intended[0].movement for old, new in zip(walker.steps, taken, strict=True) if old != new
    }
    assert changed == {"easy-boulders"}
    assert all(
        form.movement == FOCUSES[0]
        for step in taken
        if step.block == "easy" and step.kind is StepKind.CLIMB
        for form in step.forms
    )


def test_who_climbs_an_easier_form_keeps_it() -> None:
    walker = Walker()
    batch = next(step for step in walker.steps if step.forms and step.forms[0].movement in EASY)
    steps = walker.steps[walker.steps.index(batch) :]
    eased = adapt(walker.change.day, steps, 2000.0, 1, parse("easier"), "", library()).steps[0]
    capped = replace(walker.change.day, caps=(Cap(1, Part.HIPS, 0, CapReason.SORE, "sore"),))

    assert eased.forms[0].movement == "easy-traverse"
    assert focus.choosers(eased, library()) == ()
    assert focus.focused(eased, walker.change.day, library(), FOCUSES[0]) == eased
    assert focus.focused(batch, capped, library(), FOCUSES[0]) == batch


def test_a_focus_gives_way_like_the_boulders_it_stands_for() -> None:
    walker = Walker(ADULT)
    batch = next(step for step in walker.steps if step.forms and step.forms[0].movement in EASY)
    running = focus.focused(batch, walker.change.day, library(), FOCUSES[0])
    steps = (running, *walker.steps[walker.steps.index(batch) + 1 :])

    change = adapt(walker.change.day, steps, 2000.0, 1, parse("easier"), "", library())
    assert change.steps[0].name == batch.name
    assert change.steps[0].forms[0].movement == "easy-traverse"

    hurting = parse("feel:hips:hurting")
    change = adapt(walker.change.day, steps, 2000.0, 1, hurting, "", library())
    left = {form.movement for step in change.steps for form in step.forms if form.movement}
    assert left
    assert all(library().movements[name].family is not Family.FOCUS for name in left)
    assert not left & {"easy-boulders", "easy-traverse", "middle-boulders"}
