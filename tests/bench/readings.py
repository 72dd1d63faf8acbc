"""How well a drop of the edge reading is seen: `python -m tests.bench.readings [CLIMBERS]`.

Invented climbers read a scale twice a week, at times not at all, for a year in which they get
stronger; then their force falls by a tenth of what it was in the last month. The truth is what was
drawn, and nothing of the program decides it. Beside it the alarms in a year in which nothing
changes, once with the spread of the NIST/SEMATECH e-Handbook's stable series (6.3.2.4). Shares
have 95 % bounds by Wilson's formula (Newcombe RG 1998, Stat Med 17:857-872).
"""

import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from random import Random

from coach.planning.edge_comparison import LEAST_CHECKS, is_low
from coach.record import edge_over_time
from coach.record.entry import Entry
from coach.record.evidence import wilson
from tests.record.days import check, entry

YEAR = 365
DROP = 0.10
#: How much stronger they get in the year, and the coefficients of variation between sessions that
#: were published (J Sports Sci 2025, n = 26).
RISES, VARIATIONS = (0.0, 0.10, 0.20, 0.30), (0.0204, 0.0337)
#: Mean and standard deviation of the stable series.
NIST = (50.0, 2.0539)


@dataclass(frozen=True)
class Share:
    """How often something was so."""

    found: int
    of: int

    @property
    def bounds(self) -> tuple[float, float]:
        """95 % bounds."""
        return wilson(self.found, self.of)

    def __str__(self) -> str:
        low, high = self.bounds
        return f"{self.found / self.of:6.1%} of {self.of} ({low:.1%} to {high:.1%})"


def evenings(dice: Random, days: int) -> Iterator[int]:
    """Days of a year on which somebody checks: two a week, one in seven left out."""
    day = 0
    while day < days:
        if dice.random() > 1 / 7:
            yield day
        day += dice.choice((3, 3, 4, 4))


def low(entries: Sequence[Entry], reading: float) -> bool:
    """Whether the program takes a reading for low beside these sessions."""
    usual = edge_over_time.usual_readings(entries)
    return bool(usual) and is_low(reading, usual[0].setup, usual)


def dropped(dice: Random, rise: float, variation: float, checks: int) -> bool:
    """Whether the drop is seen within so many checks."""
    start = 40.0
    force = {day: start * (1 + rise * day / YEAR) for day in evenings(dice, YEAR)}
    entries = [_read(day, level * dice.gauss(1.0, variation)) for day, level in force.items()]
    month = [level for day, level in force.items() if day > YEAR - 30]
    weaker = (1 - DROP) * sum(month) / len(month)
    for day in list(evenings(dice, 60))[:checks]:
        reading = weaker * dice.gauss(1.0, variation)
        if low(entries, reading):
            return True
        entries.append(_read(YEAR + day, reading))
    return False


def alarms(dice: Random, mean: float, spread: float) -> Share:
    """The alarms of a year in which nothing changes."""
    entries: list[Entry] = []
    found = judged = 0
    for day in evenings(dice, YEAR):
        reading = dice.gauss(mean, spread)
        if len(entries) >= LEAST_CHECKS:
            judged += 1
            found += low(entries, reading)
        entries.append(_read(day, reading))
    return Share(found, judged)


def _read(day: int, reading: float) -> Entry:
    return entry(day, check(reading=round(reading, 1)))


def seen(climbers: int, rise: float, variation: float, checks: int) -> Share:
    """How many of some climbers' drops are seen within so many checks."""
    dice = Random(f"drop-{rise}-{variation}-{checks}")
    return Share(sum(dropped(dice, rise, variation, checks) for _ in range(climbers)), climbers)


def false(climbers: int, mean: float, spread: float) -> Share:
    """How many checks of some climbers' unchanged years give an alarm."""
    dice = Random(f"stable-{mean}-{spread}")
    years = [alarms(dice, mean, spread) for _ in range(climbers)]
    return Share(sum(one.found for one in years), sum(one.of for one in years))


def main(climbers: int) -> None:
    """Print the shares."""
    for variation in VARIATIONS:
        for rise in RISES:
            for checks in (1, 3, 5):
                told = f"drop after a rise of {rise:.0%}, CV {variation:.2%}, within {checks}"
                print(f"{told:55} {seen(climbers, rise, variation, checks)}")
    for mean, spread in ((40.0, 40.0 * VARIATIONS[0]), (40.0, 40.0 * VARIATIONS[1]), NIST):
        told = f"false alarms, {mean:g} kg with a spread of {spread:.3f}"
        print(f"{told:55} {false(max(climbers // 4, 1), mean, spread)}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 400)
