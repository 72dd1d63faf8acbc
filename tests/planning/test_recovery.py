"""The band of recovery against the published series."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.planning import recovery


@pytest.mark.parametrize(("seconds", "percent", "error"), [(90, 65.0, 2.8), (360, 85.5, 3.5)])
def test_phosphocreatine_meets_the_published_means(
    seconds: float, percent: float, error: float
) -> None:
    """Bogdanis et al. 1995, J Physiol 482(2):467-480: 65.0 +- 2.8 % and 85.5 +- 3.5 %."""
    assert recovery.phosphocreatine(seconds) == pytest.approx(percent, abs=0.01)
    assert error > 0.01
    assert recovery.phosphocreatine(0) == pytest.approx(19.7)


def test_half_of_phosphocreatine_is_back_within_the_published_half_time() -> None:
    """Bogdanis et al. 1995: half-time 56.6 +- 7.3 s from a power function; 57.5 s computed."""
    half = 19.7 + (100 - 19.7) / 2
    reached = next(t / 10 for t in range(3000) if recovery.phosphocreatine(t / 10) >= half)
    assert abs(reached - 56.6) <= 7.3
    assert reached == pytest.approx(57.5, abs=0.2)


@pytest.mark.parametrize(
    ("seconds", "first", "half"),
    [(30, 41.8, 8.6), (60, 54.6, 16.4), (90, 60.1, 23.6), (120, 63.6, 30.1), (180, 69.0, 41.6),
     (300, 77.2, 59.2), (360, 80.5, 65.9)],
)  # fmt: skip
def test_series_match_their_formulas(seconds: float, first: float, half: float) -> None:
    """Computed from the published constants: checks the code, not the publication."""
    assert recovery.work_capacity(seconds) == pytest.approx(first, abs=0.06)
    assert recovery.half_time(seconds) == pytest.approx(half, abs=0.06)


def test_the_second_recovery_falls_behind_as_published() -> None:
    """Chorley et al. 2022: 9.1 +- 7.3 points less at 180 s, 8.2 +- 9.8 at 240 s."""
    for seconds, drop, error in ((180, 9.1, 7.3), (240, 8.2, 9.8)):
        found = recovery.work_capacity(seconds) - recovery.work_capacity(seconds, slow=716.0)
        assert abs(found - drop) <= error
    assert recovery.work_capacity(232) > 50  # half is back well before the slow series has it


def test_half_is_back_after_the_published_half_time() -> None:
    """Skiba et al. 2015, Eur J Appl Physiol 115(4):703-713: 232 s."""
    assert recovery.half_time(232) == pytest.approx(50)


@pytest.mark.parametrize(
    ("percent", "seconds"), [(50, 45.4), (75, 263.7), (80, 350.3), (90, 619.2)]
)
def test_the_two_component_series_inverts(percent: float, seconds: float) -> None:
    """Computed: checks the code against the formula."""
    assert recovery.work_capacity(seconds) == pytest.approx(percent, abs=0.02)


@given(st.floats(0, 5000), st.floats(0, 5000))
def test_the_band_is_bounded_and_grows(one: float, other: float) -> None:
    low, high = recovery.band(one)
    assert 0 <= low <= high <= 100
    if other >= one:
        assert recovery.band(other)[0] >= low
        assert recovery.band(other)[1] >= high


def test_suggested_rest_is_a_range_that_holds_the_published_values() -> None:
    """White and Olsen 2010: 114 +- 31 s; ACSM 2009: 2 to 3 min; grip strength: 235 s."""
    least, most = recovery.suggested("hard")
    assert least <= 114 + 31 <= most
    assert least <= 120
    assert most >= 180
    assert most >= 235
    assert least < recovery.PLANNED < most


def test_attempt_to_rest_ratio_of_the_planned_rest_is_no_denser_than_observed() -> None:
    """White and Olsen 2010: rest 114 s to work 28.9 s, printed as about 4 to 1."""
    assert pytest.approx(3.945, abs=0.1) == 114 / 28.9
    assert recovery.PLANNED / 28.9 >= 114 / 28.9


@given(st.integers(0, 600), st.integers(0, 600))
def test_rest_between_rounds_makes_up_what_the_others_leave(others: int, wanted: int) -> None:
    rest = recovery.between(others, wanted)
    assert rest >= 0
    assert rest + others >= recovery.LEAST
    assert rest + others >= (wanted or recovery.PLANNED)


def test_longer_rests_teach_by_themselves() -> None:
    assert recovery.learnt([(200, 300)]) == 0
    assert recovery.learnt([(200, 300), (200, 210)]) == 0
    assert recovery.learnt([(200, 100), (200, 300), (200, 260)]) == 260
    assert recovery.learnt([(200, 900), (200, 900)]) == recovery.LONGEST


@given(st.lists(st.tuples(st.just(200.0), st.floats(0, 600)), max_size=5))
def test_what_early_ends_suggest_leaves_the_least(rests: list[tuple[float, float]]) -> None:
    sooner = recovery.early(rests, 200.0)
    assert 0 <= sooner <= 200.0 - recovery.LEAST
    if sooner:
        assert all(taken < suggested for suggested, taken in rests[-3:])


def test_fewer_than_three_early_ends_suggest_nothing() -> None:
    assert recovery.early([(200, 100)] * 2, 200.0) == 0
    assert recovery.early([(200, 100)] * 3, 200.0) == 200.0 - recovery.LEAST
    assert recovery.early([(200, 150)] * 3, 200.0) == 50
    assert recovery.early([(200, 100)] * 3, 100.0) == 0
