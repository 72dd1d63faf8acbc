"""How a day begins: ages, breaks, places and what was told shape the first plan."""

from collections import Counter
from dataclasses import replace

import pytest

from coach.errors import UsageError
from coach.model.body import Cap, CapReason, Part
from coach.model.day import Library
from coach.model.movement import Family
from coach.model.person import AgeBand, Person
from coach.model.plan import StepKind
from coach.model.routine import BlockKind, Item
from coach.planning import open_day
from coach.planning.contents import STATIC
from coach.planning.day_library import CROWDED
from coach.planning.routine_layout import batches
from tests import poses
from tests.planning.days import library
from tests.planning.walker import ADULT, PAIR, Walker


def test_who_is_named_only_among_several() -> None:
    alone = Walker((Person(1, age=AgeBand.UNDER_16),))
    assert {i.rule: i for i in alone.change.fired}["under-16"].because.value("who") == 0


def test_a_usual_day_fires_the_budget_alone_and_says_the_plan() -> None:
    walk = Walker()
    assert walk.fired == ["budget"]
    assert walk.say == "plan-in-one-sentence"
    assert walk.value("tries") == walk.tries()
    # her minutes, as long as the plan fills them but for a round of tries
    assert walk.value("minutes") == 90
    assert 86 * 60 <= walk.seconds <= 90 * 60
    assert walk.value("easy") == 10
    assert 5 <= int(str(walk.value("middle"))) <= 10


@pytest.mark.parametrize(
    ("age", "rule"),
    [
        (AgeBand.UNDER_16, "under-16"),
        (AgeBand.UNDER_18, "under-18"),
        (AgeBand.UNKNOWN, "age-untold"),
    ],
)
def test_the_age_is_named_for_whom_it_counts(age: AgeBand, rule: str) -> None:
    walk = Walker((Person(1, age=AgeBand.ADULT), Person(2, age=age)))
    fired = {item.rule: item for item in walk.change.fired}
    assert fired[rule].because.value("who") == 2
    assert {"under-16", "under-18", "age-untold"} & set(fired) == {rule}


@pytest.mark.parametrize("reason", ["break", "illness", "birth"])
def test_after_illness_birth_or_a_break_of_untold_reason_the_day_is_gentle(reason: str) -> None:
    tag = "break" if reason == "break" else f"break:{reason}"
    walk = Walker(PAIR, told=((2, tag),))
    assert f"back-after-{reason}" in walk.fired
    assert {walk.most(part, who=2) for part in Part} == {1}
    assert {walk.most(part, who=1) for part in Part} == {3}
    caps = [cap for cap in walk.change.day.caps if cap.rule == "back-after-break"]
    assert {cap.reason for cap in caps} == {CapReason.SORE}
    assert (walk.tries(2), walk.tries(1) > 0) == (0, True)
    hers = {form.movement for step in walk.steps for form in step.forms if form.who == 2}
    heavy = {"on the wall", "falling or landing", "hanging from the hands", "hopping"}
    assert [name for name in hers - {""} if heavy & set(poses.SEEN[name])] == []


def test_a_sign_that_nobody_cleared_costs_tries_that_spare_its_part_as_well() -> None:
    lib = library()
    spared = {part: load for part, load in lib.movements["hard-try"].load.items() if part != "hips"}
    light = replace(lib.movements["hard-try"], load=spared)
    lib = replace(lib, movements={**lib.movements, "hard-try": light})
    standing = (Cap(1, Part.HIPS, 0, CapReason.SIGN, "warning-sign"),)
    assert Walker(library=lib, standing=standing).tries() == 0
    assert Walker(library=lib).tries() > 0


def test_after_a_holiday_there_are_no_hard_tries() -> None:
    walk = Walker(told=((1, "break:holiday"),))
    assert "back-after-holiday" in walk.fired
    assert (walk.tries(), walk.most(Part.FINGERS)) == (0, 3)


@pytest.mark.parametrize(
    ("tag", "rule"),
    [
        ("hard-yesterday", "hard-yesterday"),
        ("short-of-sleep", "short-of-sleep"),
        ("tired", "short-of-sleep"),
    ],
)
def test_a_weary_day_has_half_the_hard_tries(tag: str, rule: str) -> None:
    usual = Walker(PAIR)
    walk = Walker(PAIR, told=((2, tag),))
    fired = {item.rule: item for item in walk.change.fired}
    assert walk.tries(2) == walk.tries(1) // 2
    assert usual.tries(1) - 1 <= walk.tries(1) <= usual.tries(1)
    assert fired[rule].because.value("tries") == walk.tries(2)


