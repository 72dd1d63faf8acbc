"""What the days before tell of today."""

from datetime import date

import pytest

from coach.model.facts import Fact, Tried
from coach.record.recent_days import BREAK, Lately, lately
from tests.record.days import ended, entry

TRY = Tried(1.0, 1, "slate 4", 1, "middle", 9.0)


def march(day: int) -> date:
    """The entries count from Monday the 2nd of March."""
    return date(2026, 3, day)


def test_a_first_session_comes_after_nothing() -> None:
    assert lately([], march(2)) == Lately()


@pytest.mark.parametrize(("day", "away"), [(2 + BREAK - 1, False), (2 + BREAK, True)])
def test_a_break_is_two_weeks_without_a_session(day: int, away: bool) -> None:
    # two weeks are our choice
    assert lately([entry(0, ended(80))], march(day)).away is away


def test_a_session_in_which_nothing_was_done_ends_no_break() -> None:
    cut = entry(13, ended(0))
    assert lately([entry(0, ended(80)), cut], march(16)).away
    assert lately([cut], march(16)) == Lately()


@pytest.mark.parametrize(
    ("facts", "hard"),
    [
        ([TRY, ended(80)], True),
        ([ended(80, effort=7)], True),
        ([ended(80, effort=5)], False),
        ([ended(80, effort=None)], False),
    ],
)
def test_yesterday_was_hard_by_its_tries_or_its_effort(facts: list[Fact], hard: bool) -> None:
    assert lately([entry(0, *facts)], march(3)).hard is hard
    assert lately([entry(0, *facts)], march(2)).hard is hard
    assert lately([entry(0, *facts)], march(4)).hard is False


def test_a_session_of_tomorrow_tells_nothing_yet() -> None:
    assert lately([entry(5, TRY, ended(80))], march(4)) == Lately()
