"""A rule fires at its own moment and at no other."""

from dataclasses import replace

import pytest

from coach.model.answers import parse
from coach.model.body import Cap, CapReason, Part
from coach.model.day import Library
from coach.model.movement import Unit
from coach.model.person import AgeBand, Person
from coach.model.plan import StepKind
from coach.model.routine import BlockKind, Item
from coach.planning import adapt, make_plan, open_day
from coach.planning.rules import opening, returning
from tests.planning.simulated import libraries
from tests.planning.test_sore import sore_at_the_board
from tests.planning.walker import ADULT, PAIR, Walker

AT_THE_START = {rule.name for rule in (*opening.RULES, *returning.RULES)}
TOLD = (
    "hard-yesterday",
    "short-of-sleep",
    "no-partner",
    "crowded",
    "late",
    "break:holiday",
    "break:illness",
)


@pytest.mark.parametrize("age", list(AgeBand))
@pytest.mark.parametrize("tag", TOLD)
def test_what_is_told_of_the_day_counts_once_when_it_begins(age: AgeBand, tag: str) -> None:
    sign = (Cap(1, Part.KNEES, 0, CapReason.SIGN, "warning-sign"),)
    people = (Person(1, age=age),)
    walker = Walker(people, told=((1, tag),), standing=sign, library=libraries()[-1])
    assert set(walker.fired) & AT_THE_START

    for key in ("feel:back:stiff", "easier", "skip", "longer"):
        walker.tell(key)
        assert not set(walker.fired) & AT_THE_START


def blocks_with(library: Library, kind: BlockKind, items: tuple[Item, ...]) -> Library:
    """The library whose blocks of a kind hold other items."""
    blocks = tuple(
        replace(block, items=items, floor=0.0) if block.kind is kind else block
        for block in library.routine.blocks
    )
    return replace(library, routine=replace(library.routine, blocks=blocks))


def test_a_routine_without_a_board_misses_none() -> None:
    library = libraries()[3]
    assert "no-board" in Walker(library=library).fired

    kept = tuple(b for b in library.routine.blocks if b.kind is not BlockKind.BOARD)
    without = replace(library, routine=replace(library.routine, blocks=kept))
    assert "no-board" not in Walker(library=without).fired


@pytest.mark.parametrize("now", [0.0, 600.0])
def test_a_day_is_short_by_more_than_half_a_minute(now: float) -> None:
    library = libraries()[0]
    usual = library.routine.minutes * 60.0

    def fired(seconds: float) -> set[str]:
        day = replace(open_day(ADULT, 90, library), ends_at=now + seconds)
        return {item.rule for item in make_plan(day, now, library).fired}

    assert "short-day" not in fired(usual - 30.0)
    assert "short-day" in fired(usual - 30.5)


def test_an_uncleared_sign_leaves_no_try_that_does_not_load_it() -> None:
    library = libraries()[0]
    hard = library.movements["hard-try"]
    load = {part: most for part, most in hard.load.items() if part.value != "ankles"}
    movements = {**library.movements, hard.name: replace(hard, load=load)}
    light = replace(library, movements=movements)
    sign = (Cap(1, Part.ANKLES, 0, CapReason.SIGN, "warning-sign"),)

    assert Walker(library=light).tries() > 0
    assert Walker(library=light, standing=sign).tries() == 0


def rewarmed(library: Library) -> list[str]:
    """Movements and names of what comes first after a yes to warming up again."""
    day = open_day(ADULT, 90, libraries()[0])
    change = adapt(day, (), 0.0, 1, parse("rewarm"), "re-warm", library)
    return [f"{s.name} {s.forms[0].movement} {s.amount}" for s in change.steps]


def test_warm_again_on_the_first_easy_boulders_of_the_routine() -> None:
    library = libraries()[0]
    other = next(n for n, m in library.movements.items() if m.unit is not Unit.BOULDERS)
    items = (Item("gone"), Item(other), Item("easy-boulders"))

    (first,) = rewarmed(blocks_with(library, BlockKind.EASY, items))
    assert first.startswith("easy.re-warm-1 easy-boulders")


def test_without_easy_boulders_the_pulse_is_raised_and_without_that_nothing_is() -> None:
    library = blocks_with(libraries()[0], BlockKind.EASY, ())
    pulse = next(m for m in library.movements.values() if m.family.value == "pulse")
    (first,) = rewarmed(library)
    assert first == f"pulse.re-warm-1 {pulse.name} {pulse.amount}"

    still = {n: m for n, m in library.movements.items() if m.family.value != "pulse"}
    assert rewarmed(replace(library, movements=still)) == []


def test_who_has_no_try_left_is_not_asked_for_one_after_staying_cool() -> None:
    walker = Walker().to("hard")
    walker.to(next(s.name for s in walker.steps if s.kind is StepKind.TRY))
    while walker.tries():
        walker.past()
    assert 1 in walker.change.day.go

    walker.tell("no", "re-warm")
    assert 1 not in walker.change.day.go
    assert not any(step.question == "go-ahead" for step in walker.steps)


@pytest.mark.parametrize(("early", "say"), [(0.0, "gate-open"), (1.0, "contradiction")])
def test_a_check_again_counts_from_the_second_it_is_due(early: float, say: str) -> None:
    walker = sore_at_the_board().tell("tissue:muscle", "tissue")
    (due,) = (key for _, key in walker.change.day.pending if key.startswith("recheck:"))
    walker.now = float(due.rpartition(":")[2]) - early
    walker.tell("feel:fine", "gate-fingers-now")

    assert walker.say == say
    assert walker.most(Part.FINGERS) == (3 if say == "gate-open" else 1)


def test_nobody_is_rested_by_the_rest_of_another() -> None:
    walker = Walker(PAIR).to("easy")
    for who in (1, 2):
        walker.tell("feel:fingers:sore", who=who).tell("tissue:muscle", "tissue", who=who)
    day = walker.change.day
    waiting = tuple((who, key) for who, key in day.pending if who == 1)
    walker.change = replace(walker.change, day=replace(day, pending=waiting))
    walker.now += 3600.0
    walker.tell("feel:fine", "gate-fingers-now", who=2)

    assert walker.say == "contradiction"
    assert walker.most(Part.FINGERS, 2) == 1


def test_nobody_is_held_back_by_the_cold_of_another() -> None:
    walker = Walker(PAIR).to("go-ahead")
    cold = Cap(1, Part.FINGERS, 2, CapReason.COLD, "cut-warm-up")
    day = walker.change.day
    walker.change = replace(walker.change, day=replace(day, caps=(*day.caps, cold)))
    walker.tell("go", "go-ahead", who=2).tell("go", "go-ahead", who=1)

    assert (walker.tries(1), walker.tries(2) > 0) == (0, True)
