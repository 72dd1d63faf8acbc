"""One hand at a time is done left and right; what both hands do at once is done once."""

from dataclasses import replace

from coach.files.library import load_library
from coach.model.answers import parse
from coach.model.day import Change
from coach.model.person import AgeBand, Person
from coach.model.plan import Step
from coach.planning import adapt, make_plan, open_day
from coach.planning.forms import of
from tests.planning.walker import ADULT, Walker

LIBRARY = load_library("full", "tarnwick")
YOUNG = Person(1, age=AgeBand.UNDER_18)


def uneven(steps: tuple[Step, ...]) -> list[tuple[str, str]]:
    """Side and movement of what is meant as a hang of one hand on the edge, in its first set."""
    sets = [
        step
        for step in steps
        if any(form.movement.startswith("uneven-hang") for form in step.intended)
    ]
    return [
        (step.side, step.forms[0].movement)
        for step in sets
        if step.name.split(".")[1] == sets[0].name.split(".")[1]
    ]


def test_a_hang_in_both_hands_is_done_once_and_each_hand_comes_back_with_its_check() -> None:
    change = make_plan(open_day(ADULT, 90, LIBRARY), 0.0, LIBRARY)
    assert uneven(change.steps) == [("", "largest-hang")]

    for question in ("gate-body", "gate-shoulders"):
        change = adapt(change.day, change.steps, 0.0, 1, parse("feel:fine"), question, LIBRARY)
    assert uneven(change.steps) == [("left", "uneven-hang"), ("right", "uneven-hang")]

    sore = adapt(change.day, change.steps, 0.0, 1, parse("feel:shoulders:sore"), "", LIBRARY)
    assert "right" not in dict(uneven(sore.steps))
    assert len({step.name for step in change.steps}) == len(change.steps)


def with_a_partner_under_eighteen() -> Change:
    """Two people whose first two gates are open."""
    people = (Person(1, age=AgeBand.ADULT), Person(2, age=AgeBand.UNDER_18))
    change = make_plan(open_day(people, 120, LIBRARY), 0.0, LIBRARY)
    for question in ("gate-body", "gate-shoulders"):
        for who in (1, 2):
            answer = parse("feel:fine")
            change = adapt(change.day, change.steps, 0.0, who, answer, question, LIBRARY)
    return change


def test_at_sixteen_it_is_one_hang_in_both_hands_all_day() -> None:
    change = make_plan(open_day((YOUNG,), 90, LIBRARY), 0.0, LIBRARY)
    for question in ("gate-body", "gate-shoulders", "gate-fingers"):
        change = adapt(change.day, change.steps, 0.0, 1, parse("feel:fine"), question, LIBRARY)
        # where the minutes don't hold it, it is left out
        assert set(uneven(change.steps)) <= {("", "largest-hang-feet-on")}


def turns(steps: tuple[Step, ...]) -> list[tuple[int, str, str]]:
    """Who hangs, on which side and how, in the first set that is meant on the edge by one hand."""
    sets = [s for s in steps if any(f.movement == "uneven-hang" for f in s.intended)]
    first = sets[0].name.split(".")[1]
    return [
        (form.who, step.side, form.movement)
        for step in sets
        for form in step.forms
        if step.name.split(".")[1] == first
    ]


def test_two_at_one_board_take_turns_each_with_their_own_hangs() -> None:
    """Who hangs in both hands does it once, and nobody stands idle in a turn of their own."""
    change = with_a_partner_under_eighteen()
    assert turns(change.steps) == [
        (1, "left", "uneven-hang"),
        (2, "", "largest-hang-feet-on"),
        (1, "right", "uneven-hang"),
    ]
    assert all(len(step.forms) == 1 for step in change.steps if step.hangs)


def test_two_boards_are_used_at_once() -> None:
    place = replace(LIBRARY.place, boards=LIBRARY.place.boards * 2)
    library = replace(LIBRARY, place=place)
    people = (Person(1, age=AgeBand.ADULT), Person(2, age=AgeBand.ADULT))
    steps = make_plan(open_day(people, 90, library), 0.0, library).steps
    assert all(len(step.forms) == 2 for step in steps if step.hangs)


def test_a_right_side_by_itself_that_is_eased_to_both_hands_is_still_done() -> None:
    change = make_plan(open_day(ADULT, 90, LIBRARY), 0.0, LIBRARY)
    for question in ("gate-body", "gate-shoulders"):
        change = adapt(change.day, change.steps, 0.0, 1, parse("feel:fine"), question, LIBRARY)
    left = next(n for n, step in enumerate(change.steps) if step.side == "left" and step.hangs)
    ahead = change.steps[left + 1 :]
    assert uneven(ahead) == [("right", "uneven-hang")]

    sore = adapt(change.day, ahead, 0.0, 1, parse("feel:shoulders:sore"), "", LIBRARY)
    assert uneven(sore.steps) == [("", "largest-hang-feet-on")]
    again = adapt(sore.day, sore.steps, 0.0, 1, parse("feel:back:sore"), "", LIBRARY)
    assert uneven(again.steps) == [("", "largest-hang-feet-on")]


def test_a_right_side_that_is_eased_for_one_of_two_is_done_by_her_alone() -> None:
    change = with_a_partner_under_eighteen()
    left = next(n for n, step in enumerate(change.steps) if step.side == "left" and step.hangs)
    ahead = change.steps[left + 1 :]
    sore = adapt(change.day, ahead, 0.0, 1, parse("feel:shoulders:sore"), "", LIBRARY)
    assert (1, "", "largest-hang-feet-on") in turns(sore.steps)


def test_a_side_that_was_left_out_does_not_come_back() -> None:
    walker = Walker()
    left = next(step for step in walker.steps if step.name.endswith(".left") and step.side)
    forms = of(walker.change.day, LIBRARY)

    assert forms.other_side(left, left) is None
    assert forms.other_side(replace(left, side=""), replace(left, side="")) is None


def test_a_name_says_nothing_of_a_side() -> None:
    """Steps with other names, alike in all else, end up in the same forms and sides."""
    change = make_plan(open_day(ADULT, 90, LIBRARY), 0.0, LIBRARY)
    named = {step.name: f"step-{n}" for n, step in enumerate(change.steps)}
    others = tuple(
        replace(step, name=named[step.name], other=named.get(step.other, ""))
        for step in change.steps
    )
    sore = parse("feel:shoulders:sore")
    found = [
        adapt(change.day, steps, 0.0, 1, sore, "", LIBRARY).steps
        for steps in (change.steps, others)
    ]
    was, now = ([(step.forms, step.side, step.half) for step in steps] for steps in found)
    assert was == now
    assert {"left", "right"} <= {step.side for step in found[0]}


def test_what_is_done_once_more_keeps_its_side() -> None:
    change = make_plan(open_day(ADULT, 90, LIBRARY), 0.0, LIBRARY)
    left = next(step for step in change.steps if step.side == "left")
    again = replace(left, name="again", other="", piece="", placed=False)
    sore = adapt(change.day, (again,), 0.0, 1, parse("feel:fingers:sore"), "", LIBRARY)
    assert [step.side for step in sore.steps if step.name == "again"] == ["left"]
