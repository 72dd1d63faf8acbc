"""Settling: after a rule has changed the day, what the steps become.

Owns the general mechanism, in this order: forms under the caps, rests that others still need,
questions that have lost their point, freed time, and the time that is left.
"""

from collections.abc import Sequence
from dataclasses import replace

from coach.model.day import Day, Library
from coach.model.plan import Step, StepKind
from coach.model.routine import BlockKind
from coach.planning import (
    checks,
    drills,
    fitting,
    forms,
    freed_time,
    gates,
    rest_promises,
    schedule,
    timeline,
)
from coach.planning.offers import NO_TRIES, hopeful
from coach.planning.situation import HOME_EARLY, PlanDraft

#: Freed time shorter than this is not filled.
WORTH_FILLING = 120.0
#: Looked up once, as in `coach.planning.offers`.
_ASK, _REST, _TRY, _HARD = StepKind.ASK, StepKind.REST, StepKind.TRY, BlockKind.HARD


def settle(draft: PlanDraft, before: Sequence[Step]) -> None:
    """Bring the steps of a draft in line with its day."""
    steps = under_caps(draft.steps, draft.day, draft.library)
    if [step.forms for step in steps] != [step.forms for step in draft.steps]:
        steps = schedule.again(steps, draft.now, timeline.of_day(draft.day))
    room = max(draft.day.ends_at - draft.now, 0.0)
    rested = timeline.of_day(draft.day)
    taken = timeline.seconds_of(steps, draft.now, rested)
    if draft.tries:
        steps = freed_time.with_tries(steps, draft, room - taken, draft.tries)
    elif draft.more:
        steps = freed_time.with_more(steps, draft, room - taken)
    else:
        most = room if draft.fill else min(timeline.seconds_of(before, draft.now, rested), room)
        if most - taken >= WORTH_FILLING and not draft.shorter:
            fewer = fitting.tries(steps) < fitting.tries(before)
            steps = freed_time.with_gentle(steps, draft, most - taken, in_place_of_tries=fewer)
    draft.steps = _in_time(steps, draft, room + draft.slack)
    if draft.spare:
        draft.steps = filled(draft, room)
    checks.follow(draft, before)


def filled(draft: PlanDraft, room: float) -> list[Step]:
    """The steps with gentle ones in the seconds that are left, where nobody goes home early."""
    spare = room - timeline.seconds_of(draft.steps, draft.now, timeline.of_day(draft.day))
    early = any(tag == HOME_EARLY for _, tag in draft.day.told)
    if spare < WORTH_FILLING or early:
        return draft.steps
    return list(freed_time.with_gentle(draft.steps, draft, spare, in_place_of_tries=False))


def _in_time(steps: Sequence[Step], draft: PlanDraft, room: float) -> list[Step]:
    """The steps that fit; floors that had to go shut the hard tries off, and it is kept.

    What goes may have been rest for the tries beside it: these keep the rest that they had.
    """
    kept, rested = tidy(steps), timeline.of_day(draft.day)
    left, lost = fitting.trim(kept, room, draft.now, rested)
    least = rest_promises.least_gaps(kept, 0.0) if len(left) < len(kept) else {}
    while len(left) < len(kept):
        if lost:
            draft.day = replace(draft.day, skipped=(*draft.day.skipped, *lost))
        kept = rest_promises.kept_apart(tidy(left), least)
        left, lost = fitting.trim(kept, room, draft.now, rested)
    return list(left)


def under_caps(steps: Sequence[Step], day: Day, library: Library) -> tuple[Step, ...]:
    """Each step in the form that the caps allow; without those that nobody may do."""
    now, hoped = forms.of(day, library), forms.of(hopeful(day), library)
    names = {step.name for step in steps}
    kept: list[Step] = []
    others: list[Step] = []  # of those who take turns at a set, each right side after every left
    for step in steps:
        if others and step.whole != others[0].whole:
            kept.extend(others)
            others = []
        if not step.intended:
            kept.append(step)
            continue
        if step.kind is _TRY:
            meant = step.intended[0].movement
            eased = hoped.ease(meant, step.turn)
            if (step.turn, NO_TRIES) in day.told or eased is None or eased.name != meant:
                seconds = float(round(step.seconds))
                rest = Step(step.name, StepKind.REST, step.block, (), round(seconds), seconds)
                kept.append(replace(rest, piece=step.piece))
                continue
        resolved = now.resolve(step, forms.with_left_done(step, names))
        if resolved is not None:
            other = now.other_side(step, resolved)
            kept.append(resolved)
            others += [other] if other is not None else []
    return tidy([*kept, *others])


def tidy(steps: Sequence[Step]) -> tuple[Step, ...]:
    """The steps without what has lost its point.

    Rests that stand side by side become one; rests of the hard block that no try follows go, and
    so do the drills of somebody who has no try left, go-aheads and their people where no try is
    left, and what makes up for a skipped part of the warm-up, unless it is first and may have
    begun.
    """
    turns: set[int] = set()
    kept: list[Step] = []
    for index in range(len(steps) - 1, -1, -1):
        step = steps[index]
        kind = step.kind
        hard_rest = kind is _REST and step.block is _HARD
        if kind is _TRY:
            turns.add(step.turn)
        if not turns and (hard_rest or (index and step.makes_up)):
            continue
        if drills.is_drill(step) and step.turn not in turns:
            continue
        if hard_rest and kept and kept[-1].kind is _REST and kept[-1].block is step.block:
            seconds = kept[-1].seconds + step.seconds
            kept[-1] = replace(kept[-1], seconds=seconds, amount=round(seconds))
        elif step.question == gates.GO_AHEAD:
            asked = tuple(form for form in step.forms if form.who in turns)
            if asked:
                kept.append(step if asked == step.forms else replace(step, forms=asked))
        elif kind is not _ASK or step.forms:
            kept.append(step)
    return tuple(reversed(kept))
