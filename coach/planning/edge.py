"""Today's edge check against one's own usual: what the comparison says, and what it never says.

Owns when a check compares at all and from where on it counts as low. A usual value clears no
pain; a low one only keeps the gate shut.
"""

from collections.abc import Iterable
from enum import StrEnum

from coach.model.edge import Setup, Usual

#: Comparable checks below which there is no baseline (a design choice, 8 to 10).
LEAST_CHECKS = 8
#: Spreads from the median from which a value is out: Leys C et al. (2013) J Exp Soc Psychol
#: 49(4):764-766 recommend 2.5 of 2, 2.5 and 3.
CUT_OFF = 2.5
#: Change of a reading, as part of the median, that measurement noise can make: 1.96 * sqrt(2)
#: times a coefficient of variation of 3.37 % (J Sports Sci 2025, n = 26).
NOISE = 0.0934


class Verdict(StrEnum):
    """What today's check is, beside the usual one."""

    #: fewer than LEAST_CHECKS like checks so far
    NO_BASELINE = "no-baseline"
    #: the edge, grip, feet or posture differ
    NOT_COMPARABLE = "not-comparable"
    USUAL = "usual"
    LOW = "low"
    HIGH = "high"


def compare(value: float, setup: Setup, usual: Usual, step: float) -> Verdict:
    """Where a value stands. `step` is the least spread that is believed, so that none is zero.

    For a feel it is one step of its scale; for a reading in kilograms it is 0 and the spread is
    at least what noise makes of the median.
    """
    if setup != usual.setup:
        return Verdict.NOT_COMPARABLE
    if usual.checks < LEAST_CHECKS:
        return Verdict.NO_BASELINE
    spread = max(usual.spread, step or abs(usual.median) * NOISE / CUT_OFF)
    distance = (value - usual.median) / spread
    if distance < -CUT_OFF:
        return Verdict.LOW
    return Verdict.HIGH if distance > CUT_OFF else Verdict.USUAL


def is_low(reading: float, setup: Setup, past: Iterable[Usual]) -> bool:
    """Whether a scale's reading in kilograms is below one's own usual, if there is one of it.

    How the edge felt is no part of it: whatever is not clear keeps the gate shut by itself, and
    what is clear is never out of the spread of a scale of so few steps.
    """
    return any(compare(reading, setup, usual, step=0.0) is Verdict.LOW for usual in past)
