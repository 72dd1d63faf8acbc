"""The arithmetic of what helped, against published worked examples and SciPy."""

from datetime import UTC, datetime, timedelta
from math import comb

import numpy as np
import pytest
from scipy import stats

from coach.record.comparisons import helped
from coach.record.digest import Digest
from coach.record.entry import Entry
from coach.record.evidence import (
    Z95,
    shrunken,
    shrunken_gap,
    splits,
    wager,
    wilson,
)


@pytest.mark.parametrize(
    ("successes", "trials", "low", "high"),
    [
        # Newcombe 1998, Stat Med 17:857-872, Table I, method 3
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0000, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_wilson_as_published(successes: int, trials: int, low: float, high: float) -> None:
    assert wilson(successes, trials) == pytest.approx((low, high), abs=5e-5)
    other = stats.binomtest(successes, trials).proportion_ci(0.95, "wilson")
    assert wilson(successes, trials) == pytest.approx((other.low, other.high), abs=1e-6)


def test_a_wager_is_fair_whatever_comes() -> None:
    """Under even signs its mean after any number of pairs is 1: what Ville's bound rests on."""
    for n in range(1, 25):
        mean = sum(comb(n, k) / 2**n * wager(k, n - k) for k in range(n + 1))
        assert mean == pytest.approx(1.0)


def test_a_wager_that_no_number_can_hold_is_won() -> None:
    assert wager(1000, 0) > 1e290
    assert wager(20_000, 0) == wager(0, 20_000) == float("inf")


def test_looking_after_every_pair_rarely_wins_by_chance() -> None:
    dice = np.random.default_rng(7)
    signs = dice.random((4000, 150)) < 0.5
    won = 0
    for row in signs:
        better = np.cumsum(row)
        worse = np.arange(1, 151) - better
        won += any(wager(int(b), int(w)) >= 20 for b, w in zip(better, worse, strict=True))
    assert won / 4000 <= 0.05


def test_a_shrunken_mean_is_that_of_a_normal_prior() -> None:
    told = [0.4, 0.9, -0.2, 0.7, 0.5, 0.1, 0.8]
    made = shrunken(told, 0.5)
    error = max(float(np.var(told, ddof=1)), 0.0625) / len(told)
    post = 1 / (1 / 0.25 + 1 / error)
    assert made.estimate == pytest.approx(post * float(np.mean(told)) / error)
    assert made.high - made.low == pytest.approx(2 * Z95 * np.sqrt(post))
    assert 0 < made.estimate < made.mean
    assert made.pairs == 7
    assert made.mean == pytest.approx(np.mean(told))
    assert (made.low + made.high) / 2 == pytest.approx(made.estimate)


@pytest.mark.parametrize("seed", range(8))
def test_splits_are_those_of_an_independent_package(seed: int) -> None:
    dice = np.random.default_rng(seed)
    one = list(dice.normal(0.4, 1.0, 4))
    other = list(dice.normal(0.0, 1.0, int(dice.integers(4, 9))))
    made = stats.permutation_test(
        (one, other),
        lambda a, b: np.mean(a) - np.mean(b),
        permutation_type="independent",
        n_resamples=np.inf,
        alternative="two-sided",
    )
    # SciPy doubles the smaller tail; ours counts both tails as they are
    both = np.abs(made.null_distribution) >= abs(made.statistic) - 1e-9
    assert splits(one, other) == pytest.approx(np.mean(both))


def test_least_p_of_few_splits() -> None:
    # published number of splits: 5 of 10 are 252; 4 beside 4 can't come below 2 of 70
    assert splits([9.0, 8, 7, 6, 5], [4.0, 3, 2, 1, 0]) == pytest.approx(2 / 252)
    assert splits([9.0, 8, 7, 6], [3.0, 2, 1, 0]) == pytest.approx(2 / 70)
    assert splits([], [1.0]) == 1.0


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ([1.0, 1.4, 0.8, 1.6], [0.2, 0.9, 0.5, 0.1, 0.7]),
        ([3.0, -1.0], [0.5, 2.5, -2.0]),
        ([0.5, 2.5, -2.0], [1.0, 3.0]),
    ],
)
def test_a_gap_is_drawn_to_nothing(one: list[float], other: list[float]) -> None:
    made = shrunken_gap(one, other, 0.5)
    plain = stats.ttest_ind(one, other)
    assert made.pairs == min(len(one), len(other))
    assert made.mean == pytest.approx(np.mean(one) - np.mean(other))
    error = max((made.mean / plain.statistic) ** 2, 0.0625 * (1 / len(one) + 1 / len(other)))
    weight = 0.25 / (0.25 + error)
    assert made.estimate == pytest.approx(weight * made.mean)
    assert (made.low + made.high) / 2 == pytest.approx(made.estimate)
    assert made.high - made.low == pytest.approx(2 * Z95 * np.sqrt(weight * error))


def test_fewer_than_two_tell_no_more_than_was_thought_before() -> None:
    """The interval is that of a normal prior with the usual spread, by its 95 % quantiles."""
    low, high = stats.norm(0, 0.5).interval(0.95)
    for made, pairs in (
        (shrunken_gap([1.0], [2.0, 3.0], 0.5), 1),
        (shrunken_gap([1.0, 2.0], [3.0], 0.5), 1),
        (shrunken_gap([], [3.0, 4.0], 0.5), 0),
        (shrunken([], 0.5), 0),
        (shrunken([3.0], 0.5), 1),
    ):
        assert (made.pairs, made.estimate) == (pairs, 0.0)
        assert (made.low, made.high) == pytest.approx((low, high), abs=1e-5)
    assert shrunken([3.0], 0.5).mean == 3.0
    assert shrunken([3.0, 1.0], 0.5).estimate != 0.0


def _twice(results: list[tuple[str, str]]) -> list[Entry]:
    """A session a week, with two tries on one boulder in each."""
    begun = datetime(2026, 1, 5, 18, 0, tzinfo=UTC)
    return [
        Entry(
            n,
            f"s{n}",
            begun + timedelta(days=7 * n),
            "full",
            75,
            "hall",
            1,
            0,
            "done",
            Digest(tried=(("slate 3", first), ("slate 3", second))),
        )
        for n, (first, second) in enumerate(results)
    ]


def test_what_most_sessions_showed_is_never_told_the_other_way() -> None:
    """Two of three went a step lower, the third three higher: no word of higher, or of lower."""
    mixed = [("middle", "start"), ("middle", "start"), ("start", "topped")]
    (again,) = [one for one in helped(_twice(mixed * 160)) if one.name == "again"]
    assert again.worse > again.better
    assert again.seen.estimate > 0
    assert not again.claimed
    assert "no difference" in again.text
    (fell,) = [one for one in helped(_twice(mixed[:2] * 40)) if one.name == "again"]
    assert fell.claimed
    assert "lower" in fell.text
