"""One's own usual: median, spread and slow drift of a row of like measurements.

Sources: median absolute deviation with b = 1.4826, Leys et al., J Exp Soc Psychol 2013,
49(4):764-766. Exponentially weighted moving average chart, NIST/SEMATECH e-Handbook of
Statistical Methods, 6.3.2.4.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from math import isclose, sqrt
from statistics import median

from coach.planning.edge_comparison import LEAST_CHECKS

#: Makes the median absolute deviation an estimate of the standard deviation of normal data (Leys C
#: et al. 2013).
B = 1.4826
#: Weight of the newest value, and width of the limits in standard deviations, as in the example of
#: NIST/SEMATECH e-Handbook 6.3.2.4.
WEIGHT = 0.3
WIDTH = 3.0
#: Days after which a value weighs half (our choice; no source makes one). The shortest with which
#: one check a week still weighs like LEAST_CHECKS: (1 + r) / (1 - r) with r = 0.5 ** (7 / 21) is
#: 8.7. A steady rise is followed three weeks behind: at 30 % a year that is 1.7 %.
HALF_LIFE = 21.0
#: Values that are looked at: of two a week the earlier ones weigh less than a thousandth.
LATEST = 60


@dataclass(frozen=True, slots=True)
class Baseline:
    """The centre and spread that values are compared with."""

    centre: float
    spread: float


def mad(values: Sequence[float]) -> float:
    """B times the median distance from the median; ValueError for no values."""
    centre = median(values)
    return B * median(abs(value - centre) for value in values)


def weights(days: Sequence[date]) -> list[float]:
    """The weight of each day's value: that of the last day is 1, HALF_LIFE days earlier half."""
    last = days[-1].toordinal()
    return [_weight(last - day.toordinal()) for day in days]


@cache
def _weight(days: int) -> float:
    return float(0.5 ** (days / HALF_LIFE))


def worth(weighed: Sequence[float]) -> float:
    """How many values of equal weight these come to: the square of their sum by that of squares.

    Kish's effective size, as printed in Akinshin A, arXiv 2304.07265.
    """
    return sum(weighed) ** 2 / sum(one * one for one in weighed)


def weighted_median(values: Sequence[float], weighed: Sequence[float]) -> float:
    """The value with half of the weight on either side; between two that share it, their middle."""
    half = sum(weighed) / 2
    passed = 0.0
    # many checks share a value: only what differs is put in order
    of_each: dict[float, float] = {}
    for value, weight in zip(values, weighed, strict=True):
        of_each[value] = of_each.get(value, 0.0) + weight
    ordered = sorted(of_each.items())
    for number, (value, weight) in enumerate(ordered):
        passed += weight
        if isclose(passed, half) and number + 1 < len(ordered):
            return (value + ordered[number + 1][0]) / 2
        if passed > half:
            return value
    raise ValueError("no values")


def recent(days: Sequence[date], values: Sequence[float]) -> Baseline:
    """Median and MAD in which old values weigh less; ValueError for no values."""
    days, values = days[-LATEST:], values[-LATEST:]
    weighed = weights(days)
    centre = weighted_median(values, weighed)
    distances = [abs(value - centre) for value in values]
    return Baseline(centre, B * weighted_median(distances, weighed))


def baseline(values: Sequence[float], floor: float) -> Baseline | None:
    """Median and MAD; None under LEAST_CHECKS values.

    The MAD is at least `floor`, such as one step of the scale, so that a row of equal values does
    not make an alarm of the next one.
    """
    if len(values) < LEAST_CHECKS:
        return None
    return Baseline(median(values), max(mad(values), floor))


def ewma(values: Sequence[float], start: float, weight: float = WEIGHT) -> list[float]:
    """The moving average after each value, beginning from `start`."""
    found = []
    current = start
    for value in values:
        current = weight * value + (1 - weight) * current
        found.append(current)
    return found


def half_width(number: int, spread: float, weight: float = WEIGHT, width: float = WIDTH) -> float:
    """Distance of the limits from the centre at the number-th value, from 1."""
    steady = weight / (2 - weight)
    return width * spread * sqrt(steady * (1 - (1 - weight) ** (2 * number)))
