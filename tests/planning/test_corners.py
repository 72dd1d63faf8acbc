"""Planning where something is missing: nobody, nothing to do, no gear, words that nobody knows."""

from dataclasses import replace

import pytest

from coach import planning
from coach.errors import UsageError
from coach.files.library import load_library
from coach.model.answers import Answer, parse
from coach.model.body import Cap, CapReason, Part
from coach.model.day import Day, Library
from coach.model.movement import Family
from coach.model.person import AgeBand, Person
from coach.model.plan import StepKind
from coach.model.routine import BlockKind
from coach.planning import day_tags, focus, gates

LIBRARY = load_library("full", None, ())
ADULT = Person(1, age=AgeBand.ADULT)


def day(library: Library = LIBRARY, minutes: float = 90.0, people: int = 1) -> Day:
    persons = tuple(replace(ADULT, who=n) for n in range(1, people + 1))
    return planning.open_day(persons, minutes, library)


def without(*kinds: BlockKind, families: tuple[Family, ...] = ()) -> Library:
    """The library with a routine that lacks some blocks, and without some families."""
    kept = tuple(block for block in LIBRARY.routine.blocks if block.kind not in kinds)
    movements = {n: m for n, m in LIBRARY.movements.items() if m.family not in families}
    return replace(LIBRARY, movements=movements, routine=replace(LIBRARY.routine, blocks=kept))


def test_nobody_and_endless_minutes_are_refused() -> None:
    with pytest.raises(UsageError, match="nobody"):
        planning.open_day((), 90.0, LIBRARY)
    with pytest.raises(UsageError, match="more than a session has"):
        planning.open_day((ADULT,), 400.0, LIBRARY)


def test_an_answer_of_somebody_unknown_changes_nothing() -> None:
    today = day()
    steps = planning.make_plan(today, 0.0, LIBRARY).steps
    change = planning.adapt(today, steps, 0.0, 7, parse("feel:fingers:sore"), "", LIBRARY)
    assert (change.day, change.steps, change.say) == (today, steps, None)


def test_what_made_up_for_nothing_gives_nothing_back() -> None:
    today = day()
    steps = planning.make_plan(today, 0.0, LIBRARY).steps
    made_up = replace(steps[0], name="mat.1-make-up", makes_up="mat.1")
    assert planning.made_up(today, steps, 0.0, made_up, LIBRARY).steps == steps


def test_no_question_but_a_gate_opens_a_gate() -> None:
    assert not gates.opened_by("effort", parse("go"))
    assert gates.opened_by("go-ahead", parse("go"))


def test_something_told_that_nobody_knows_is_named_with_its_nearest() -> None:
    with pytest.raises(UsageError, match="crowdid"):
        day_tags.check([(1, "crowdid")])
    assert day_tags.check([(1, "late"), (1, "late")]) == ((1, "late"),)


def test_hard_tries_need_boulders_before_them() -> None:
    for left in (
        replace(LIBRARY.routine.blocks[4], items=LIBRARY.routine.blocks[0].items),
        replace(
            LIBRARY.routine.blocks[4],
            items=(replace(LIBRARY.routine.blocks[4].items[0], amount=1, sets=1, least_sets=1),),
        ),
    ):
        assert LIBRARY.routine.blocks[4].kind is BlockKind.EASY
        blocks = (*LIBRARY.routine.blocks[:4], left, *LIBRARY.routine.blocks[5:])
        library = replace(LIBRARY, routine=replace(LIBRARY.routine, blocks=blocks))
        plan = planning.make_plan(day(library), 0.0, library)
        assert all(step.kind is not StepKind.TRY for step in plan.steps)
    plain = without(BlockKind.EASY)
    assert planning.make_plan(day(plain), 0.0, plain).steps