@pytest.mark.parametrize("tag", ["hard-yesterday", "short-of-sleep", "tired"])
@pytest.mark.parametrize("minutes", [60, 90, 120])
def test_a_weary_day_has_no_more_of_anything(tag: str, minutes: int) -> None:
    """Hangs and middle boulders are the least of the routine, and nothing takes their place."""
    usual, walk = Walker(minutes=minutes), Walker(minutes=minutes, told=((1, tag),))

    def loaded(one: Walker) -> Counter[str]:
        return Counter(step.block.value for step in one.steps if step.hangs or step.kind == "climb")

    least = [step for step in walk.steps if step.hangs or step.block is BlockKind.MIDDLE]
    assert all(step.floor or step.core or step.question for step in least)
    assert sum(step.hangs for step in least) < sum(step.hangs for step in usual.steps)
    assert all(loaded(walk)[block] <= count for block, count in loaded(usual).items())
    assert walk.seconds < usual.seconds - 10 * 60


def test_two_reasons_halve_twice() -> None:
    walk = Walker(told=((1, "hard-yesterday"), (1, "short-of-sleep")))
    assert walk.tries() == Walker().tries() // 2 // 2


@pytest.mark.parametrize("most", [0, 1, 2, 9])
def test_no_more_hard_tries_than_were_wanted(most: int) -> None:
    usual, walk = Walker(PAIR), Walker(PAIR, told=((2, f"tries:{most}"),))
    assert walk.tries(2) == min(most, usual.tries(2))
    assert walk.tries(1) == usual.tries(1)
    walk.tell("longer", who=2)
    assert walk.tries(2) <= most


def stretched(seconds: int, sets: int = 1, kind: BlockKind = BlockKind.MAT) -> Library:
    lib = library()
    still = next(m for m in lib.movements.values() if m.static_stretch)
    long = replace(still, name="long", amount=seconds, seconds_each=1.0, sides=1)
    blocks = tuple(
        replace(b, items=(*b.items, Item("long", None, sets, sets)), most=2000)
        if b.kind is kind
        else b
        for b in lib.routine.blocks
    )
    return replace(
        lib,
        movements={**lib.movements, "long": long},
        routine=replace(lib.routine, blocks=blocks),
    )


@pytest.mark.parametrize(
    ("seconds", "sets", "kept", "fires"),
    [(59, 1, 1, False), (60, 1, 0, True), (30, 1, 1, False), (30, 2, 1, True), (20, 3, 2, True)],
)
def test_a_minute_of_still_stretching_does_not_come_before_hard_tries(
    seconds: int, sets: int, kept: int, fires: bool
) -> None:
    """Behm et al. 2016, Appl Physiol Nutr Metab 41(1):1-11: 60 s and more -4.6 %, below -1.1 %."""
    assert STATIC == 60.0
    walk = Walker(library=stretched(seconds, sets), minutes=120)
    mat = [s for s in walk.steps if s.block == "mat" and s.forms[0].movement == "long"]
    assert len(mat) == kept
    assert ("static-before-hard" in walk.fired) is fires


def test_a_long_stretch_after_the_hard_tries_is_no_matter() -> None:
    walk = Walker(library=stretched(120, 1, BlockKind.COOL_DOWN), minutes=120)
    assert "long" in walk.forms("cool-down")
    assert "static-before-hard" not in walk.fired


def bare() -> Library:
    return replace(library(), place=replace(library().place, boards=()))


def test_a_place_without_a_board_is_named() -> None:
    walk = Walker(library=bare())
    assert "no-board" in walk.fired
    assert not any(step.hangs for step in walk.steps)
    assert "no-board" not in Walker().fired
    assert walk.to("mat.5").tell("skip").fired == ["skip-floor"]
    assert "no-board" not in Walker(library=replace(bare(), routine=library("rests").routine)).fired


