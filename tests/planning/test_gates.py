"""Gates and the go-ahead: what opens them, what does not, and what waits behind them."""

from dataclasses import replace

import pytest

from coach.model.answers import parse
from coach.model.body import CapReason, Feel, Part
from coach.model.day import Report
from coach.model.movement import Hold
from coach.model.person import AgeBand, Person
from coach.model.plan import StepKind
from coach.planning import age_limits, gates, open_day
from coach.planning.rules.gating import LOOK_AGAIN, WAIT
from coach.planning.situation import LATE_READING
from tests.oracle import unentitled
from tests.planning.days import library
from tests.planning.walker import ADULT, PAIR, Walker

ALL = ("gate-body", "gate-shoulders", "gate-fingers", "go-ahead")


def test_a_day_begins_with_every_gate_of_its_routine_shut() -> None:
    day = open_day(ADULT, 90, library())
    assert gates.of_routine(library().routine) == ALL
    assert {cap.rule for cap in day.caps} == set(ALL)
    assert {cap.reason for cap in day.caps} == {CapReason.GATE}
    assert (day.gates, day.go, day.ends_at) == ((), (), 5400.0)


def test_hard_tries_have_a_go_ahead_even_where_the_routine_asks_none() -> None:
    assert gates.of_routine(library("rests").routine) == ("go-ahead",)
    walk = Walker(library=library("rests"), minutes=60)
    assert walk.steps[0].question == "go-ahead" or any(
        step.question == "go-ahead" for step in walk.steps
    )


def test_uneven_hangs_wait_for_the_shoulders() -> None:
    walk = Walker(minutes=120).to("gate-shoulders")
    uneven = [s for s in walk.steps if s.intended and s.intended[0].movement == "uneven-hang"]
    assert uneven
    assert walk.forms("board").isdisjoint({"uneven-hang", "uneven-hang-feet-on"})
    assert "uneven-hang" in walk.answer("feel:fine").forms("board")
    assert {m.name for m in library().movements.values() if m.hang and m.hang.hold is Hold.UNEVEN}


@pytest.mark.parametrize("gate", ALL[:3])
@pytest.mark.parametrize("feel", ["fresh", "fine"])
def test_a_clear_answer_opens_its_gate_and_no_other(gate: str, feel: str) -> None:
    walk = Walker().to(gate)
    shut = gates.shut(walk.change.day.caps, 1)
    walk.answer(f"feel:{feel}")
    assert walk.fired == ["gate-open"]
    assert walk.value("gate") == gate
    assert gates.shut(walk.change.day.caps, 1) == shut - {gate}
    assert (1, gate) in walk.change.day.gates
    part = gates.GATES[gate].about
    reported = [report for report in walk.change.day.reports if report.part is part]
    assert reported == ([Report(1, part, Feel(feel))] if part is not None else [])


@pytest.mark.parametrize("gate", ALL[:3])
@pytest.mark.parametrize(
    "key", ["silence", "yes", "done", "go", "ready", "no", "feel:tired", "feel:sore", "feel:stiff"]
)
def test_nothing_else_opens_a_gate(gate: str, key: str) -> None:
    walk = Walker().to(gate).answer(key)
    assert gate in gates.shut(walk.change.day.caps, 1)
    assert (1, gate) not in walk.change.day.gates


@pytest.mark.parametrize("gate", ALL[:3])
def test_a_clear_answer_counts_only_in_the_window_of_its_gate(gate: str) -> None:
    walk = Walker().to(gate)
    before = walk.change.day
    for question in ("", "hurting", "how-is-it", "go-ahead"):
        assert walk.tell("feel:fine", question).change.day == before


def test_silence_at_a_gate_says_that_it_stays_gentle() -> None:
    walk = Walker().to("gate-fingers").answer("silence")
    assert (walk.say, walk.value("gate")) == ("gate-silent", "gate-fingers")


def test_tries_before_the_go_ahead_stand_in_an_easier_form() -> None:
    walk = Walker()
    tries = [step for step in walk.steps if step.kind is StepKind.TRY]
    assert {step.forms[0].movement for step in tries} == {"middle-boulders"}
    assert {step.intended[0].movement for step in tries} == {"hard-try"}


