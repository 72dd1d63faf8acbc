"""A part that was sore or hurt again and again: told once at the start, with who should look.

Both numbers are our choice: no source says after how many sessions a soreness should be looked at.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from coach.model.body import COMPLAINTS, Feel, Part
from coach.model.messages import Message, message
from coach.record.entry import Entry


@dataclass(frozen=True, slots=True)
class Limit:
    """So many times within the last sessions is often."""

    feels: frozenset[Feel]
    times: int
    within: int


#: Pain counts as soreness, too: whoever hurts is at least sore. How often is often is our choice.
SORE = Limit(COMPLAINTS, 3, 5)
HURTING = Limit(frozenset({Feel.HURTING}), 2, 6)


@dataclass(frozen=True, slots=True)
class Repeated:
    """One part, and in how many of the last sessions it was told."""

    part: Part
    feel: Feel
    """HURTING or SORE, the worse where both are so."""
    times: int
    within: int
    """Sessions that were looked at: at most those of the limit."""

    @property
    def told(self) -> Message:
        """What is said of it."""
        return message(
            f"{self.feel.value}-again",
            part=self.part.value,
            times=self.times,
            within=self.within,
        )

    @property
    def text(self) -> str:
        """The same as a line."""
        return (
            f"{self.part.value.capitalize()} {self.feel} in {self.times} of the last "
            f"{self.within} sessions: have a clinician look."
        )


def repeated(entries: Sequence[Entry]) -> tuple[Repeated, ...]:
    """The parts that were sore or hurt too often lately; `entries` are the earliest first."""
    found = (_often(entries, part) for part in Part)
    return tuple(one for one in found if one is not None)


def _often(entries: Sequence[Entry], part: Part) -> Repeated | None:
    for feel, limit in ((Feel.HURTING, HURTING), (Feel.SORE, SORE)):
        last = entries[-limit.within :]
        times = sum(entry.digest.felt.get(part) in limit.feels for entry in last)
        if times >= limit.times:
            return Repeated(part, feel, times, len(last))
    return None