def test_a_routine_without_easy_boulders_re_warms_by_the_pulse_or_not_at_all() -> None:
    for library, found in (
        (without(BlockKind.EASY), True),
        (without(BlockKind.EASY, BlockKind.PULSE, families=(Family.PULSE,)), False),
    ):
        today = day(library)
        steps = planning.make_plan(today, 0.0, library).steps
        change = planning.adapt(today, steps, 0.0, 1, parse("rewarm"), "re-warm", library)
        assert any("re-warm" in step.name for step in change.steps) is found
    nowhere = replace(LIBRARY, place=replace(LIBRARY.place, equipment=frozenset(), boards=()))
    today = day(nowhere)
    change = planning.adapt(today, (), 0.0, 1, parse("rewarm"), "re-warm", nowhere)
    assert change.steps == ()


def test_sore_with_a_go_and_no_try_left_shuts_the_go_ahead() -> None:
    today = replace(day(), go=(1,))
    change = planning.adapt(today, (), 0.0, 1, parse("feel:sore"), "", LIBRARY)
    assert change.day.go == ()
    assert change.ask == "which-part"


def test_no_boulders_no_easy_volume() -> None:
    library = without(BlockKind.EASY)
    today = replace(day(library), go=(1,))
    steps = planning.make_plan(today, 0.0, library).steps
    change = planning.adapt(
        today, steps, 0.0, 1, Answer(parse("not-today").meaning), "go-ahead", library
    )
    assert all("easy.more" not in step.name for step in change.steps)


def test_a_floor_without_an_easier_form_that_is_left_out_costs_the_ceiling() -> None:
    today = day()
    steps = planning.make_plan(today, 0.0, LIBRARY).steps
    hard = next(step for step in steps if step.hangs)
    movements = {
        name: replace(movement, easier=None, also_easier=())
        for name, movement in LIBRARY.movements.items()
    }
    library = replace(LIBRARY, movements=movements)
    floor = replace(hard, floor=True)
    index = steps.index(hard)
    left = (floor, *steps[index + 1 :])
    change = planning.adapt(today, left, 0.0, 1, parse("easier"), "", library)
    assert change.steps[0].name != hard.name
    assert any(cap.reason is CapReason.COLD for cap in change.day.caps)


def test_a_question_that_is_about_nobody_is_dropped() -> None:
    today = day()
    steps = planning.make_plan(today, 0.0, LIBRARY).steps
    asked = next(step for step in steps if step.kind is StepKind.ASK)
    empty = replace(asked, name="mat.nobody", forms=())
    change = planning.adapt(
        today, (*steps[:1], empty, *steps[1:]), 0.0, 1, parse("feel:back:tired"), "", LIBRARY
    )
    assert all(step.name != "mat.nobody" for step in change.steps)


def test_a_routine_may_name_movements_that_are_gone_and_stretch_long() -> None:
    name = next(iter(LIBRARY.routine.blocks[1].items)).movement
    movements = {n: m for n, m in LIBRARY.movements.items() if n != name}
    library = replace(LIBRARY, movements=movements)
    assert planning.make_plan(day(library), 0.0, library).steps
    still = {
        n: replace(m, static_stretch=m.family is Family.MAT, amount=m.most)
        for n, m in LIBRARY.movements.items()
    }
    stretched = replace(LIBRARY, movements=still)
    assert planning.make_plan(day(stretched), 0.0, stretched).steps


def test_focuses_are_offered_by_aim_then_by_what_was_practised_least_lately() -> None:
    first = focus.offer(day(), LIBRARY, 1, ())
    assert len(first) == focus.OFFERED
    assert focus.offer(day(), LIBRARY, 1, (first[0],))[0] == first[1]
    last = focus.offer(day(), LIBRARY, 1, (), favoured=(first[2],))
    assert last[0] == first[2]
    capped = replace(day(), caps=tuple(Cap(1, part, 0, CapReason.SORE, "sore") for part in Part))
    assert focus.offer(capped, LIBRARY, 1, ()) == ()
