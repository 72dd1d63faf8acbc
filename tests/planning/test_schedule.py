"""How mat and board share their time, against HiGHS and against every order."""

from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise, product
from random import Random

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from coach.files.library import load_library
from coach.model.body import Part
from coach.model.plan import Form, Step, StepKind
from coach.model.routine import BlockKind
from coach.planning import make_plan, open_day, timeline
from coach.planning.schedule import merged
from coach.planning.why import once_open
from tests import oracle
from tests.planning.walker import ADULT

Group = tuple[Step, ...]
INSTANCES = 500
PARTS = (Part.FINGERS, Part.SHOULDERS, Part.HIPS, Part.ANKLES)


def drawn(dice: Random, name: str, block: BlockKind, most: int) -> list[Group]:
    """Some sets of one or two sides, each with parts, a length and a rest of its own."""
    sets = []
    for number in range(dice.randint(1, most)):
        load = {part: 1 for part in PARTS if dice.random() < 0.4}
        form = (Form(1, "m", load),)
        length, rest = float(dice.randint(5, 60)), float(dice.choice((0, 0, 30, 45, 60, 90)))
        sides = dice.choice((1, 1, 2))
        sets.append(
            tuple(
                Step(f"{name}.{number}.{side}", StepKind.STAY, block, form, 1, length, rest, 4.0)
                for side in range(sides)
            )
        )
    return sets


def routine(dice: Random, most: int) -> tuple[list[Group], list[Group], Group]:
    """A mat, a board, and what comes after them and loads everything."""
    after = Step(
        "easy.1", StepKind.CLIMB, BlockKind.EASY, (Form(1, "m", dict.fromkeys(PARTS, 1)),), 1, 60.0
    )
    return (
        drawn(dice, "mat", BlockKind.MAT, most),
        drawn(dice, "board", BlockKind.BOARD, most),
        (after,),
    )


class Programme:
    """Start times of steps, and rows that keep two of them apart, whichever is first."""

    def __init__(self, steps: Sequence[Step], choices: int) -> None:
        self.steps, self.place = steps, {step.name: n for n, step in enumerate(steps)}
        self.last, self.count = len(steps), len(steps) + 1 + choices
        self.big = sum(step.lead + step.seconds + step.rest for step in steps) + 100.0
        self.rows: list[np.ndarray] = []
        self.least: list[float] = []

    def apart(self, x: int, y: int, seconds: float, choice: int | None = None) -> None:
        """Step y begins so many seconds after x, where the choice is 1 (-n: where n is 0)."""
        row = np.zeros(self.count)
        row[y], row[x] = 1.0, -1.0
        if choice is not None:
            row[abs(choice)] = -self.big if choice > 0 else self.big
            seconds -= self.big if choice > 0 else 0.0
        self.rows.append(row)
        self.least.append(seconds)

    def follows(self, a: Group, b: Group, choice: int | None = None) -> None:
        """One group comes after another, rested for it."""
        for x in a:
            for y in b:
                apart = x.seconds + (x.rest if shares(x, y) else 0.0)
                lead = x.seconds + y.lead if (x, y) == (a[-1], b[0]) else 0.0
                self.apart(self.place[x.name], self.place[y.name], max(apart, lead), choice)

    def solved(self) -> float:
        """The least start of what comes last."""
        lower, upper = np.zeros(self.count), np.full(self.count, self.big)
        lower[: self.last] = [step.lead for step in self.steps]
        upper[self.last + 1 :] = 1.0
        goal, whole = np.zeros(self.count), np.zeros(self.count)
        goal[self.last], whole[self.last + 1 :] = 1.0, 1.0
        solved = milp(
            goal,
            integrality=whole,
            bounds=Bounds(lower, upper),
            constraints=LinearConstraint(np.array(self.rows), np.array(self.least), np.inf),
            options={"mip_rel_gap": 0.0},
        )
        assert solved.success
        return float(solved.fun)


def by_milp(one: Sequence[Group], other: Sequence[Group], then: Group) -> float:
    """The soonest that `then` can begin: start times, and for each pair of sets which is first."""
    model = Programme([s for g in (*one, *other) for s in g], len(one) * len(other))
    for group in (*one, *other):
        for x, y in pairwise(group):
            model.follows((x,), (y,))
    for strand in (one, other):
        for a, b in combinations(strand, 2):
            model.follows(a, b)
    for n, (a, b) in enumerate(product(one, other), model.last + 1):
        model.follows(a, b, n)
        model.follows(b, a, -n)
    for n, step in enumerate(model.steps):
        rest = step.rest if shares(step, then[0]) else 0.0
        model.apart(n, model.last, step.seconds + max(rest, then[0].lead))
    return model.solved()


