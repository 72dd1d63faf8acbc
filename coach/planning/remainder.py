"""What is left of a session when a part is spared: how many minutes, and of what.

Owns the values of the one sentence that says so: 'Nothing on the wrist: 6 minutes of hips and
ankles, then home.'
"""

from collections.abc import Iterable, Mapping

from coach.model.body import Part
from coach.model.movement import Movement
from coach.model.plan import Step
from coach.planning import timeline

#: Parts that the sentence names at most, those with the most seconds first.
NAMED = 2
#: What it names where no part is worked on: lying still, an easy breath.
QUIET = "quiet-breathing"


def minutes_of(steps: Iterable[Step], who: int) -> int:
    """Whole minutes in which a person still does something, 0 for nothing at all."""
    seconds = timeline.seconds_of(step for step in steps if _does(step, who))
    return max(round(seconds / 60.0), 1) if seconds else 0


def parts_of(steps: Iterable[Step], who: int, movements: Mapping[str, Movement]) -> str:
    """The parts that are worked on most in what is left, with spaces; QUIET where none is."""
    spent: dict[Part, float] = {}
    for step in steps:
        form = step.form(who)
        movement = movements.get(form.movement) if form is not None else None
        for part in sorted(movement.aims) if movement is not None else ():
            spent[part] = spent.get(part, 0.0) + step.seconds
    most = sorted(spent, key=lambda part: (-spent[part], part))[:NAMED]
    return " ".join(part.value for part in most) or QUIET


def _does(step: Step, who: int) -> bool:
    form = step.form(who)
    return form is not None and bool(form.movement)