def test_go_opens_the_hard_tries() -> None:
    walk = Walker().to("go-ahead").answer("go")
    assert (walk.say, walk.value("tries")) == ("go", walk.tries())
    assert walk.change.day.go == (1,)
    assert walk.forms("hard") == {"hard-try"}


def test_go_of_one_of_two_opens_only_theirs() -> None:
    walk = Walker(PAIR).to("go-ahead").answer("go", who=2)
    assert walk.forms("hard", 2) == {"hard-try"}
    assert walk.forms("hard", 1) == {"middle-boulders"}


@pytest.mark.parametrize("question", ["", "gate-body", "re-warm", "confirm"])
def test_go_counts_only_at_the_go_ahead(question: str) -> None:
    walk = Walker().to("go-ahead").tell("go", question)
    assert walk.change.day.go == ()


def test_go_with_a_gate_still_shut_asks_that_one_first() -> None:
    walk = Walker().to("gate-shoulders").answer("silence")
    walk.to("go-ahead").answer("go")
    assert walk.say == "go-too-early"
    assert walk.change.day.go == ()
    assert [step.question for step in walk.steps[:2]] == ["gate-shoulders", "go-ahead"]
    assert {step.block for step in walk.steps[:2]} == {"hard"}
    walk.answer("feel:fine").answer("go")
    assert walk.say == "go"


def test_a_gate_that_stays_shut_a_second_time_costs_the_hard_tries() -> None:
    walk = Walker().to("gate-shoulders").answer("silence")
    walk.to("go-ahead").answer("go").answer("silence").answer("go")
    assert walk.say == "go-unchecked"
    assert walk.tries() == 0


def test_missing_gates_are_asked_in_their_order() -> None:
    walk = Walker().to("gate-body").answer("silence")
    walk.to("gate-fingers").answer("silence").to("go-ahead").answer("go")
    assert walk.steps[0].question == "gate-body"


def test_the_gate_of_one_of_two_holds_back_only_theirs() -> None:
    walk = Walker(PAIR).to("gate-fingers")
    walk.tell("feel:fine", "gate-fingers", who=2)
    assert gates.shut(walk.change.day.caps, 1) > gates.shut(walk.change.day.caps, 2)


@pytest.mark.parametrize("key", ["not-today", "silence", "no"])
def test_anything_but_go_gives_easy_climbing(key: str) -> None:
    walk = Walker().to("go-ahead")
    before = walk.seconds
    walk.answer(key)
    assert walk.say == "not-today"
    assert walk.value("minutes") == round(walk.seconds / 60)
    assert walk.tries() == 0
    assert "easy-boulders" in walk.forms("easy")
    assert walk.seconds <= before


def test_not_today_counts_at_any_time_and_takes_the_go_back() -> None:
    walk = Walker(PAIR).to("hard.2.1").tell("not-today")
    assert set(walk.change.day.go) == {2}
    assert "go-ahead" in gates.shut(walk.change.day.caps, 1)
    assert walk.tries(1) == 0
    assert walk.tries(2) > 0


@pytest.mark.parametrize("key", ["no", "silence"])
def test_no_to_another_question_is_no_not_today(key: str) -> None:
    walk = Walker().to("go-ahead")
    tries = walk.tries()
    assert walk.tell(key, "sign").tries() == tries


def test_more_time_at_the_go_ahead_waits_for_nothing_where_nothing_is_left() -> None:
    walk = Walker(minutes=150).to("go-ahead")
    walk.past(len(walk.steps)).tell("more-time", "go-ahead")
    assert walk.steps == ()


def test_more_time_at_the_go_ahead_rests_and_asks_again() -> None:
    walk = Walker(minutes=150).to("go-ahead").answer("more-time")
    assert walk.say == "go-later"
    assert (walk.steps[0].kind, walk.steps[0].seconds) == (StepKind.REST, WAIT)
    assert (walk.steps[1].question, walk.steps[1].block) == ("go-ahead", "hard")
    assert 0 < int(str(walk.value("seconds"))) <= WAIT + 10
    assert WAIT == 120.0
    walk.past().answer("go")
    assert walk.say == "go"


