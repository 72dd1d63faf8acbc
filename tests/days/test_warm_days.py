"""A few of the random days of `python -m tests.bench.warm_days`: rests, doses and gates."""

import pytest

from tests.bench.warm_days import lived, wrong


@pytest.mark.no_cover
@pytest.mark.parametrize("number", [33, 100, 106, 123, 255, 258])
def test_a_random_day_keeps_its_rests_doses_and_gates(number: int) -> None:
    assert wrong(lived(number)) == []
