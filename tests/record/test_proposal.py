"""The whole proposal, from days made by hand: what was usual, what is less, and which day."""

from dataclasses import replace
from datetime import date, timedelta
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.model.body import Feel, Part
from coach.record.entry import Entry
from coach.record.proposal import Beside, propose
from coach.record.standing import Stands
from coach.record.suggest import Grounds, Suggestion
from coach.record.trial import Trial
from tests.bench.years import Truth, year
from tests.record.days import MONDAY, ended, entry, on

DAY = MONDAY.date()
#: Places and routines that there are.
THERE = Beside(routines=frozenset({"full", "board"}), places=frozenset({"Old Sluice", "Quay"}))


def whole(day: float, tries: int = 0, rest: float = 0.0, minutes: float = 90.0) -> Entry:
    """A session with so many tries whose end was told, after so much rest each."""
    made = entry(day, ended(minutes))
    told = (("slate 4", "middle"),) * tries
    rests = ((180.0, rest),) * (max(tries - 1, 0) if rest else 0)
    return replace(made, digest=replace(made.digest, tried=told, rests=rests))


def proposal(entries: list[Entry], today: float, beside: Beside = THERE) -> Suggestion:
    return propose(Grounds(entries, DAY + timedelta(days=today)), beside)


def reasons(made: Suggestion) -> list[str]:
    return [one.text for one in made.reasons]


@given(
    st.lists(st.sampled_from(["full", "board", "gone"]), max_size=16),
    st.lists(st.sampled_from(["Old Sluice", "Quay", "gone"]), min_size=16, max_size=16),
)
def test_a_routine_or_place_is_usual_in_three_of_the_latest_twelve(
    routines: list[str], places: list[str]
) -> None:
    days = [
        replace(whole(3 * n), routine=routine, place=places[n])
        for n, routine in enumerate(routines)
    ]
    made = proposal(days, 60)
    for told, proposed, there in (
        (routines, made.routine, THERE.routines),
        (places[: len(routines)], made.place, THERE.places),
    ):
        latest = told[-12:][::-1]
        # of those that came as often the one that came last
        first = max(dict.fromkeys(latest), key=latest.count, default="")
        fits = first in there and latest.count(first) >= 3
        assert proposed == (first if fits else "")
        name = "Routine" if told is routines else "Place"
        why = f"{name} {first}: {latest.count(first)} of your last {len(latest)} sessions."
        assert (why in reasons(made)) == fits


@given(
    st.lists(st.integers(0, 6), min_size=1, max_size=20),
    st.integers(0, 7),
    st.sampled_from(["", "easier", "not-today"]),
)
def test_the_day_is_the_next_usual_one(weekdays: list[int], today: int, answer: str) -> None:
    """One session a week, on the weekday that is told; the day is found by walking on from now."""
    days = [whole(7 * week + weekday) for week, weekday in enumerate(weekdays)]
    now = DAY + timedelta(days=7 * len(weekdays) + today)
    made = propose(Grounds(days, now), replace(THERE, answer=answer))
    latest = weekdays[-12:]
    usual = [day for day in range(7) if latest.count(day) >= 3]
    assert made.hard_from is not None
    earliest = max(made.hard_from, now + timedelta(days=1) if answer == "not-today" else now)
    names = "Monday Tuesday Wednesday Thursday Friday Saturday Sunday".split()
    told = [one for one in reasons(made) if one.startswith("You mostly climb on")]
    if not usual:
        assert told == []
        assert made.day == (earliest if earliest > now else None)
        return
    assert made.day is not None
    assert made.day >= earliest
    assert made.day.weekday() in usual
    between = (made.day - earliest).days
    assert not any((earliest + timedelta(days=n)).weekday() in usual for n in range(between))
    (one,) = told
    assert [name for name in names if name in one] == [names[day] for day in usual]


def test_no_day_is_named_while_hard_tries_are_ruled_out() -> None:
    hurt = (Stands(DAY, Part.WRISTS, "", Feel.HURTING),)
    made = propose(Grounds([whole(7 * n) for n in range(4)], DAY + timedelta(days=30), hurt), THERE)
    assert made.hard_from is None
    assert made.day is None


@pytest.mark.parametrize(
    ("minutes", "less"),
    # seven tenths, as a nearest five minutes; never under twenty, and never more than was usual
    [(120, 85), (90, 65), (60, 40), (30, 20), (25, 20), (20, 20), (15, 15)],
)
def test_an_easier_day_is_shorter(minutes: float, less: int) -> None:
    days = [whole(7 * n, minutes=minutes) for n in range(3)]
    made = proposal(days, 16, replace(THERE, answer="easier"))
    assert made.minutes == less
    assert made.answered == "easier"
    assert made.kind == "an easier day"
    assert "You asked for an easier day." in reasons(made)
    plain = proposal(days, 16)
    assert (plain.minutes, plain.kind, plain.answered) == (minutes, "a full session", "")


