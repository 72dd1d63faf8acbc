"""A few spiteful days on which something hurts; `python -m tests.bench.hurting` has thousands."""

import pytest

from tests.days.hurting import live


@pytest.mark.no_cover
@pytest.mark.parametrize("seed", range(9000, 9012))
def test_nothing_that_was_told_to_hurt_is_loaded_forgotten_or_asked_how_hard(seed: int) -> None:
    assert live(seed) == []
