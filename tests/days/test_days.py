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


#: Days that broke a promise once: what was wrong, the seed, and the kind of climber.
BROKEN_ONCE = {
    "strength work right after the last hard try": (105968, "late"),
    "half a minute told after a pause, with nine seconds left": (105697, "curious by keys"),
    "no hard tries told of one, while the other's came": (107071, "contrary"),
    "boulders counted for those who sat them out": (900169, "curious by keys"),
    "another go was answered when its step was over": (1600042, "curious"),
    "a late count was shown and not taken": (1600075, "slow"),
    "easier was shown in the turn of another and not taken": (1700282, "curious"),
    "a second skip was shown before a question": (2100052, "curious"),
    "all done was shown between two goes and not taken": (1700034, "curious"),
    "a try that another's hurt cut short was called again unrested": (3001357, "sore"),
}


@pytest.mark.parametrize("what", BROKEN_ONCE)
def test_a_day_that_broke_a_promise_once_keeps_it(what: str) -> None:
    day = live(*BROKEN_ONCE[what])
    assert {name: told for name, judge in JUDGES.items() if (told := judge(day))} == {}
