"""Settling: after a rule has changed the day, what the steps become.

Owns the general mechanism, in this order: forms under the caps, rests that others still need,
questions that have lost their point, the time, and where freed time may go.
"""

from collections.abc import Sequence
from dataclasses import replace

from coach.model.day import Day, Library
from coach.model.movement import Unit
from coach.model.plan import Form, Step, StepKind
from coach.model.routine import BlockKind
from coach.planning import fit, forms, gates, resting
from coach.planning import offers as offered
from coach.planning.situation import Draft

#: Freed time shorter than this is not filled.
WORTH_FILLING = 120.0
#: Easy boulders that freed time may add at most.
MORE_EASY = 10


def settle(draft: Draft, before: Sequence[Step]) -> None:
    """Bring the steps of a draft in line with its day."""
    seconds_before = fit.seconds_of(before)
    steps = under_caps(draft.steps, draft.day, draft.library)
    easier = fit.tries(steps) < fit.tries(before)
    room = max(draft.day.ends_at - draft.now, 0.0)
    if draft.more:
        steps = _add(steps, draft, room, gentle=False, easier=False)
    else:
        most = room if draft.fill else min(seconds_before, room)
        free = most - fit.seconds_of(steps)
        if free >= WORTH_FILLING:
            steps = _add(steps, draft, most, gentle=True, easier=easier)
    draft.steps = _in_time(steps, draft, room)


def _in_time(steps: Sequence[Step], draft: Draft, room: float) -> list[Step]:
    """The steps that fit; floors that had to go shut the hard tries off, and it is kept."""
    kept, lost = fit.trim(steps, room)
    if lost:
        draft.day = replace(draft.day, skipped=(*draft.day.skipped, *lost))
    return list(tidy(kept))


def under_caps(steps: Sequence[Step], day: Day, library: Library) -> tuple[Step, ...]:
    """Each step in the form that the caps allow; without those that nobody may do."""
    hoped = offered.hopeful(day)
    people = {person.who: person for person in day.people}
    kept: list[Step] = []
    for step in steps:
        if step.kind is StepKind.TRY and step.intended:
            movement = library.movements[step.intended[0].movement]
            out = (step.turn, offered.NO_TRIES) in day.told
            if out or not forms.allowed(movement, people[step.turn], hoped, library):
                seconds = float(round(step.seconds))
                kept.append(Step(step.name, StepKind.REST, step.block, (), round(seconds), seconds))
                continue
        resolved = forms.resolve(step, day, library)
        if resolved is not None:
            kept.append(resolved)
    return tidy(kept)


def tidy(steps: Sequence[Step]) -> tuple[Step, ...]:
    """The steps without what has lost its point.

    Rests that stand side by side become one; rests of the hard block that no try follows go,
    and so do go-aheads and their people where no try is left.
    """
    merged: list[Step] = []
    for step in steps:
        last = merged[-1] if merged else None
        if (
            last is not None
            and last.kind is StepKind.REST is step.kind
            and last.block is BlockKind.HARD is step.block
        ):
            seconds = last.seconds + step.seconds
            merged[-1] = replace(step, seconds=seconds, amount=round(seconds))
        else:
            merged.append(step)
    kept: list[Step] = []
    for index, step in enumerate(merged):
        later = merged[index + 1 :]
        turns = {s.turn for s in later if s.kind is StepKind.TRY}
        if step.kind is StepKind.REST and step.block is BlockKind.HARD and not turns:
            continue
        if step.question == gates.GO_AHEAD:
            kept.append(replace(step, forms=tuple(f for f in step.forms if f.who in turns)))
        else:
            kept.append(step)
    return tuple(step for step in kept if step.kind is not StepKind.ASK or step.forms)


