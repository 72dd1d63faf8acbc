"""Today's edge check beside one's own usual."""

from dataclasses import replace
from statistics import median

import pytest

from coach.model.usual_edge import EdgeSetup, Usual
from coach.planning.edge_comparison import LEAST_CHECKS, Verdict, compare, is_low

SETUP = EdgeSetup("medium", "half-crimp", "off")
FEELS = (7, 8, 6, 7, 9, 7, 6, 8, 7, 8)


def usual(values: tuple[float, ...]) -> Usual:
    middle = median(values)
    spread = 1.4826 * median(abs(value - middle) for value in values)
    return Usual(SETUP, len(values), middle, spread)


def test_a_check_inside_the_spread_is_usual() -> None:
    """Computed with the constant of Leys et al. 2013: median 7, spread 1.4826, 4 is -2.023."""
    past = usual(FEELS)
    assert past.median == 7
    assert past.spread == pytest.approx(1.4826)
    assert (4 - past.median) / past.spread == pytest.approx(-2.023, abs=1e-3)
    assert compare(4, SETUP, past, step=1) is Verdict.USUAL
    assert compare(3, SETUP, past, step=1) is Verdict.LOW
    assert compare(11, SETUP, past, step=1) is Verdict.HIGH


def test_equal_checks_divide_by_no_zero() -> None:
    past = usual((7, 7, 8, 6, 7, 7, 8, 7))
    assert past.spread == 0
    assert compare(5, SETUP, past, step=1) is Verdict.USUAL
    assert compare(4, SETUP, past, step=1) is Verdict.LOW


@pytest.mark.parametrize(("checks", "verdict"), [(7, Verdict.NO_BASELINE), (8, Verdict.LOW)])
def test_a_baseline_takes_eight_checks(checks: int, verdict: Verdict) -> None:
    assert LEAST_CHECKS == 8
    assert compare(0, SETUP, Usual(SETUP, checks, 7, 1), step=1) is verdict


@pytest.mark.parametrize(
    "other",
    [
        EdgeSetup("small", "half-crimp", "off"),
        EdgeSetup("medium", "open", "off"),
        EdgeSetup("medium", "half-crimp", "on"),
        EdgeSetup("medium", "half-crimp", "off", "elbows bent"),
    ],
)
def test_another_edge_grip_or_posture_compares_with_nothing(other: EdgeSetup) -> None:
    """Basis: Bourne et al. 2011, J Appl Biomech 27(1):40-46, r < 0.1 between edges."""
    assert compare(0, other, usual(FEELS), step=1) is Verdict.NOT_COMPARABLE


@pytest.mark.parametrize(("checks", "percent"), [(8, 7.38), (12, 7.18), (60, 6.84)])
def test_a_reading_within_the_noise_is_usual(checks: int, percent: float) -> None:
    """2.5 times 2.7 %, more where few checks make the median; products computed by hand."""
    past = Usual(SETUP, checks, 40.0, 0.0)
    assert compare(40.0 * (1 - percent / 100) + 0.01, SETUP, past, step=0) is Verdict.USUAL
    assert compare(40.0 * (1 - percent / 100) - 0.01, SETUP, past, step=0) is Verdict.LOW


def test_a_reading_is_low_beside_the_past_of_the_same_hang_alone() -> None:
    """Of eight checks 7.38 % of 50 kg is 3.7 kg."""
    past = [Usual(SETUP, 8, 50.0, 0.0), Usual(EdgeSetup("small", "open", "off"), 8, 20.0, 0.0)]
    assert is_low(46.2, SETUP, past)
    assert not is_low(46.4, SETUP, past)
    assert not is_low(1.0, EdgeSetup("large", "open", "off"), past)
    assert not is_low(1.0, SETUP, [])


def test_three_readings_that_are_all_a_little_low_are_low_together() -> None:
    """The mean of three is out by 2.5 * 2.7 % * sqrt(1/3 + pi/80) of 50 kg: 2.06 kg."""
    past = Usual(SETUP, 40, 50.0, 0.0, recent=(47.7, 47.9), earlier=50.0)
    assert is_low(48.1, SETUP, [past])
    assert not is_low(48.3, SETUP, [past])
    assert not is_low(48.1, SETUP, [replace(past, recent=(49.9, 50.0))])
    assert not is_low(48.1, SETUP, [replace(past, earlier=None)])
