"""Easier and harder: which neighbour is taken, how far, and when it is refused."""

from dataclasses import replace

import pytest

from coach.model.body import Part
from coach.model.day import Library
from coach.model.person import AgeBand, Person
from coach.model.plan import StepKind
from tests.planning.days import library
from tests.planning.walker import PAIR, Walker


def with_movement(name: str, **fields: object) -> Library:
    lib = library()
    changed = replace(lib.movements[name], **fields)  # type: ignore[arg-type]
    return replace(lib, movements={**lib.movements, name: changed})


def test_easier_takes_the_easier_neighbour_for_the_rest_of_the_block() -> None:
    walk = Walker().to("middle.1").tell("easier")
    assert (walk.fired, walk.value("to")) == (["easier-middle"], "easy-boulders")
    assert walk.forms("middle") == {"easy-boulders"}
    assert walk.tries() == 0
    assert walk.steps[0].name == "middle.1"
    assert not walk.change.cut


def test_easier_leaves_other_blocks_alone() -> None:
    walk = Walker().to("easy.1").tell("easier")
    assert walk.forms("easy") == {"easy-traverse"}
    assert walk.forms("middle") == {"middle-boulders"}


def test_easier_of_one_of_two_is_theirs() -> None:
    walk = Walker(PAIR).to("middle.1").tell("easier", who=2)
    assert walk.forms("middle", 2) == {"easy-boulders"}
    assert walk.forms("middle", 1) == {"middle-boulders"}


def test_easier_passes_over_a_neighbour_that_may_not_be_done() -> None:
    walk = Walker(library=with_movement("edge-check-larger", equipment=frozenset({"weight"})))
    walk.to("board.8").tell("easier")
    assert walk.value("to") == "edge-check-feet-on"


def test_easier_takes_another_form_of_equal_standing_where_the_first_can_t_be_done() -> None:
    lib = with_movement("edge-check", easier=None)
    walk = Walker(library=lib).to("board.8").tell("easier")
    assert walk.value("to") == "edge-check-feet-on"


def test_what_is_gentle_already_stays_as_it_is() -> None:
    walk = Walker(library=with_movement("cat-arch", easier=None, also_easier=())).to("mat.1")
    steps = walk.steps
    walk.tell("easier")
    assert (walk.fired, walk.value("step")) == (["easiest"], "cat-arch")
    assert walk.steps == steps


def heavy_without_easier() -> Library:
    return with_movement("deep-squat", load={Part.KNEES: 2}, easier=None, also_easier=())


def test_what_has_nothing_easier_is_left_out_and_counts_as_skipped() -> None:
    walk = Walker(library=heavy_without_easier()).to("mat.5").tell("easier")
    assert (walk.fired, walk.value("step")) == (["easier-left-out"], "deep-squat")
    assert walk.change.day.skipped == ("mat.5",)
    assert walk.change.cut


def test_one_of_two_sits_out_what_has_nothing_easier() -> None:
    walk = Walker(PAIR, library=heavy_without_easier()).to("mat.5").tell("easier", who=2)
    assert walk.steps[0].name == "mat.5"
    assert [form.movement for form in walk.steps[0].forms] == ["deep-squat", ""]


def test_an_optional_step_that_is_left_out_costs_nothing() -> None:
    lib = with_movement("hip-switches", load={Part.HIPS: 2}, easier=None, also_easier=())
    walk = Walker(library=lib)
    name = next(s.name for s in walk.steps if s.forms and s.forms[0].movement == "hip-switches")
    walk.to(name).tell("easier")
    assert walk.fired == ["easier-left-out"]
    assert walk.change.day.skipped == ()


@pytest.mark.parametrize("key", ["easier", "harder"])
def test_a_rest_has_no_easier_form(key: str) -> None:
    walk = Walker().to("hard.2.rest")
    steps = walk.steps
    walk.tell(key)
    assert walk.steps == steps
    assert walk.fired == ([] if key == "easier" else ["harder-refused"])


def test_a_question_has_no_easier_form() -> None:
    walk = Walker().to("gate-body")
    assert walk.tell("easier").fired == []


def test_an_easier_try_is_a_middle_boulder() -> None:
    walk = Walker().to("hard.1.1").tell("easier")
    assert walk.forms("hard") == {"middle-boulders"}


def test_harder_takes_the_next_form_that_everything_allows() -> None:
    walk = Walker(minutes=120).to("easy.1").tell("harder")
    assert (walk.fired, walk.value("to")) == (["harder"], "middle-boulders")
    assert walk.forms("easy") == {"middle-boulders"}


def test_harder_of_one_of_two_is_theirs() -> None:
    walk = Walker(PAIR, minutes=120).to("easy.1").tell("harder", who=2)
    assert walk.forms("easy", 1) == {"easy-boulders"}
    assert walk.forms("easy", 2) == {"middle-boulders"}


@pytest.mark.parametrize("where", ["middle.1", "hard.1.1", "mat.5"])
def test_harder_never_makes_a_hard_try_of_it(where: str) -> None:
    walk = Walker().to(where)
    steps = walk.steps
    walk.tell("harder")
    assert walk.fired == ["harder-refused"]
    assert walk.steps == steps


def test_harder_is_refused_above_a_cap_and_says_what_stays() -> None:
    walk = Walker().to("easy.1").tell("feel:knees:sore").tell("feel:fingers:sore").tell("harder")
    assert (walk.fired, walk.value("step")) == (["harder-refused"], "easy-boulders")
    assert walk.forms("easy") == {"easy-boulders"}


def test_harder_is_refused_for_an_age() -> None:
    walk = Walker((Person(1, age=AgeBand.UNDER_18),), minutes=120).to("board.1").tell("harder")
    assert walk.fired == ["harder-refused"]


def test_harder_is_refused_where_the_next_form_is_counted_otherwise() -> None:
    lib = with_movement("easy-boulders", harder="deep-squat")
    walk = Walker(library=lib).to("easy.1").tell("harder")
    assert walk.fired == ["harder-refused"]


def test_harder_is_refused_where_the_next_form_is_of_the_hardest() -> None:
    lib = with_movement("middle-boulders", load={Part.FINGERS: 3})
    walk = Walker(library=lib).to("easy.1")
    walk.tell("go", "go-ahead")
    assert walk.tell("harder").fired == ["harder-refused"]


def test_harder_is_refused_where_the_next_form_is_not_in_the_catalogue() -> None:
    lib = library()
    movements = {k: m for k, m in lib.movements.items() if k != "middle-boulders"}
    routine = replace(
        lib.routine,
        blocks=tuple(b for b in lib.routine.blocks if b.kind not in ("middle", "hard")),
    )
    walk = Walker(library=replace(lib, movements=movements, routine=routine)).to("easy.1")
    assert walk.tell("harder").fired == ["harder-refused"]


def test_harder_on_a_try_is_refused_even_where_a_harder_form_exists() -> None:
    lib = with_movement("hard-try", harder="middle-boulders")
    walk = Walker(library=lib).to("hard.1.1").tell("harder")
    assert walk.fired == ["harder-refused"]
    assert walk.steps[0].kind is StepKind.TRY


def test_somebody_unknown_changes_nothing() -> None:
    walk = Walker().to("easy.1")
    day, steps = walk.change.day, walk.steps
    walk.tell("easier", who=7)
    assert (walk.change.day, walk.steps, walk.fired) == (day, steps, [])
