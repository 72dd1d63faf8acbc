"""A trial: one at a time, told once, rarely more than there is."""

from random import Random

import pytest

from coach.errors import UsageError
from coach.model.facts import Finished, Tried
from coach.record.breakpoints import best_rest, drop_off
from coach.record.entry import Entry
from coach.record.trial import (
    LENGTH,
    SHARE,
    Trial,
    outcome,
    outcomes,
    proposed,
    running,
    since,
    trial,
)
from tests.bench.years import Truth, year
from tests.record.days import entry, on


def day(number: float, *results: str) -> Entry:
    tries = [Tried(float(n), 1, "slate 4", n, r, 9.0) for n, r in enumerate(results, 1)]
    return entry(number, *tries, Finished(99.0, 0, 4500.0, 5, "done"))


def test_what_is_typed_is_a_trial_or_says_why_not() -> None:
    assert trial("rest", "4:00", on(0)) == trial("rest", "4", on(0))
    assert trial("rest", "4:30", on(0)).text == "rest 4:30 between hard tries"
    for what, value in (("rest", "1:30"), ("rest", "7"), ("rest", "x"), ("tries", "0"),
                        ("tries", "many")):  # fmt: skip
        with pytest.raises(UsageError):
            trial(what, value, on(0))
    with pytest.raises(UsageError) as told:
        trial("rest", "7", on(0))
    assert told.value.do == "From 2:00 to 6:00, as '4:00' or '4'."


def test_it_is_over_after_four_sessions_with_tries() -> None:
    one = Trial("rest", "240", on(10.5))
    days = [day(n, "start", "middle") for n in range(10)]
    after = [day(11), *(day(n, "top", "topped") for n in range(12, 18))]
    for n in range(len(after) + 1):
        held = [*days, *after[:n]]
        number = len(since(one, held))
        assert (running([one], number) is None) == (number >= LENGTH)
        assert (outcome([one], 0, held) is None) == (number < LENGTH)
    found = outcomes([one], [*days, *after])
    assert found[0].found == "higher"
    # every session of four beside every one of ten: 1 of 1001 splits, or with the other tail 1
    assert found[0].chance == pytest.approx(1 / 1001, abs=1e-9)
    assert outcomes([one.over(on(12))], [*days, *after]) == []


def test_a_later_trial_has_to_show_more() -> None:
    days = [day(n, *("start",) * 3) for n in range(6)]
    ahead = [day(20 + n, *("top",) * 3) for n in range(4)]
    trials = [Trial("tries", "3", on(19))] * 4
    claimed = [outcome(trials, n, [*days, *ahead]).claimed for n in range(4)]  # type: ignore[union-attr]
    # 4 beside 6: at best 1 of 210, .0048, of .0122 for the first and .0030 for the second
    assert claimed == [True, False, False, False]
    assert sum(SHARE * 6 / (3.141592653589793 * n) ** 2 for n in range(1, 100_000)) < SHARE


def test_one_is_proposed_at_a_time_and_none_asks_for_more() -> None:
    days = [day(n, *("start",) * 6) for n in range(4)]
    first = proposed([], days, 240.0, "quiet-feet", on(20))
    assert first is not None
    assert (first.what, first.value) == ("rest", "240")
    assert proposed([first], days, 240.0, "quiet-feet", on(21)) is None
    done = [*days, *(day(20.5 + n, *("start",) * 6) for n in range(4))]
    assert proposed([first], done, 240.0, "quiet-feet", on(30)) is None
    later = [*done, *(day(30 + n, *("start",) * 6) for n in range(4))]
    second = proposed([first], later, 240.0, "quiet-feet", on(40))
    assert second is not None
    assert (second.what, second.value) == ("tries", "4")
    assert proposed([], days[:3], 240.0, "quiet-feet", on(4)) is None


def test_who_begins_none_is_left_alone_for_long() -> None:
    days = [day(n, *("start",) * 6) for n in range(150)]
    asked = [
        (n, one.what)
        for n in range(151)
        if (one := proposed([], days[:n], 240.0, "quiet-feet", on(200))) is not None
    ]
    # two sessions beside each of which one is proposed, then more than twenty without any
    assert [n for n, _ in asked] == [first + n for first in range(4, 150, 26) for n in (0, 1)]
    kinds = [what for _, what in asked[::2]]
    assert kinds == ["rest", "tries", "focus"] * 2
    only = [proposed([], days[:n], 0.0, "", on(200)) for n in range(151)]
    assert {one.what for one in only if one} == {"tries"}


@pytest.mark.parametrize("seed", range(3))
def test_a_bend_is_found_where_there_is_one_and_none_where_not(seed: int) -> None:
    none, _ = year(Random(f"none {seed}"), Truth(), 60)
    assert best_rest(none) is None
    assert drop_off(none) is None
    tired, _ = year(Random(f"tired {seed}"), Truth(best=210.0, short=1.0, last=4, tires=0.8), 90)
    rest, tries = best_rest(tired), drop_off(tired)
    assert rest is not None
    assert rest.low <= 225 <= rest.high + 30
    assert tries is not None
    assert abs(tries.at - 4) <= 1
