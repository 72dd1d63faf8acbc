"""Small doses of today, counted for the one sentence about the year, and only where it is news.

Of somebody alone: a sentence about one person's year is no news to the others. Owns what is news:
an hour of MARKS was passed today. At most one thing of the year is said in a session.
"""

from dataclasses import replace

from coach.model.doses import DOSES, dose_of
from coach.model.messages import Message, message
from coach.model.plan import Step
from coach.session.draft import Draft

#: Hours of a year that are told as they are passed (our choice).
MARKS = (1, 2, 3, 5, 10, 15, 20, 30, 50, 75, 100)


def count(draft: Draft, step: Step, seconds: float) -> None:
    """Count what was done of a step."""
    if len(draft.s.people) > 1 or seconds <= 0.0:
        return
    movement = next((form.movement for form in step.forms if form.movement), "")
    dose = dose_of(draft.s.library.movements.get(movement), step.block) if movement else ""
    if dose:
        so_far = dict(draft.course.dosed)
        so_far[dose] = so_far.get(dose, 0.0) + seconds
        draft.course = replace(draft.course, dosed=tuple(so_far.items()))


def news(draft: Draft) -> Message | None:
    """The most hours of a year that were passed today; None where none were, or more was told."""
    options, today = draft.s.options, dict(draft.course.dosed)
    if options.aim is not None or options.review:
        return None
    passed = []
    for _, dose, before in options.doses:
        after = before + today.get(dose, 0.0)
        passed += [(hours, dose) for hours in MARKS if before < 3600.0 * hours <= after]
    if not passed:
        return None
    hours, dose = max(passed, key=lambda one: (one[0], -DOSES.index(one[1])))
    return message("year-hours", hours=hours, what=dose)
