"""What one's own edge checks of earlier days come to: the setup that has to be the same, the usual.

How today's check is judged by it is `coach.planning.edge_comparison`.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class EdgeSetup:
    """What has to be the same for two checks to compare.

    Shallow edges did not even correlate with deeper ones: r < 0.1 (Bourne R et al. 2011, J Appl
    Biomech 27(1):40-46).
    """

    edge: str
    grip: str
    feet: str
    posture: str = ""


@dataclass(frozen=True, slots=True)
class Usual:
    """One's own past: the setup, how many checks, their median and spread.

    The spread is 1.4826 times the median distance from the median; old checks weigh less in both.
    """

    setup: EdgeSetup
    checks: int
    median: float
    spread: float
    worth: float | None = None
    """How many checks of equal weight they come to; None where all weigh alike."""
    recent: tuple[float, ...] = ()
    """The last two, the newest last."""
    earlier: float | None = None
    """The median without those two, which may be low already; None where there are too few."""
