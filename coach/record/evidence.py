"""How sure a small record can be of a difference: tests and intervals, exact or named.

Owns the arithmetic of "what helped". Nothing here knows what is compared.

- `wilson`: Wilson's interval of a share (Newcombe 1998, Stat Med 17:857-872, method 3).
- `wager`: a test martingale on the signs of pairs. Whoever looks after every session may stop when
  they like: under no effect it passes 1/a with a chance of at most a (Ville 1939, from memory).
- `splits`: the exact two-sided randomisation test of two groups (Fisher's, by their means).
- `shrunken`, `shrunken_gap`: a mean difference drawn towards no effect by its own uncertainty.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import exp, inf, lgamma, log, sqrt
from statistics import fmean, stdev

#: Pairs below which nothing is claimed: with five, even all of one sign give p = .0625.
LEAST_PAIRS = 6
#: Powers of e that a number can hold.
MOST_POWER = 700.0
#: Two-sided 95 % of the normal distribution.
Z95 = 1.959964


def splits(one: Sequence[float], other: Sequence[float]) -> float:
    """The chance, where nothing differs, of two means at least as far apart; 1 of an empty group.

    Every split of all values into groups of these sizes is looked at.
    """
    if not one or not other:
        return 1.0
    every, total = [*one, *other], sum(one) + sum(other)

    def far(first: float) -> float:
        return abs(first / len(one) - (total - first) / len(other))

    seen = far(sum(one)) - 1e-9
    found = [far(sum(some)) >= seen for some in combinations(every, len(one))]
    return sum(found) / len(found)


def wilson(successes: int, trials: int, z: float = Z95) -> tuple[float, float]:
    """The interval of a share; (0, 1) where nothing was tried."""
    if trials == 0:
        return 0.0, 1.0
    share, square = successes / trials, z * z
    middle = share + square / (2 * trials)
    half = z * sqrt(share * (1 - share) / trials + square / (4 * trials * trials))
    scale = 1 + square / trials
    return max((middle - half) / scale, 0.0), min((middle + half) / scale, 1.0)


def wager(better: int, worse: int) -> float:
    """What one unit has become that was laid on 'the signs are not even', by a uniform mixture.

    The mean over p of (2p)^better (2(1-p))^worse, which is 2^n B(better + 1, worse + 1). Infinite
    where no number is large enough: after a thousand pairs of one sign.
    """
    n = better + worse
    power = n * log(2.0) + lgamma(better + 1) + lgamma(worse + 1) - lgamma(n + 2)
    return exp(power) if power < MOST_POWER else inf


@dataclass(frozen=True, slots=True)
class Shrunken:
    """A difference with what is known of it."""

    pairs: int
    mean: float
    """As it was seen."""
    estimate: float
    """Drawn towards 0."""
    low: float
    high: float
    """The 95 % interval of the estimate."""


def shrunken(differences: Sequence[float], usual: float) -> Shrunken:
    """The mean difference under a normal prior about 0 whose spread is `usual` (our choice).

    Fewer than two differences say nothing: the interval is the prior's.
    """
    n = len(differences)
    if n < 2:
        return Shrunken(n, differences[0] if n else 0.0, 0.0, -Z95 * usual, Z95 * usual)
    mean = fmean(differences)
    error = max(stdev(differences) ** 2, (usual / 2.0) ** 2) / n
    prior = usual * usual
    weight = prior / (prior + error)
    half = Z95 * sqrt(weight * error)
    return Shrunken(n, mean, weight * mean, weight * mean - half, weight * mean + half)


def shrunken_gap(one: Sequence[float], other: Sequence[float], usual: float) -> Shrunken:
    """The difference of two groups' means under the same prior; `pairs` are the smaller group's.

    Groups of fewer than two say nothing: the interval is the prior's.
    """
    few = min(len(one), len(other))
    if few < 2:
        return Shrunken(few, 0.0, 0.0, -Z95 * usual, Z95 * usual)
    mean = fmean(one) - fmean(other)
    spread = (stdev(one) ** 2 * (len(one) - 1) + stdev(other) ** 2 * (len(other) - 1)) / (
        len(one) + len(other) - 2
    )
    error = max(spread, (usual / 2.0) ** 2) * (1 / len(one) + 1 / len(other))
    prior = usual * usual
    weight = prior / (prior + error)
    half = Z95 * sqrt(weight * error)
    return Shrunken(few, mean, weight * mean, weight * mean - half, weight * mean + half)
