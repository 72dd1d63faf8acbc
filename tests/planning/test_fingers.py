"""Where a person has no edge in hand today, the first easy boulders check the fingers."""

from dataclasses import replace

import pytest

from coach.model.body import Cap, CapReason, Part
from coach.model.day import Library
from coach.model.movement import Feet, Hold
from coach.model.person import AgeBand, Person
from coach.model.plan import Step
from coach.planning import gates
from tests.planning.days import library
from tests.planning.walker import ADULT, Walker

NOW = "gate-fingers-now"
YOUNG = (Person(1, age=AgeBand.UNDER_16),)


def bare(routine: str = "full") -> Library:
    """A hall without a board."""
    lib = library(routine)
    return replace(lib, place=replace(lib.place, boards=()))


def walk_of(day: str) -> Walker:
    match day:
        case "no board":
            return Walker(library=bare())
        case "outdoors":
            return Walker(library=library("outdoors"), minutes=100)
        case "under 16":
            return Walker(YOUNG)
        case _:
            return Walker(hurting="feel:shoulders:hurting:3")


def asked(walk: Walker, question: str, who: int = 1) -> list[Step]:
    return [s for s in walk.steps if s.question == question and s.form(who) is not None]


@pytest.mark.parametrize("day", ["no board", "outdoors", "under 16"])
def test_the_fingers_are_asked_about_after_the_first_easy_boulders(day: str) -> None:
    walk = walk_of(day)
    assert not any(step.hangs for step in walk.steps)
    assert "fingers-by-climbing" in walk.fired
    assert asked(walk, "gate-fingers") == []
    [question] = asked(walk, NOW)
    first = next(s for s in walk.steps if s.block == "easy" and s.kind == "climb")
    assert walk.steps.index(question) == walk.steps.index(first) + 1


@pytest.mark.parametrize("age", [AgeBand.UNDER_18, AgeBand.UNKNOWN])
def test_under_18_hangs_from_large_holds_and_is_asked_about_no_edge(age: AgeBand) -> None:
    # Under 18 no feet-off or dynamic campusing (UIAA Medical Commission by the BMC's guidance); the
    # largest holds with the feet on alone are our stricter choice.
    walk = Walker((Person(1, age=age),))
    hangs = {
        walk.library.movements[form.movement].hang
        for step in walk.steps
        for form in (*step.forms, *step.intended)
        if step.hangs and form.movement in walk.forms(step.block)
    }
    assert {(hang.hold, hang.feet) for hang in hangs if hang} == {(Hold.LARGEST, Feet.ON)}
    assert "fingers-by-climbing" in walk.fired
    assert asked(walk, "gate-fingers") == []
    assert [s.block for s in asked(walk, NOW)] == ["easy"]


@pytest.mark.parametrize("day", ["no board", "outdoors"])
def test_what_is_harder_waits_for_that_answer(day: str) -> None:
    walk = walk_of(day).to(NOW)
    assert NOW in gates.shut(walk.change.day.caps, 1)
    silent = walk.answer("silence").to("go-ahead").answer("go")
    assert (silent.say, silent.steps[0].question) == ("go-too-early", NOW)
    assert silent.change.day.go == ()
    assert silent.answer("feel:fine").answer("go").say == "go"


@pytest.mark.parametrize("key", ["feel:fine", "feel:fresh"])
def test_a_clear_answer_opens_the_fingers_of_that_day(key: str) -> None:
    walk = walk_of("no board").to(NOW).answer(key)
    assert (walk.say, walk.value("gate")) == ("gate-open", NOW)
    assert gates.shut(walk.change.day.caps, 1) == {"go-ahead"}
    assert walk.to("go-ahead").answer("go").say == "go"


def test_sore_after_the_first_boulders_costs_the_hard_tries() -> None:
    walk = walk_of("no board").to(NOW).answer("feel:sore")
    assert (walk.say, walk.value("part"), walk.tries()) == ("sore", "fingers", 0)
    assert walk.most(Part.FINGERS) == 1


def test_each_of_two_is_asked_where_it_fits() -> None:
    walk = Walker((ADULT[0], Person(2, age=AgeBand.UNDER_16)))
    assert [s.block for s in asked(walk, "gate-fingers")] == ["board"]
    assert asked(walk, "gate-fingers", who=2) == []
    assert [s.block for s in asked(walk, NOW, who=2)] == ["easy"]
    assert asked(walk, NOW) == []
    assert NOW in gates.shut(walk.change.day.caps, 2) - gates.shut(walk.change.day.caps, 1)


def test_where_somebody_hangs_the_edge_is_asked_about() -> None:
    walk = Walker()
    assert "fingers-by-climbing" not in walk.fired
    assert asked(walk, NOW) == []
    assert len(asked(walk, "gate-fingers")) == 1


def test_without_boulders_the_fingers_are_asked_about_where_they_stand() -> None:
    walk = Walker(library=bare("mat-and-board"), minutes=30)
    assert [s.question for s in walk.steps if s.question][-1] == NOW
    assert len(asked(walk, NOW)) == 1


def test_fingers_that_nothing_may_load_are_not_asked_about() -> None:
    standing = (Cap(1, Part.FINGERS, 0, CapReason.SIGN, "warning-sign"),)
    walk = Walker(standing=standing)
    assert (asked(walk, "gate-fingers"), asked(walk, NOW)) == ([], [])
    assert "gate-fingers" in gates.shut(walk.change.day.caps, 1)
    told = Walker(hurting="feel:fingers:hurting:8")
    assert (asked(told, "gate-fingers"), asked(told, NOW)) == ([], [])


def test_a_routine_that_asks_nothing_of_the_fingers_is_left_alone() -> None:
    walk = Walker(YOUNG, library=library("easy-day"))
    assert "fingers-by-climbing" not in walk.fired
    assert asked(walk, NOW) == []


def test_hangs_that_go_on_the_way_take_their_question_along() -> None:
    walk = Walker().to("mat.5").tell("hurt:fingers")
    assert not any(step.hangs for step in walk.steps)
    assert (asked(walk, "gate-fingers"), asked(walk, NOW)) == ([], [])


def test_a_skipped_edge_check_leaves_the_question_to_the_boulders() -> None:
    walk = Walker()
    edge = [s for s in walk.steps if s.intended and s.intended[0].movement == "edge-check"][-1]
    walk.to(edge.name).tell("skip")
    assert asked(walk, "gate-fingers") == []
    [question] = asked(walk, NOW)
    assert walk.steps[walk.steps.index(question) - 1].block == "easy"


def test_a_hang_that_is_done_keeps_its_question() -> None:
    walk = Walker().to("gate-fingers").tell("feel:back:stiff")
    assert len(asked(walk, "gate-fingers")) == 1


def test_a_sore_muscle_is_asked_about_again_in_words_that_fit() -> None:
    walk = Walker().to("board.8").tell("feel:fingers:sore").tell("tissue:muscle", "tissue")
    assert asked(walk, "gate-fingers") == []
    assert len(asked(walk, NOW)) == 1
    shut = gates.shut(walk.change.day.caps, 1)
    assert (NOW in shut, "gate-fingers" in shut) == (True, False)
    assert walk.to(NOW).answer("feel:fine").most(Part.FINGERS) == 3