def test_a_high_boulder_asks_for_the_landing_again_every_third_try() -> None:
    walk = Walker(told=((1, "high-or-leaping"),)).to("go-ahead")
    walk.answer("go")
    tries = walk.tries()
    assert walk.fired == ["go", "landing"]
    assert tries > LOOK_AGAIN
    asked = [i for i, step in enumerate(walk.steps) if step.question == "go-ahead"]
    assert len(asked) == (tries - 1) // LOOK_AGAIN
    for number, place in enumerate(asked, start=1):
        before = sum(step.kind is StepKind.TRY for step in walk.steps[:place])
        assert before == number * LOOK_AGAIN
    assert LOOK_AGAIN == 3
    assert {walk.steps[place].block for place in asked} == {"hard"}
    assert {walk.steps[place + 1].kind for place in asked} == {StepKind.REST}


def test_before_the_last_try_the_landing_is_asked_about_ahead_of_the_rest() -> None:
    days = (Walker(minutes=n, told=((1, "high-or-leaping"),)) for n in range(41, 60))
    four = (day for day in days if day.tries() == LOOK_AGAIN + 1)
    gone = (day.to("go-ahead").answer("go") for day in four)
    walk = next(day for day in gone if day.tries() == LOOK_AGAIN + 1)
    [place] = [i for i, step in enumerate(walk.steps) if step.question == "go-ahead"]
    assert walk.steps[place + 1].kind is StepKind.REST


def test_the_landing_of_one_of_two_counts_their_own_tries() -> None:
    walk = Walker(PAIR, told=((1, "high-or-leaping"),)).to("go-ahead")
    walk.tell("go", "go-ahead")
    asked = [step for step in walk.steps[1:] if step.question == "go-ahead"]
    assert len(asked) == (walk.tries(1) - 1) // LOOK_AGAIN


def test_the_rest_of_one_of_two_opens_no_gate_of_the_other() -> None:
    walk = Walker(PAIR).to("board.8.1")
    walk.tell("feel:fingers:sore").tell("tissue:muscle", "tissue")
    walk.tell("feel:fingers:sore", who=2).tell("tissue:skin", "tissue", who=2)
    walk.now += 400
    assert walk.tell("feel:fine", "gate-fingers-now", who=2).say == "contradiction"
    assert walk.tell("feel:fine", "gate-fingers-now", who=1).say == "gate-open"


def test_a_boulder_that_is_not_high_asks_once() -> None:
    walk = Walker().to("go-ahead").answer("go")
    assert walk.fired == ["go"]
    assert not any(step.question for step in walk.steps)


def test_an_edge_below_the_usual_keeps_the_gate_shut() -> None:
    walk = Walker(told=((1, "edge:low"),)).to("gate-fingers").answer("feel:fine")
    assert walk.fired == ["edge-below-usual"]
    assert (1, "gate-fingers") not in walk.change.day.gates
    other = Walker(told=((1, "edge:low"),)).to("gate-shoulders").answer("feel:fine")
    assert other.fired == ["gate-open"]


@pytest.mark.parametrize("low", [True, False])
def test_a_reading_told_later_shuts_the_gate_again_where_it_is_low(low: bool) -> None:
    walk = Walker().to("easy")
    day, steps = walk.change.day, walk.steps
    assert (1, "gate-fingers") in day.gates
    walk.change = replace(walk.change, day=replace(day, told=((1, "edge:low"),) if low else ()))
    walk.tell("done", LATE_READING)
    assert walk.fired == (["edge-below-usual"] if low else [])
    assert ((1, "gate-fingers") in walk.change.day.gates) is not low
    after = (walk.change.day, walk.steps)
    assert unentitled((day, steps), after, 1, parse("done"), LATE_READING) == []
    if not low:
        assert walk.steps == steps