def test_an_easier_day_has_half_of_the_tries_that_were_left_or_two() -> None:
    days = [whole(7 * n) for n in range(3)]
    assert proposal(days, 16).most_tries is None
    assert proposal(days, 16, replace(THERE, answer="easier")).most_tries == 2
    # after three weeks away the week is an easier one already: half of six, and half of that
    away = [whole(7 * n, tries=6) for n in range(3)]
    assert proposal(away, 14 + 21).most_tries == 3
    easier = proposal(away, 14 + 21, replace(THERE, answer="easier"))
    assert easier.most_tries == 2
    assert easier.kind == proposal(away, 14 + 21).kind == "a first day back"


def test_the_lesson_is_that_of_the_boulder_that_waits() -> None:
    lesson = replace(THERE, lesson=lambda boulder: f"begin low on {boulder}")
    assert proposal([whole(0, tries=2)], 4, lesson).lesson == "begin low on slate 4"
    assert proposal([whole(0)], 4, lesson).lesson == ""


def trial(days: list[Entry], today: float, beside: Beside = THERE) -> str:
    """What is proposed to be tried on a day."""
    return proposal(days, today, replace(beside, now=on(today))).trial


def test_a_minute_more_than_the_usual_rest_is_proposed_to_be_tried() -> None:
    """The median of the latest twelve sessions, and what was rested before counts no more."""
    days = [whole(3 * n, tries=3, rest=90.0) for n in range(13)]
    days += [whole(3 * n, tries=3, rest=150.0 if n % 3 else 300.0) for n in range(13, 25)]
    assert trial(days[:4], 14) == (
        "rest 2:30 between hard tries for 4 sessions; then we look. coach trial rest 2:30"
    )
    # offered at two sessions of twenty-six that follow each other, and then another change
    assert trial(days[:5], 17).startswith("rest 2:30")
    assert trial(days[:6], 20) == ""
    longer = [whole(3 * n, tries=3, rest=90.0) for n in range(20)]
    longer += [whole(60 + 3 * n, tries=3, rest=150.0 if n % 3 else 300.0) for n in range(12)]
    told = [replace(one, with_others=1) for one in longer[:-4]] + longer[-4:]
    assert trial(told, 98).startswith("rest 3:30")
    assert proposal(told, 98).trial == ""


def test_no_rest_is_proposed_where_none_is_known_or_the_day_is_not_a_full_one() -> None:
    days = [whole(3 * n, tries=6) for n in range(4)]
    assert trial(days, 12) == (
        "stop after 4 hard tries for 4 sessions; then we look. coach trial tries 4"
    )
    assert trial(days, 10) == ""  # the day after hard tries
    assert trial([whole(3 * n, tries=3) for n in range(4)], 12) == ""


def test_what_the_record_can_tell_is_told_and_kept_to() -> None:
    """A climber whose tries fall after the fourth, and go lower with less than three and a half."""
    days, _ = year(Random("tired 0"), Truth(best=210.0, short=1.0, last=4, tires=0.8), 90)
    today = days[-1].day + timedelta(days=3)
    made = propose(Grounds(days, today), THERE)
    rest = next(one for one in made.learnt if one.startswith("More rest than about "))
    minutes, seconds = rest.removeprefix("More rest than about ").split(" ")[0].split(":")
    assert abs(60 * int(minutes) + int(seconds) - 210) <= 60
    after = next(one for one in made.learnt if one.startswith("Your tries fell after number "))
    number = int(after.removeprefix("Your tries fell after number ").split(" ")[0])
    assert number in (3, 4, 5)
    assert made.most_tries is not None
    assert made.most_tries <= number
    why = f"Hard tries fell after number {number} of the day: no more than that."
    assert (why in reasons(made)) == (made.most_tries == number)


def test_a_trial_that_is_over_is_told() -> None:
    days = [whole(3 * n, tries=3) for n in range(12)]
    beside = replace(THERE, trials=(Trial("tries", "2", on(22)),))
    (told,) = proposal(days, 40, beside).learnt
    assert told.startswith("stop after 2 hard tries: no difference")
    assert told.endswith(").")
    assert proposal(days, 40).learnt == []


def test_an_empty_record_proposes_no_day() -> None:
    made = propose(Grounds([], date(2026, 3, 2)), THERE)
    assert (made.day, made.routine, made.place, made.trial) == (None, "", "", "")
