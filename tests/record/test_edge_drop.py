"""A drop of the edge reading is seen after a year of progress; a year without one gives few alarms.

The shares of the bench, which has more of them: `python -m tests.bench.readings`.
"""

import pytest

from tests.bench import readings


@pytest.mark.parametrize(
    ("rise", "variation", "checks", "least"),
    [(0.1, 0.0204, 1, 0.75), (0.2, 0.0204, 3, 0.8), (0.2, 0.0337, 3, 0.55)],
)
def test_a_drop_of_a_tenth_is_seen(
    rise: float, variation: float, checks: int, least: float
) -> None:
    """The lower bound of the share, of 60 climbers after twelve months of getting stronger."""
    assert readings.seen(60, rise, variation, checks).bounds[0] >= least


def test_a_year_like_a_stable_series_gives_few_alarms() -> None:
    """The upper bound, with mean and spread of the NIST/SEMATECH handbook's stable series."""
    assert readings.false(12, *readings.NIST).bounds[1] <= 0.04
