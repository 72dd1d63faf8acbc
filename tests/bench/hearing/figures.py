"""Counts into figures with their bounds. Formulas by name, so that a reader can check them."""

import math


def wilson(hits: int, trials: int, z: float = 1.96) -> tuple[float, float]:
    """95 % bounds of a proportion (Wilson, 1927)."""
    if trials == 0:
        return 0.0, 1.0
    p = hits / trials
    middle = p + z * z / (2 * trials)
    spread = z * math.sqrt(p * (1 - p) / trials + z * z / (4 * trials * trials))
    below = 1 + z * z / trials
    return max(0.0, (middle - spread) / below), min(1.0, (middle + spread) / below)


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
