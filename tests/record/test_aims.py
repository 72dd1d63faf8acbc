"""The one line of an aim at the check-in: a fact, never what was missed."""

from datetime import date

import pytest

from coach.model.aim import Aim, AimKind
from coach.model.facts import StepEnded, Tried
from coach.record.aim_progress import aim_lines, at_check_in, open_aims
from tests.record.days import entry
from tests.session.stage import LANGUAGE

TODAY = date(2026, 3, 5)
DOSE = Aim("d", AimKind.DOSE, "hangs", minutes=10.0)
FOCUS = Aim("f", AimKind.FOCUS, "quiet-feet")
BOULDER = Aim("b", AimKind.BOULDER, "slate 4", "2026-03-15")
HANG = StepEnded(9.0, 1, "board.1", "", "stay", "board", 10.0, 180.0, 180.0, "done", "")
TOP = Tried(1.0, 1, "slate 4", 1, "topped", 9.0)


def line(*aims: Aim, days: tuple[float, ...] = (), fact: object = HANG) -> str:
    """What is said of the aims after sessions on some days after Monday the 2nd."""
    told = at_check_in(aims, [entry(day, fact) for day in days], TODAY)  # type: ignore[arg-type]
    return LANGUAGE.text(told) if told is not None else ""


def test_nothing_is_said_where_there_is_no_aim() -> None:
    assert line() == ""


@pytest.mark.parametrize(
    ("by", "said"),
    [
        ("", "You are after 6C."),
        ("2026-03-05", "You are after 6C."),
        ("2026-03-06", "You are after 6C, with a day to go."),
        ("2026-03-15", "You are after 6C, with 10 days to go."),
        ("2026-03-01", "You are after 6C."),
    ],
)
def test_a_grade_has_its_days_until_its_date_and_none_after(by: str, said: str) -> None:
    assert line(Aim("g", AimKind.GRADE, "6C", by)) == said


def test_a_dose_tells_what_is_there_and_not_what_is_missing() -> None:
    assert line(DOSE) == "Your aim is 10 minutes of hangs this week."
    assert line(DOSE, days=(0.0, 1.0)) == "Your aim is 10 minutes of hangs this week, 6 so far."


def test_a_missed_week_is_not_mentioned() -> None:
    assert line(DOSE, days=(-7.0, -14.0)) == "Your aim is 10 minutes of hangs this week."


def test_a_favoured_focus_is_named_by_its_title() -> None:
    assert line(FOCUS) == "You favour Quiet feet these days."


def test_the_nearest_date_comes_first_then_a_dose_then_the_others() -> None:
    later = Aim("a", AimKind.GRADE, "6C", "2026-04-01")
    assert line(FOCUS, DOSE, later, BOULDER).startswith("You are after slate 4")
    assert line(FOCUS, DOSE).startswith("Your aim is 10 minutes")
    past = Aim("a", AimKind.GRADE, "6C", "2026-03-01")
    assert line(past, DOSE).startswith("Your aim is 10 minutes")


def test_a_boulder_that_was_topped_is_no_aim_any_more() -> None:
    assert line(BOULDER, days=(0.0,), fact=TOP) == ""
    assert line(BOULDER, FOCUS, days=(0.0,), fact=TOP).startswith("You favour")


def test_a_list_of_aims_tells_of_this_week_alone() -> None:
    days = [entry(number, HANG) for number in (-1.0, 0.0, 1.0, 3.0, 4.0)]  # Sunday ... Friday
    thrice = Aim("t", AimKind.DOSE, "hangs", times=3)
    assert aim_lines([DOSE, thrice], days, TODAY) == [
        "hangs: 9 of 10 min this week",
        "hangs: 3 of 3 times this week",
    ]
    told = at_check_in([thrice], days, TODAY)
    assert told is not None
    assert dict(told.values) == {"what": "hangs", "times": 3, "done": 3}


def test_a_list_of_aims_tells_how_often_it_was_tried() -> None:
    below = Tried(1.0, 1, "slate 4", 1, "top", 9.0)
    assert aim_lines([BOULDER], [], TODAY) == ["boulder slate 4 by 15 Mar 2026"]
    tried = [entry(0, below), entry(1, below)]
    assert aim_lines([BOULDER], tried, TODAY)[0].endswith("2026: 2 tries so far")
    assert aim_lines([BOULDER], [entry(0, TOP)], TODAY)[0].endswith("2026: topped")
    two = Aim("c", AimKind.GRADE, "slate", count=2)
    one = Aim("c", AimKind.GRADE, "slate", count=1)
    assert aim_lines([two, one], [], TODAY) == ["grade slate: 0 of 2 topped", "grade slate"]
    assert aim_lines([two, one], [entry(0, TOP)], TODAY) == [
        "grade slate: 1 of 2 topped",
        "grade slate: 1 of 1 topped",
    ]


def test_of_equal_aims_the_one_that_was_set_first_is_told() -> None:
    others = [Aim(uid, AimKind.FOCUS, uid) for uid in ("c", "a", "b")]
    assert [aim.uid for aim in open_aims(others, [], TODAY)] == ["a", "b", "c"]
    dated = Aim("z", AimKind.GRADE, "7A", "2026-03-05")
    past = Aim("y", AimKind.GRADE, "7A", "2026-03-04")
    order = [aim.uid for aim in open_aims([*others[:1], past, DOSE, dated], [], TODAY)]
    assert order == ["z", "d", "c", "y"]
