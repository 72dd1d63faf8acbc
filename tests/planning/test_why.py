"""Why a plan holds what it holds: each block's length, each swap, in words."""

from dataclasses import replace

import pytest

from coach.model.body import Cap, CapReason, Part
from coach.model.messages import Message
from coach.model.movement import Feet, Hold
from coach.model.person import AgeBand, Person
from coach.planning.why import lengths, once_open, swaps
from tests.planning.days import library
from tests.planning.walker import ADULT, Walker
from tests.session.stage import LANGUAGE


def told(walk: Walker) -> list[str]:
    return [LANGUAGE.text(one) for one in swaps(walk.change.day, walk.library)]


def of(found: list[Message], block: str) -> Message:
    return next(one for one in found if one.value("block") == block)


def test_each_block_tells_its_minutes_and_what_of_them_always_stays() -> None:
    walk = Walker(minutes=60)
    found = list(lengths(walk.steps, walk.library))
    kinds = [block.kind.value for block in walk.library.routine.blocks]
    assert [one.value("block") for one in found] == list(dict.fromkeys(kinds))
    assert 50 <= sum(int(one.value("minutes") or 0) for one in found) <= 60
    easy = of(found, "easy")
    assert 0 < int(easy.value("kept") or 0) <= int(easy.value("minutes") or 0)
    assert of(found, "hard").value("kept") == 0


def test_a_block_that_stays_whole_is_told_without_counting_twice() -> None:
    walk = Walker(minutes=50)
    middle = of(list(lengths(walk.steps, walk.library)), "middle")
    assert LANGUAGE.text(middle) == "middle: 7 minutes, kept in any case."


def test_a_block_that_holds_nothing_says_so() -> None:
    walk = Walker(told=((1, "break:holiday"),))
    hard = of(list(lengths(walk.steps, walk.library)), "hard")
    assert LANGUAGE.text(hard) == "hard: nothing today."


def test_a_day_without_a_cap_swaps_nothing() -> None:
    assert told(Walker(ADULT)) == []


@pytest.mark.parametrize("age", [AgeBand.UNDER_18, AgeBand.UNKNOWN])
def test_at_sixteen_the_plan_shows_what_will_really_be_hung_from(age: AgeBand) -> None:
    walk = Walker((Person(1, age=age),))
    steps = once_open(walk.change.day, walk.steps, walk.library)
    hangs = [
        walk.library.movements[form.movement].hang
        for step in steps
        for form in step.forms
        if step.hangs and form.movement
    ]
    assert {(hang.hold, hang.feet) for hang in hangs if hang} == {(Hold.LARGEST, Feet.ON)}
    assert "Easy hang, feet on instead of Edge check: the cautions for that age." in told(walk)


def test_what_waits_for_a_gate_is_no_swap_and_is_shown_as_it_will_be() -> None:
    walk = Walker()
    opened = {s.name: s for s in once_open(walk.change.day, walk.steps, walk.library)}
    uneven = [s for s in walk.steps if s.forms != s.intended and s.intended]
    assert uneven
    assert all(opened[step.name].forms == step.intended for step in uneven)


@pytest.mark.parametrize(
    ("walk", "because"),
    [
        (Walker((Person(1, age=AgeBand.UNDER_16),)), "the cautions for that age"),
        (
            Walker(standing=(Cap(1, Part.FINGERS, 0, CapReason.SIGN, "warning-sign"),)),
            "a clinician has to clear it first",
        ),
        (Walker(hurting="feel:fingers:hurting:4"), "what was told of today"),
    ],
)
def test_what_is_left_out_says_because_of_what(walk: Walker, because: str) -> None:
    assert f"No Hard try today: {because}." in told(walk)


def test_gear_that_is_not_there_is_named_as_the_reason() -> None:
    lib = library()
    walk = Walker(library=replace(lib, place=replace(lib.place, boards=(), equipment=frozenset())))
    assert "No Edge check today: the gear for it is not here." in told(walk)


def test_of_two_each_is_called() -> None:
    walk = Walker((*ADULT, Person(2, age=AgeBand.UNDER_16)))
    assert all(one.startswith("Person 2: ") for one in told(walk))


def test_of_two_each_is_told_her_own_reason() -> None:
    fingers = Part.FINGERS
    caps = (
        Cap(1, fingers, 0, CapReason.SIGN, "warning-sign"),
        Cap(2, fingers, 0, CapReason.SORE, "pain"),
    )
    found = told(Walker((*ADULT, Person(2, age=AgeBand.ADULT)), standing=caps))
    assert "Person 1: No Hard try today: a clinician has to clear it first." in found
    assert "Person 2: No Hard try today: what was told of today." in found


def test_a_movement_that_no_file_has_is_passed_over() -> None:
    walk = Walker()
    lib = replace(walk.library, movements={})
    assert list(swaps(walk.change.day, lib)) == []