def test_a_low_reading_takes_back_a_go_and_that_of_nobody_else() -> None:
    walk = Walker(PAIR, minutes=120).to("go-ahead").answer("go").tell("go", "go-ahead", who=2)
    day = walk.change.day
    assert set(day.go) == {1, 2}
    walk.change = replace(walk.change, day=replace(day, told=((2, "edge:low"),)))
    walk.tell("done", LATE_READING, who=2)
    assert walk.change.day.go == (1,)
    asked = [step.question for step in walk.steps]
    first = next(i for i, step in enumerate(walk.steps) if step.turn == 2)
    assert [form.who for form in walk.steps[asked.index("go-ahead", 0, first)].forms] == [2]


def test_a_low_reading_where_no_try_is_left_asks_for_no_go() -> None:
    walk = Walker(told=((1, "edge:low"),))
    day = replace(walk.change.day, go=(1,))
    walk.change = replace(walk.change, day=day, steps=walk.steps[-3:])
    walk.tell("done", LATE_READING)
    assert walk.change.day.go == ()
    assert not any(step.question for step in walk.steps)


# ages


@pytest.mark.parametrize(
    ("age", "name", "allowed"),
    [
        (AgeBand.UNDER_16, "largest-hang-feet-on", False),
        (AgeBand.UNDER_16, "edge-check", False),
        (AgeBand.UNDER_16, "easy-boulders", True),
        (AgeBand.UNDER_18, "largest-hang-feet-on", True),
        (AgeBand.UNDER_18, "largest-hang", False),
        (AgeBand.UNDER_18, "edge-check-feet-on", False),
        (AgeBand.UNDER_18, "uneven-hang-feet-on", False),
        (AgeBand.UNDER_18, "hard-try", True),
        (AgeBand.UNKNOWN, "edge-check", False),
        (AgeBand.UNKNOWN, "largest-hang-feet-on", True),
        (AgeBand.ADULT, "edge-check", True),
        (AgeBand.ADULT, "uneven-hang", True),
    ],
)
def test_the_published_cautions_decide_what_an_age_leaves_out(
    age: AgeBand, name: str, allowed: bool
) -> None:
    """Morrison and Schoeffl 2007 (under 16); UIAA by the BMC (under 18); jugs are our choice."""
    assert age_limits.allows(Person(1, age=age), library().movements[name]) is allowed


def test_a_movement_that_names_an_age_is_left_out_for_it() -> None:
    squat = replace(library().movements["deep-squat"], leave_out=("under-18",))
    assert not age_limits.allows(Person(1, age=AgeBand.UNDER_16), squat)
    assert not age_limits.allows(Person(1), squat)
    assert age_limits.allows(Person(1, age=AgeBand.ADULT), squat)
    younger = replace(squat, leave_out=("under-16",))
    assert age_limits.allows(Person(1, age=AgeBand.UNDER_18), younger)
    assert not age_limits.allows(Person(1, age=AgeBand.UNDER_16), younger)


def test_a_board_movement_without_a_hang_loads_no_young_fingers() -> None:
    pull = replace(library().movements["scapular-pull-ups-feet-on"], hang=None, leave_out=())
    light = replace(pull, load={Part.SHOULDERS: 1})
    assert not age_limits.allows(Person(1), pull)
    assert age_limits.allows(Person(1), light)


def test_under_16_never_gets_the_hardest_load_on_the_fingers() -> None:
    walk = Walker((Person(1, age=AgeBand.UNDER_16),))
    assert walk.most(Part.FINGERS) == 2
    assert walk.change.day.caps[0].reason is CapReason.AGE
    assert walk.tries() == 0
    assert not any(step.hangs for step in walk.steps)
    assert Walker((Person(1, age=AgeBand.UNDER_18),)).most(Part.FINGERS) == 3


@pytest.mark.parametrize("key", ["yes", "harder", "longer", "go", "feel:fresh"])
def test_no_answer_changes_an_age(key: str) -> None:
    walk = Walker((Person(1, age=AgeBand.UNDER_16),)).to("easy.1")
    for question in ("", "gate-fingers", "go-ahead", "confirm"):
        walk.tell(key, question)
        assert walk.most(Part.FINGERS) == 2
        assert walk.change.day.people[0].age is AgeBand.UNDER_16
