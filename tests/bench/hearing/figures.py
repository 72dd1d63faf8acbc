"""Counts into figures with their bounds. Formulas by name, so that a reader can check them."""

import math


def most(events: int, hours: float) -> float:
    """One-sided 95 % upper bound of a rate an hour (exact, by the Poisson distribution)."""
    low, high = 0.0, events + 10.0 * math.sqrt(events + 1) + 10.0
    for _ in range(60):
        mean = (low + high) / 2
        below = sum(math.exp(-mean) * mean**n / math.factorial(n) for n in range(events + 1))
        low, high = (mean, high) if below > 0.05 else (low, mean)
    return high / hours


def quantile(values: list[float], part: float) -> float:
    """A quantile of the values, nan for none."""
    if not values:
        return math.nan
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(part * len(ordered)))]
