"""A few days of each kind of climber by fixed seeds; `python -m tests.bench.days` has thousands."""

import pytest

from tests.days.judges import JUDGES
from tests.days.living import KINDS, live


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("faults", [False, True], ids=["", "bad device"])
def test_a_day_breaks_no_promise(kind: str, *, faults: bool) -> None:
    seed = 1000 + KINDS.index(kind) + 100 * faults
    day = live(seed, kind, faults=faults)
    assert {name: told for name, judge in JUDGES.items() if (told := judge(day))} == {}
