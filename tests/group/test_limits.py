"""What is told of somebody means no less in a group, or in a roster, than alone.

The judge asks the planner for one person alone what they may still do, and compares: whatever a
group or a roster lets them do has to be among it.
"""

import itertools
from pathlib import Path

import pytest

from coach.group.gathering import Group
from coach.group.group_step import new_group
from coach.model.answers import Answer, Meaning
from coach.model.body import Feel, Part
from coach.model.day import Day
from coach.model.facts import StepEnded
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.planning import adapt, forms, open_day
from tests.group.runs import BOARDS, WALL, group, language, library, run

FEELS = (Feel.STIFF, Feel.TIRED, Feel.SORE, Feel.HURTING)
#: The parts that a person can be asked about by their own phrase.
PARTS = [part for part in Part if f"part:{part}" in language().answers]


def alone(age: AgeBand, part: Part, feel: Feel) -> Day:
    """The day of one person alone who told the same, every question after it closed carefully."""
    day = open_day((Person(1, age=age),), 60.0, library())
    change = adapt(day, (), 0.0, 1, Answer(Meaning.FEEL, part, feel), "hurting", library())
    return change.day


def allowed(day: Day, who: int) -> set[str]:
    """The movements that somebody may do."""
    of = forms.of(day, library())
    person = next(one for one in day.people if one.who == who)
    return {name for name, one in library().movements.items() if of.allowed(one, person)}


@pytest.mark.parametrize("part", PARTS)
def test_a_roster_means_no_less_than_one_person_alone(part: Part) -> None:
    for age, feel in itertools.product(AgeBand, FEELS):
        given = new_group(
            library(),
            Options((Person(1, age=age), Person(2, age=age)), 45.0, ((1, part, feel),)),
            (*BOARDS, WALL),
        )
        more = allowed(given.programme.day, 1) - allowed(alone(age, part, feel), 1)
        assert not more, (age, feel, more)
        for callout in given.programme.callouts:
            form = callout.doing(1)
            if form is not None:
                assert form.movement in allowed(alone(age, part, feel), 1)


@pytest.mark.no_cover
@pytest.mark.parametrize("part", PARTS)
@pytest.mark.parametrize("reply", ["", "tissue:joint", "tissue:muscle", "tissue:skin"])
def test_sore_told_on_the_way_means_no_less(part: Part, reply: str, tmp_path: Path) -> None:
    words = f"13:00 number one\n13:03 feel:sore\n13:08 part:{part}\n"
    words += f"13:16 {reply}\n" if reply else ""
    given = group((AgeBand.ADULT,) * 3, minutes=40)

    done, seen = run(given, words, tmp_path)

    day = open_day((Person(1, age=AgeBand.ADULT),), 60.0, library())
    day = adapt(day, (), 0.0, 1, Answer(Meaning.FEEL, part, Feel.SORE), "", library()).day
    assert not allowed(done.session.programme.day, 1) - allowed(day, 1)
    later = [f for f in seen.facts if isinstance(f, StepEnded) and f.who == 1 and f.at > 1500]
    assert {fact.movement for fact in later} <= allowed(day, 1)


def test_nobody_with_sore_fingers_is_given_a_hang(tmp_path: Path) -> None:
    _, seen = run(group(hurting=((1, Part.FINGERS, Feel.SORE),)), "", tmp_path)

    mine = [f for f in seen.facts if isinstance(f, StepEnded) and f.who == 1]
    assert not [f for f in mine if library().movements[f.movement].hang is not None]


def test_everybody_has_the_same_turns_whatever_their_limits() -> None:
    limited = group(hurting=((1, Part.FINGERS, Feel.HURTING), (3, Part.KNEES, Feel.SORE)))

    def turns(given: Group) -> dict[int, set[tuple[str, int]]]:
        found: dict[int, set[tuple[str, int]]] = {}
        for seat in given.programme.rota.seats:
            for who in given.programme.teams[seat.turn.who]:
                found.setdefault(who, set()).add((seat.turn.name, seat.turn.seconds))
        return found

    every = list(turns(limited).values())
    assert len(every) == 12
    assert all(one == every[0] for one in every)
