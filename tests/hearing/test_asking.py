"""At most six askings an hour of talk that nobody meant; what was meant costs none."""

from hypothesis import given
from hypothesis import strategies as st

from coach.hearing.asking import ANSWERED, HOUR, KEPT, MOST, Askings

heard = st.lists(
    st.tuples(st.floats(0.0, 900.0), st.sampled_from(["ask", "danger", "sure"])), max_size=80
)


@given(heard)
def test_in_no_hour_more_than_six_askings_come_to_nothing(steps: list[tuple[float, str]]) -> None:
    askings, at = Askings(), 0.0
    asked: list[float] = []
    for gap, what in steps:
        at += gap
        if what == "sure":
            askings.answered(at)
            if asked and at - asked[-1] <= ANSWERED:
                asked.pop()
        elif askings.allow(at, danger=what == "danger"):
            asked.append(at)
        assert sum(at - one < HOUR for one in asked) <= MOST


def test_the_last_are_kept_for_what_must_not_be_missed() -> None:
    askings = Askings()
    assert [askings.allow(n, danger=False) for n in range(6)] == [True] * 4 + [False] * 2
    assert [askings.allow(n, danger=True) for n in range(6, 9)] == [True] * KEPT + [False]
    assert askings.allow(HOUR + 1.0, danger=False) is False
    assert askings.allow(HOUR + 9.0, danger=False) is True


def test_an_asking_that_was_answered_costs_nothing() -> None:
    askings = Askings()
    for n in range(40):
        assert askings.allow(30.0 * n, danger=False)
        askings.answered(30.0 * n + 4.0)
    assert not askings.too_loud()


def test_that_it_is_too_loud_is_told_once() -> None:
    askings = Askings()
    told = [(askings.allow(n, danger=False), askings.too_loud())[1] for n in range(9)]
    assert told.count(True) == 1
    assert told.index(True) == MOST - KEPT - 1