def test_alone_there_are_no_far_catches() -> None:
    lib = library()
    catch = next(m.name for m in lib.movements.values() if m.family is Family.CATCH)
    blocks = tuple(
        replace(b, items=(*b.items, Item(catch, None, 1, 1))) if b.kind is BlockKind.MIDDLE else b
        for b in lib.routine.blocks
    )
    lib = replace(lib, routine=replace(lib.routine, blocks=blocks))
    together = Walker(library=lib, minutes=120)
    alone = Walker(library=lib, minutes=120, told=((1, "no-partner"),))
    assert catch in together.forms("middle")
    assert catch not in alone.forms("middle")
    assert ("no-partner" in alone.fired, "no-partner" in together.fired) == (True, False)


def test_a_crowded_place_takes_longer_for_each_boulder() -> None:
    usual, crowded = Walker(minutes=45), Walker(minutes=45, told=((1, "crowded"),))
    one = next(step for step in usual.steps if step.name == "easy.1")
    other = next(step for step in crowded.steps if step.name == "easy.1")
    assert other.seconds == pytest.approx(one.seconds * CROWDED, abs=5)
    assert CROWDED == 1.4
    assert "crowded" in crowded.fired
    assert crowded.tries() < usual.tries()
    again = crowded.to("middle.1").tell("easier")
    assert again.steps[0].seconds == 5 * round(40 * CROWDED)


@pytest.mark.parametrize(
    ("minutes", "told", "fires"),
    [(90, (), False), (89, (), True), (120, (), False), (90, ((1, "late"),), True)],
)
def test_a_day_shorter_than_usual_says_what_it_is(
    minutes: int, told: tuple[tuple[int, str], ...], fires: bool
) -> None:
    walk = Walker(minutes=minutes, told=told)
    assert ("short-day" in walk.fired) is fires
    for item in walk.change.fired:
        if item.rule == "short-day":
            assert item.because.value("minutes") == round(walk.seconds / 60)
            assert item.because.value("tries") == walk.tries()


def test_where_hard_tries_do_not_fit_it_is_said() -> None:
    short = Walker(minutes=39, told=((1, "crowded"),))
    assert (short.tries(), "no-room-for-hard" in short.fired) == (0, True)
    assert "no-room-for-hard" not in Walker().fired
    assert "no-room-for-hard" not in Walker(hurting="feel:fingers:sore").fired
    assert "no-room-for-hard" not in Walker((Person(1, age=AgeBand.UNDER_16),)).fired
    assert "no-room-for-hard" not in Walker(library=library("easy-day"), minutes=55).fired


def test_an_unknown_tag_names_the_nearest() -> None:
    with pytest.raises(UsageError, match="crowdet") as error:
        open_day(ADULT, 90, library(), told=((1, "crowdet"),))
    assert "'crowded'" in error.value.do


def test_a_tag_told_twice_is_kept_once() -> None:
    told = ((1, "tired"), (1, "tired"), (2, "tired"))
    assert open_day(PAIR, 90, library(), told=told).told == ((1, "tired"), (2, "tired"))


@pytest.mark.parametrize(
    ("kind", "boulders", "sizes"),
    [
        (BlockKind.EASY, 15, [5, 5, 3, 2]),
        (BlockKind.EASY, 14, [5, 5, 2, 2]),
        (BlockKind.EASY, 11, [5, 5, 1]),
        (BlockKind.EASY, 7, [5, 2]),
        (BlockKind.MIDDLE, 10, [5, 3, 2]),
        (BlockKind.MIDDLE, 5, [5]),
        (BlockKind.STRENGTH, 6, [5, 1]),
        (BlockKind.EASY, 0, []),
    ],
)
def test_boulders_come_in_batches_that_are_easy_to_count(
    kind: BlockKind, boulders: int, sizes: list[int]
) -> None:
    assert batches(kind, boulders) == sizes
    assert sum(sizes) == boulders


def test_every_opening_sentence_counts_for_its_person() -> None:
    walk = Walker(PAIR, told=((1, "tired"), (2, "hard-yesterday")))
    assert walk.fired.count("budget") >= 1
    assert {"short-of-sleep", "hard-yesterday"} <= set(walk.fired)


def test_a_first_day_after_an_illness_is_shorter_and_not_filled_up() -> None:
    usual, back = Walker(), Walker(told=((1, "break:illness"),))
    climbed = [
        sum(step.amount for step in walk.steps if step.kind is StepKind.CLIMB)
        for walk in (usual, back)
    ]
    assert climbed[1] <= climbed[0]
    assert back.seconds < usual.seconds - 15 * 60
