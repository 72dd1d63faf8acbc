"""What somebody told of a part of the body is heeded from then on, by the record and poses alone.

A part that hurts, and a joint that is sore, is used no more. A part that is sore is not strained
but where it is the skin. Of what kind a soreness is may be unknown while it is asked; after that
it counts as the joint.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from tests import poses

if TYPE_CHECKING:
    from tests.days.judges import LivedDay

#: Seconds in which what was told has to take effect, and in which a soreness has to be asked about
#: twice, whatever else is asked before it (our choice).
AT_ONCE, ASKED = 1.0, 180.0


@dataclass
class Complaint:
    """What was told of one part of one person."""

    feel: str
    since: float
    kind: str = ""
    """Of a soreness: skin, muscle or joint, as far as it is known."""

    def forbids(self, movement: str, part: str, begun: float) -> bool:
        """Whether a movement that began then should not have."""
        if begun <= self.since + AT_ONCE:
            return False
        unknown = not self.kind and begun > self.since + ASKED
        if self.feel == "hurting" or self.kind == "joint" or unknown:
            return poses.uses(movement, part)
        return self.kind != "skin" and poses.too_much_for_sore(movement, part)


def heeded(day: "LivedDay") -> list[str]:
    """No movement that uses what somebody told to hurt or to be sore."""
    found: list[str] = []
    complaints: dict[tuple[int, str], Complaint] = {}
    kinds: dict[tuple[int, str], str] = {}
    for line in day.lines("kept"):
        if line.text == "Felt":
            _told(complaints, kinds, line.what)
        elif line.text == "StepEnded" and line.what.amount:
            fact = line.what
            begun = fact.at - fact.seconds
            for (who, part), one in complaints.items():
                if who == fact.who and one.forbids(fact.movement, part, begun):
                    found.append(f"{fact.at:.0f} s: {fact.movement} with {one.feel} {part}")
    return found


def _told(
    complaints: dict[tuple[int, str], Complaint], kinds: dict[tuple[int, str], str], fact: Any
) -> None:
    """Keep it; of what kind a soreness is, told once, holds when it comes again."""
    key, feel = (fact.who, fact.part.value), fact.feel.value
    before = complaints.get(key)
    if feel in ("fine", "fresh") and before is not None and before.feel == "sore":
        del complaints[key]  # asked again, it is well
    elif feel == "hurting" and (before is None or before.feel != "hurting"):
        complaints[key] = Complaint(feel, fact.at)
    elif feel == "sore" and (before is None or before.feel == "sore"):
        kinds[key] = fact.tissue.value if fact.tissue else kinds.get(key, "")
        known = before is not None and before.kind == kinds[key]
        since = before.since if before is not None and known else fact.at
        complaints[key] = Complaint(feel, since, kinds[key])