def _add(
    steps: Sequence[Step], draft: Draft, seconds: float, *, gentle: bool, easier: bool
) -> tuple[Step, ...]:
    """Steps with the best further offers for the seconds, each in its place."""
    offers = offered.of_routine(draft.day, draft.library)
    ranks = {offer.name: rank for rank, offer in enumerate(offers)}
    have = {offered.group(step.name) for step in steps}
    here = _reached(steps, draft, ranks)
    kinds = {step.block for step in steps}
    peaks = fit.peaks(steps)
    extra = []
    for rank, offer in enumerate(offers):
        if rank <= here or offer.name in have or offer.steps[0].kind is StepKind.ASK:
            continue
        if offer.kind is BlockKind.HARD and BlockKind.HARD not in kinds:
            continue
        wanted = [s for s in offer.steps if (s.turn, offered.NO_MORE_TRIES) not in draft.day.told]
        resolved = under_caps(wanted, draft.day, draft.library)
        if resolved and all(
            fit.is_gentle(s) or (not gentle and fit.below(s, peaks)) for s in resolved
        ):
            extra.append(replace(offer, steps=resolved, must=False))
    place_of_more = _before_cool_down(steps, draft)
    if easier and place_of_more is not None:
        extra.extend(_easy_volume(draft, have))
    chosen = fit.select_more(extra, seconds - fit.seconds_of(steps))
    result = list(steps)
    for offer in chosen:
        place = (
            _place(result, ranks, ranks[offer.name])
            if offer.name in ranks
            else _before_cool_down(result, draft) or 0
        )
        result[place:place] = offer.steps
    added = [step for offer in chosen for step in offer.steps if step.kind is StepKind.TRY]
    if not added:
        return tuple(result)
    name = added[0].intended[0].movement
    least = resting.least_gaps(steps, draft.library.movements[name].rest)
    return resting.kept_apart(result, least)


def _reached(steps: Sequence[Step], draft: Draft, ranks: dict[str, int]) -> int:
    """The rank up to which the session has come: nothing of it comes back by itself.

    Questions do not tell, as they may have moved.
    """
    coming = (
        ranks[group]
        for step in steps
        if step.kind is not StepKind.ASK and (group := offered.group(step.name)) in ranks
    )
    stood_first = ranks.get(offered.group(draft.first), -1)
    return max(next(coming, len(ranks)) if steps else len(ranks), stood_first)


def _place(steps: Sequence[Step], ranks: dict[str, int], rank: int) -> int:
    """Index of the first step, after the one that runs, that comes after this rank."""
    for index, step in enumerate(steps):
        if index and ranks.get(offered.group(step.name), -1) > rank:
            return index
    return len(steps)


def _before_cool_down(steps: Sequence[Step], draft: Draft) -> int | None:
    """Index of the first step of the cool-down; None where that has begun."""
    for index, step in enumerate(steps):
        if step.block in (BlockKind.COOL_DOWN, BlockKind.STRENGTH):
            return index if index or draft.between or step.name != draft.first else None
    return len(steps)


def _easy_volume(draft: Draft, have: set[str]) -> list[offered.Offer]:
    """Further easy boulders in place of hard ones, where easy is gentle for everybody."""
    block = next((b for b in draft.library.routine.blocks if b.kind is BlockKind.EASY), None)
    if block is None:
        return []
    movement = next(
        (
            m
            for item in block.items
            if (m := draft.library.movements.get(item.movement)) is not None
            and m.unit is Unit.BOULDERS
        ),
        None,
    )
    if movement is None:
        return []
    found = []
    for index in range(MORE_EASY // offered.BATCH):
        name = f"easy.more-{int(draft.now)}-{index + 1}"
        intended = tuple(
            Form(person.who, movement.name, movement.load) for person in draft.day.people
        )
        step = Step(
            name=name,
            kind=StepKind.CLIMB,
            block=BlockKind.EASY,
            forms=intended,
            amount=offered.BATCH,
            seconds=forms.length(movement, offered.BATCH),
            rest=movement.rest,
            intended=intended,
            dose=offered.BATCH,
        )
        resolved = forms.resolve(step, draft.day, draft.library)
        if resolved is not None and fit.is_gentle(resolved) and name not in have:
            found.append(offered.Offer(name, BlockKind.EASY, (resolved,), 12 + index, False))
    return found
