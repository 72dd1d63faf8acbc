"""Today's edge check against one's own usual: what the comparison says, and what it never says.

Owns when a check compares at all and from where on it counts as low. A usual value clears no
pain; a low one only keeps the gate shut.
"""

from collections.abc import Iterable
from enum import StrEnum
from math import pi, sqrt

from coach.model.usual_edge import EdgeSetup, Usual

#: Comparable checks below which there is no baseline (our choice, 8 to 10).
LEAST_CHECKS = 8
#: Spreads from the median from which a value is out: Leys C et al. (2013) J Exp Soc Psychol
#: 49(4):764-766 recommend 2.5 of 2, 2.5 and 3.
CUT_OFF = 2.5
#: The least spread of readings that is believed, as part of their median: the middle of the
#: coefficients of variation between sessions that are published, 2.04 to 3.37 % (J Sports Sci 2025,
#: n = 26). So a change of less than about 7 % is noise. Whoever's own spread is more has that.
VARIATION = 0.027
#: Readings that are also judged by their mean, today's among them (our choice): three that are all
#: a little low say more than one.
TOGETHER = 3


class Verdict(StrEnum):
    """What today's check is, beside the usual one."""

    #: fewer than LEAST_CHECKS like checks so far
    NO_BASELINE = "no-baseline"
    #: the edge, grip, feet or posture differ
    NOT_COMPARABLE = "not-comparable"
    USUAL = "usual"
    LOW = "low"
    HIGH = "high"


def compare(value: float, setup: EdgeSetup, usual: Usual, step: float) -> Verdict:
    """Where a value stands. `step` is the least spread that is believed, so that none is zero.

    For a feel it is one step of its scale; for a reading in kilograms it is 0 and the spread is
    at least VARIATION of the median.
    """
    if setup != usual.setup:
        return Verdict.NOT_COMPARABLE
    if usual.checks < LEAST_CHECKS:
        return Verdict.NO_BASELINE
    distance, limit = value - usual.median, _limit(usual, step, 1)
    if distance < -limit:
        return Verdict.LOW
    return Verdict.HIGH if distance > limit else Verdict.USUAL


def _limit(usual: Usual, step: float, values: int) -> float:
    """How far from the median the mean of so many values is out.

    The median is itself known only so well: its variance is pi / 2n of that of one value (the large
    sample's, as in any textbook of statistics).
    """
    spread = max(usual.spread, step or abs(usual.median) * VARIATION)
    return CUT_OFF * spread * sqrt(1 / values + pi / 2 / (usual.worth or usual.checks))


def is_low(reading: float, setup: EdgeSetup, past: Iterable[Usual]) -> bool:
    """Whether a scale's reading in kilograms is below one's own usual, if there is one of it.

    It is by itself, or together with the two before it. How the edge felt is no part of it:
    whatever is not clear keeps the gate shut by itself, and what is clear is never out of the
    spread of a scale of so few steps.
    """
    return any(
        compare(reading, setup, usual, step=0.0) is Verdict.LOW
        or (usual.setup == setup and _low_together(reading, usual))
        for usual in past
    )


def _low_together(reading: float, usual: Usual) -> bool:
    if usual.earlier is None:
        return False
    together = (sum(usual.recent) + reading) / TOGETHER
    return together < usual.earlier - _limit(usual, 0.0, TOGETHER)
