"""Back after injury, birth or illness: what is left, judged by poses alone."""

import pytest

from coach.model.body import Cap, CapReason, Part
from coach.model.plan import StepKind
from coach.planning.gates import GATES
from tests import poses
from tests.planning.days import library
from tests.planning.walker import PAIR, Walker

#: What waits after birth, as poses: no impact, no fall, no hard pull, no plank, not face down.
WAITS = {
    "hopping",
    "on the wall",
    "falling or landing",
    "hanging from the hands",
    "pulling with the arms",
    "weight on flat hands",
    "weight on forearms",
    "face down",
}
MORE = ("", "longer", "harder", "feel:back:stiff", "feel:hips:sore", "skip", "easier")


def moved(walk: Walker, who: int = 1) -> set[str]:
    return {f.movement for s in walk.steps for f in s.forms if f.who == who and f.movement}


@pytest.mark.parametrize("routine", ["full", "quick", "technique-day", "easy-day", "mat-and-board"])
@pytest.mark.parametrize("more", MORE)
def test_after_birth_nothing_is_left_that_waits(routine: str, more: str) -> None:
    walk = Walker(told=((1, "break:birth"),), library=library(routine))
    if more:
        walk.tell(more)
    names = moved(walk)
    assert names
    assert {name for name in names if WAITS & set(poses.SEEN[name])} == set()
    assert not any(step.kind in (StepKind.TRY, StepKind.CLIMB) for step in walk.steps)
    assert not any(step.question in GATES for step in walk.steps)


def test_only_the_one_after_birth_is_spared() -> None:
    walk = Walker(PAIR, told=((2, "break:birth"),))
    assert any("on the wall" in poses.SEEN[name] for name in moved(walk, 1))
    assert not any(WAITS & set(poses.SEEN[name]) for name in moved(walk, 2))


@pytest.mark.parametrize("part", sorted(set(Part) - {Part.HEAD, Part.CHEST}))
def test_after_an_injury_its_part_gets_nothing_and_nobody_climbs(part: Part) -> None:
    sign = (Cap(1, part, 0, CapReason.SIGN, "warning-sign"),)
    walk = Walker(told=((1, "break:injury"),), standing=sign)
    assert "back-after-injury" in walk.fired
    assert "injury-somewhere" not in walk.fired
    assert moved(walk)
    assert [name for name in moved(walk) if poses.uses(name, part)] == []
    assert not any(step.kind is StepKind.CLIMB for step in walk.steps)


def test_an_injury_that_nobody_placed_could_be_anywhere() -> None:
    walk = Walker(told=((1, "break:injury"),))
    assert "injury-somewhere" in walk.fired
    assert walk.say == "plan-sparing-all"
    assert all(poses.SEEN[name] == ("lying still",) for name in moved(walk))


def test_after_an_illness_the_two_easy_weeks_are_named() -> None:
    walk = Walker(told=((1, "break:illness"),))
    assert "back-after-illness" in walk.fired
    assert walk.tries() == 0