def shares(one: Step, other: Step) -> bool:
    return not set(one.forms[0].load).isdisjoint(other.forms[0].load)


def placed(one: Sequence[Group], other: Sequence[Group], order: Sequence[bool]) -> list[Step]:
    ahead, board = iter(one), iter(other)
    return [step for of_mat in order for step in next(ahead if of_mat else board)]


def soonest(steps: Sequence[Step], then: Group) -> float:
    return oracle.seconds_of([*steps, *then]) - then[0].seconds


def every_order(one: Sequence[Group], other: Sequence[Group]) -> Iterator[list[bool]]:
    count = len(one) + len(other)
    for places in combinations(range(count), len(one)):
        yield [n in places for n in range(count)]


@pytest.mark.no_cover
def test_no_other_order_leads_sooner_to_what_follows() -> None:
    """Gap 0 against HiGHS on random routines."""
    dice = Random("schedules")
    better = 0
    for _ in range(INSTANCES):
        one, other, then = routine(dice, 4)
        found = soonest(placed(one, other, merged(one, other, then)), then)
        assert found == pytest.approx(by_milp(one, other, then), abs=0.01)
        better += found < soonest([s for g in (*one, *other) for s in g], then) - 1.0
    assert better > INSTANCES / 4


def test_of_all_orders_none_is_better() -> None:
    dice = Random("orders")
    for _ in range(60):
        one, other, then = routine(dice, 5)
        found = soonest(placed(one, other, merged(one, other, then)), then)
        assert found == pytest.approx(
            min(soonest(placed(one, other, order), then) for order in every_order(one, other))
        )


def test_pairing_saves_what_a_worked_example_says_and_shortens_no_rest() -> None:
    """Three goes of 40 s of each of two parts, with the 180 s between like parts of a circuit.

    The 180 s are published (JSCR 2006;20(4):978-984); 520 s paired is our arithmetic, and checks
    code only. One list behind the other takes twice 480 s.
    """

    def goes(name: str, part: Part) -> list[Group]:
        form = (Form(1, name, {part: 1}),)
        return [
            (Step(f"{name}.{n}", StepKind.STAY, BlockKind.MAT, form, 1, 40.0, 180.0),)
            for n in range(3)
        ]

    one, other = goes("a", Part.HIPS), goes("b", Part.FINGERS)
    serial = [step for group in (*one, *other) for step in group]
    paired = placed(one, other, merged(one, other, ()))
    assert oracle.seconds_of(serial) == 480.0 + 480.0
    assert oracle.seconds_of(paired) == 520.0
    assert timeline.seconds_of(paired) == 520.0


@pytest.mark.parametrize("minutes", [10, 20, 30, 45, 60, 75, 90, 120])
def test_the_clock_of_a_plan_is_that_of_the_oracle(minutes: int) -> None:
    library = load_library("full", "tarnwick")
    plan = make_plan(open_day(ADULT, minutes, library), 0.0, library)
    steps = once_open(plan.day, plan.steps, library)
    assert timeline.seconds_of(steps) == pytest.approx(oracle.seconds_of(steps))
    begun = timeline.begins(steps)
    ran = [(at, at + step.seconds, step) for at, step in zip(begun, steps, strict=True)]
    assert oracle.unrested(ran) == []


def test_hands_and_shoulders_are_prepared_before_they_hang() -> None:
    library = load_library("full", "tarnwick")
    steps = make_plan(open_day(ADULT, 90, library), 0.0, library).steps
    first = next(n for n, step in enumerate(steps) if step.hangs)
    waiting = [s for s in steps[first:] if s.block is BlockKind.MAT]
    assert waiting
    for step in waiting:
        movement = library.movements[step.forms[0].movement]
        assert movement.family.value == "mat"
        assert set(movement.load).isdisjoint({Part.FINGERS, Part.SHOULDERS, Part.ELBOWS, Part.SKIN})
    assert "mat.gate-body" in [step.name for step in steps[:first]]
