"""What hurts is spared, judged by poses and joints alone; what is sore gets no strenuous work."""

from itertools import product

import pytest

from coach.files.library import load_library
from coach.files.movements import load_movements
from coach.files.routines import list_routines
from coach.model.answers import Answer, Meaning
from coach.model.body import Feel, Part
from coach.model.person import AgeBand, Person
from coach.planning import adapt, gates, make_plan, open_day
from tests import poses
from tests.bench import spared

MOVEMENTS = load_movements()
ADULT = (Person(1, age=AgeBand.ADULT),)


def hurts(part: Part) -> list[Answer]:
    """Every way to tell that a part hurts."""
    pains = [Answer(Meaning.FEEL, part, Feel.HURTING, number=n) for n in (None, 1, 4, 9)]
    return [*pains, Answer(Meaning.HURT, part), Answer(Meaning.SIGN, part, sign="swelling")]


def done(routine: str, answer: Answer) -> set[str]:
    """The movements of a day that begins with an answer."""
    library = load_library(routine, "tarnwick")
    day = open_day(ADULT, library.routine.minutes, library)
    day = adapt(day, (), 0.0, 1, answer, "hurting", library).day
    steps = make_plan(day, 0.0, library).steps
    return {form.movement for step in steps for form in step.forms if form.movement}


def test_the_judge_has_looked_at_every_movement() -> None:
    assert poses.SEEN.keys() == MOVEMENTS.keys()
    assert {pose for seen in poses.SEEN.values() for pose in seen} <= poses.POSES.keys()
    named = {part for parts in poses.POSES.values() for part in parts.split()}
    assert named | poses.WHOLE_BODY == {part.value for part in Part}


@pytest.mark.parametrize("name", sorted(MOVEMENTS))
def test_no_movement_states_less_than_the_judge_sees(name: str) -> None:
    seen = {part.value for part in Part if poses.uses(name, part)}
    assert seen <= {part.value for part in MOVEMENTS[name].load}


@pytest.mark.parametrize("part", list(Part))
def test_a_boulder_and_a_hang_load_every_part(part: Part) -> None:
    for movement in MOVEMENTS.values():
        if movement.hang is not None or "wall" in movement.equipment:
            assert movement.load[part] >= 1, movement.name


@pytest.mark.parametrize("part", list(Part))
def test_a_day_that_begins_hurting_spares_the_part(part: Part) -> None:
    told = [("full", answer) for answer in hurts(part)]
    told += [(routine, hurts(part)[0]) for routine in list_routines()]
    for routine, answer in told:
        assert [name for name in done(routine, answer) if poses.uses(name, part)] == []


@pytest.mark.parametrize("part", list(Part))
def test_a_day_that_begins_sore_leaves_out_the_strenuous(part: Part) -> None:
    names = done("full", Answer(Meaning.FEEL, part, Feel.SORE))
    assert sorted(name for name in names if poses.too_much_for_sore(name, part)) == []


@pytest.mark.parametrize("part", sorted(set(Part) - {Part.HEAD, Part.CHEST}))
def test_something_is_left_for_whoever_spares_a_part(part: Part) -> None:
    library = load_library("full", "tarnwick")
    day = open_day(ADULT, 90, library)
    day = adapt(day, (), 0.0, 1, hurts(part)[0], "hurting", library).day
    say = make_plan(day, 0.0, library).say
    assert say is not None
    values = dict(say.values)
    assert (say.key, values["part"]) == ("plan-sparing", part)
    assert 1 <= int(values["left"]) <= 25
    assert part not in str(values["parts"]).split()


@pytest.mark.parametrize("minute", [0, 2, 20])
@pytest.mark.parametrize("part", list(Part))
def test_whoever_may_not_climb_or_hang_any_more_is_asked_no_check(part: Part, minute: int) -> None:
    """What is left is gentle: no answer to a check could hold anything back or let anything in."""
    library = load_library("full", "tarnwick", ())
    for answer in hurts(part):
        day = open_day(ADULT, 90, library)
        steps = make_plan(day, 0.0, library).steps
        now = 0.0
        while steps and now < minute * 60:
            now += steps[0].lead + steps[0].seconds
            steps = steps[1:]
        change = adapt(day, steps, now, 1, answer, "", library)
        asked = [step.question for step in change.steps[1:] if step.question in gates.GATES]
        assert asked == []


@pytest.mark.parametrize("part", list(Part))
def test_the_other_of_two_is_still_asked(part: Part) -> None:
    library = load_library("full", "tarnwick", ())
    pair = (Person(1, age=AgeBand.ADULT), Person(2, age=AgeBand.ADULT))
    day = open_day(pair, 90, library)
    steps = make_plan(day, 0.0, library).steps
    left = adapt(day, steps, 0.0, 1, Answer(Meaning.HURT, part), "", library).steps
    asked = [
        (step.question, form.who)
        for step in left
        for form in step.forms
        if step.question in gates.GATES
    ]
    assert {who for _, who in asked} == {2}
    assert {"gate-body", "gate-shoulders", "gate-fingers"} <= {question for question, _ in asked}


def test_the_judge_finds_a_fault() -> None:
    """A hang with hurting wrists, and a stretch that nobody has looked at."""
    assert poses.uses("largest-hang", "wrists")
    assert poses.uses("palm-stretch", "fingers")
    assert all(poses.uses("never-seen", part) for part in Part)
    assert not any(poses.uses("quiet-breaths", part) for part in Part)
    found = [pair for pair in product(poses.SEEN, Part) if not poses.uses(*pair)]
    assert len(found) > 100


@pytest.mark.no_cover
def test_no_random_day_uses_what_hurts() -> None:
    """Some hundreds of the days of the bench, which runs 20,000."""
    assert [one for number in range(300) for one in spared.day_of(number)] == []
