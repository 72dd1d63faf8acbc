"""When less is proposed: each reason, and that a steady year is not nagged."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.model.body import Feel, Part
from coach.model.facts import Felt, Finished, RuleFired, Tried
from coach.record.entry import Entry
from coach.record.suggest import EASED, Grounds, suggest
from coach.record.weeks import BUILD, _eased, easier, weeks_of
from tests.record.days import ended, entry

#: Monday; entries count days from it.
MONDAY = date(2026, 3, 2)


def steady(weeks: int, effort: int = 5) -> list[Entry]:
    """Mondays, Wednesdays and Fridays, the same each week."""
    return [
        entry(7 * week + day, Finished(0.0, 0, 75 * 60.0, effort, "done"))
        for week in range(weeks)
        for day in (0, 2, 4)
    ]


def after(weeks: int, days: int = 0) -> date:
    return MONDAY + timedelta(days=7 * weeks + days)


def test_three_weeks_are_built_up_before_an_easier_one() -> None:
    asked = [easier(steady(weeks), after(weeks)) is not None for weeks in range(1, 13)]
    # common practice: three to one; whoever ignores it is asked again only after as many more
    assert asked == [False, False, True, False] * 3
    assert not any(easier(steady(w), after(w), None) for w in range(1, 13))


def test_once_a_week_is_never_counted() -> None:
    weekly = [one for one in steady(12) if one.day.weekday() == 0]
    assert not any(easier(weekly[:n], after(n)) for n in range(1, 13))


def test_an_easier_week_starts_the_count_anew() -> None:
    every = [one for one in steady(5) if one.day < after(3) or one.day >= after(4)]
    assert easier(every, after(5)) is None


def test_two_sore_parts_in_a_week() -> None:
    felt = [Felt(1.0, 1, part, Feel.SORE) for part in (Part.SHOULDERS, Part.FINGERS)]
    one = entry(0, *felt, ended(60))
    assert easier([one], after(0, 2)) is not None
    assert easier([one], after(1, 1)) is None
    assert easier([entry(0, felt[0], ended(60))], after(0, 2)) is None


def test_three_short_nights() -> None:
    short = RuleFired(0.0, 0, "short-of-sleep", "our choice")
    nights = [entry(day, short, ended(60)) for day in (0, 3, 6)]
    assert easier(nights, after(1)) is not None
    assert easier(nights[:2], after(1)) is None


def test_effort_up_and_results_down() -> None:
    def day(number: int, effort: int, result: str) -> Entry:
        tries = [Tried(float(n), 1, "slate 4", n, result, 9.0) for n in (1, 2, 3)]
        return entry(number, *tries, Finished(99.0, 0, 75 * 60.0, effort, "done"))

    before = [day(2 * n, 5, "top") for n in range(18)]
    today = MONDAY + timedelta(days=48)

    def asks(effort: int, result: str, sessions: int = 6, *, since: int = 0) -> bool:
        after = [
            day(36 + 2 * n, effort if n >= since else 5, result if n >= since else "top")
            for n in range(sessions)
        ]
        found = easier([*before, *after], today, None)
        return found is not None and "harder for what came of them" in found.because

    assert asks(6, "middle")
    assert asks(7, "top")
    # harder, and higher for it; harder of late; too few to say
    assert not asks(7, "topped")
    assert not asks(6, "top", since=1)
    assert not asks(7, "middle", sessions=5)


def test_four_all_out_days_a_week_are_no_ordinary_day() -> None:
    every = [
        entry(7 * week + day, Finished(0.0, 0, 90 * 60.0, 10, "done"))
        for week in range(10)
        for day in (0, 2, 4, 5)
    ]
    made = suggest(Grounds(every, after(9, 6)))
    assert made.kind == EASED
    assert made.minutes is not None
    assert made.minutes <= 65


def test_it_is_less_and_not_nothing() -> None:
    found = easier(steady(BUILD), after(BUILD))
    assert found is not None
    assert 0.5 <= found.minutes < 1.0
    assert 0.0 < found.tries < 1.0


@given(st.lists(st.tuples(st.integers(0, 120), st.integers(0, 10)), max_size=40))
def test_no_record_makes_it_ask_for_more(days: list[tuple[int, int]]) -> None:
    every = sorted(
        (entry(day, Finished(0.0, 0, 3600.0, effort, "done")) for day, effort in days),
        key=lambda one: one.begun,
    )
    found = easier(every, after(18))
    if found is not None:
        assert found.minutes < 1.0
        assert found.tries < 1.0
    loads = weeks_of(every, after(18))
    assert sum(len(week.sessions) for week in loads) == len(every)


@pytest.mark.parametrize("away", [13, 14, 40])
def test_after_two_weeks_away_it_begins_easier(away: int) -> None:
    last = steady(1)[-1]
    found = easier([replace(last)], last.day + timedelta(days=away))
    assert (found is not None) == (away >= 14)


@pytest.mark.parametrize("feel", [Feel.SORE, Feel.HURTING])
def test_sore_and_hurting_count_alike_for_a_week_of_two(feel: Feel) -> None:
    felt = [Felt(1.0, 1, part, feel) for part in (Part.SHOULDERS, Part.FINGERS)]
    found = easier([entry(0, felt[0]), entry(5, felt[1])], after(0, 6))
    assert found is not None
    assert found.because == "Two parts were sore within a week: fingers and shoulders."
    assert easier([entry(0, felt[0]), entry(5, felt[1])], after(1)) is None


@pytest.mark.parametrize(
    ("minutes", "tries", "eased"),
    # seven tenths of the minutes of the weeks before, or under half of their tries
    [((60, 60, 60, 42), (0,) * 4, True), ((60, 60, 60, 43), (0,) * 4, False),
     ((90, 60, 30, 42), (0,) * 4, True), ((60,) * 4, (6, 6, 6, 2), True),
     ((60,) * 4, (6, 6, 6, 3), False), ((60, 60, 0, 0), (0,) * 4, False)],
)  # fmt: skip
def test_a_week_that_was_easier_is_not_followed_by_another(
    minutes: tuple[int, ...], tries: tuple[int, ...], eased: bool
) -> None:
    """Three all-out days would ask for one; the seven days of each week end with its Sunday."""
    attempt = Tried(1.0, 1, "slate 4", 1, "top", 9.0)
    days = [
        entry(7 * week + day, *(attempt,) * tried, Finished(0.0, 0, 20.0 * long, 9, "done"))
        for week, (long, tried) in enumerate(zip(minutes, tries, strict=True))
        for day in (0, 3, 6)
        if long
    ]
    today = after(4)
    assert _eased(days, today) == eased
