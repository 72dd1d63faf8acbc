"""What minutes buy: the first hard try, tries, boulders, hangs and mobility of a plan."""

from collections.abc import Sequence
from dataclasses import dataclass

from coach.model.plan import Step, StepKind
from coach.model.routine import BlockKind
from coach.planning import fitting, timeline

#: Lengths of a session that are shown beside each other.
MINUTES = (20, 30, 45, 60, 75, 90, 105, 120)


@dataclass(frozen=True, slots=True)
class Bought:
    """What one plan holds, before its first hard try where nothing else is said."""

    minutes: int
    """From its beginning to its end, as planned."""
    first_try: int | None
    """Minute of the first hard try; None without one."""
    tries: int
    easy: int
    middle: int
    later: int
    """Easy boulders after the hard tries, with a focus."""
    hangs: int
    """Hangs of one person, both sides counted."""
    mobility: int
    """Minutes of mat."""


def of(steps: Sequence[Step], who: int) -> Bought:
    """What the steps of a plan hold for a person; times count from the first step."""
    at = timeline.begins(steps)
    first = next((n for n, step in enumerate(steps) if step.kind is StepKind.TRY), None)
    ahead = steps[:first]
    mine = [step for step in ahead if (form := step.form(who)) is not None and form.movement]
    return Bought(
        minutes=round(timeline.seconds_of(steps) / 60.0),
        first_try=round(at[first] / 60.0) if first is not None else None,
        tries=fitting.tries(steps, who),
        easy=fitting.boulders(mine, BlockKind.EASY),
        middle=fitting.boulders(mine, BlockKind.MIDDLE),
        later=fitting.boulders(steps, BlockKind.EASY) - fitting.boulders(ahead, BlockKind.EASY),
        hangs=sum(step.hangs for step in mine),
        mobility=round(sum(s.lead + s.seconds for s in mine if s.block is BlockKind.MAT) / 60.0),
    )
