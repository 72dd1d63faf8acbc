"""One's own usual: median, spread and slow drift of a row of like measurements.

Sources: median absolute deviation with b = 1.4826, Leys et al., J Exp Soc Psychol 2013,
49(4):764-766. Exponentially weighted moving average chart, NIST/SEMATECH e-Handbook of
Statistical Methods, 6.3.2.4.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import median

from coach.planning.edge import LEAST_CHECKS

#: Makes the median absolute deviation an estimate of the standard deviation of normal data.
B = 1.4826
#: Weight of the newest value, and width of the limits in standard deviations: NIST's example.
WEIGHT = 0.3
WIDTH = 3.0


@dataclass(frozen=True, slots=True)
class Baseline:
    """The centre and spread that values are compared with."""

    centre: float
    spread: float


def mad(values: Sequence[float]) -> float:
    """B times the median distance from the median; ValueError for no values."""
    centre = median(values)
    return B * median(abs(value - centre) for value in values)


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
