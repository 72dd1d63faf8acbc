"""Fitting: which of the steps that are left stay when the seconds are few.

Owns the priorities: the step that runs stays, hard tries go before floors, floors go last
and then lower what may follow.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from math import ceil

from coach.model.body import Part
from coach.model.plan import Step, StepKind
from coach.model.routine import BlockKind
from coach.planning import offers as offered
from coach.planning import timeline
from coach.planning.allowance import GENTLE
from coach.planning.budget import Piece, choose
from coach.planning.gates import GO_AHEAD
from coach.planning.timeline import Rested

#: Looked up once, as in `coach.planning.offers`.
_ASK, _CLIMB, _TRY = StepKind.ASK, StepKind.CLIMB, StepKind.TRY


def is_gentle(step: Step) -> bool:
    """Whether no part of anybody gets more than a gentle load."""
    return step.heaviest <= GENTLE


def peaks(steps: Iterable[Step]) -> dict[tuple[int, Part], int]:
    """The highest load of each part of each person in the forms that are allowed now."""
    found: dict[tuple[int, Part], int] = {}
    for forms in {id(step.forms): step.forms for step in steps}.values():
        for form in forms:
            for part, load in form.load.items():
                key = (form.who, part)
                found[key] = max(found.get(key, 0), load)
    return found


def below(step: Step, highest: dict[tuple[int, Part], int]) -> bool:
    """Whether a step loads no part beyond the gentle and these peaks."""
    return all(
        load <= max(highest.get((form.who, part), 0), GENTLE)
        for form in step.forms
        for part, load in form.load.items()
    )


def boulders(steps: Iterable[Step], kind: BlockKind) -> int:
    """Boulders in the batches of a tier."""
    return sum(s.amount for s in steps if s.block is kind and s.kind is _CLIMB)


def tries(steps: Iterable[Step], who: int | None = None) -> int:
    """Hard tries among the steps, of one person or of everybody."""
    return len([step for step in steps if step.kind is _TRY and who in (None, step.turn)])


def fewer(step: Step, boulders: int) -> Step:
    """A batch with fewer boulders."""
    seconds = step.seconds * boulders / step.amount
    return replace(step, amount=boulders, dose=boulders, seconds=seconds)


def first_batch(
    steps: tuple[Step, ...], seconds: float, now: float, rested: Rested
) -> tuple[Step, ...]:
    """The steps, the batch that comes first with as many boulders as fit, one at least.

    Where hard tries are left they go before any of its boulders.
    """
    if not steps or steps[0].kind is not _CLIMB or tries(steps):
        return steps
    first = steps[0]
    over = timeline.seconds_of(steps[:1], now, rested) - seconds
    left = first.amount - max(ceil(over * first.amount / first.seconds), 0)
    return steps if left >= first.amount else (fewer(first, max(left, 1)), *steps[1:])


def grouped(steps: Sequence[Step]) -> list[tuple[str, tuple[Step, ...]]]:
    """Steps by group, in order: both sides of a set, a round of tries with its rest."""
    groups: dict[str, list[Step]] = {}
    for step in steps:
        groups.setdefault(step.whole, []).append(step)
    return [(name, tuple(members)) for name, members in groups.items()]


def trim(
    steps: Sequence[Step], seconds: float, now: float, rested: Rested
) -> tuple[tuple[Step, ...], tuple[str, ...]]:
    """What fits of the steps, and the names of floor steps that had to go.

    The first step runs already and stays. As long as they fit, floors, core and questions
    stay; otherwise hard tries go at once, with what makes up for a warm-up that only they need, and
    the floors are chosen by worth.
    """
    costs = list(timeline.costs(steps, now, rested))
    if sum(costs) <= seconds:
        return tuple(steps), ()
    took = {step.name: cost for step, cost in zip(steps, costs, strict=True)}
    groups = [(steps[0].name, tuple(steps[:1])), *grouped(steps[1:])]
    kept = _keep(groups, took, seconds, strict=True)
    if kept is None:
        groups = [(n, m) for i, (n, m) in enumerate(groups) if i == 0 or not _for_tries(m)]
        kept = _keep(groups, took, seconds, strict=False) or frozenset({0})
    names = {step.name for i, (_, members) in enumerate(groups) if i in kept for step in members}
    left = without_idle_questions([step for step in steps if step.name in names])
    names = {step.name for step in left}
    return left, tuple(s.name for s in steps if s.floor and s.name not in names)


def _for_tries(members: Sequence[Step]) -> bool:
    return any(step.kind is _TRY or step.makes_up for step in members)


def _keep(
    groups: Sequence[tuple[str, tuple[Step, ...]]],
    took: Mapping[str, float],
    seconds: float,
    strict: bool,
) -> frozenset[int] | None:
    counts = dict.fromkeys(BlockKind, 0)
    pieces = []
    for position, (name, members) in enumerate(groups):
        kind, bound = members[0].block, False
        time = ceil(sum(took[step.name] for step in members))
        for step in members:
            bound = bound or step.floor or step.core or step.kind is _ASK
        worth = offered.worth(kind, counts[kind], time)
        counts[kind] += 1
        if not strict and bound:
            worth *= 10
        pieces.append(Piece(name, time, worth, position == 0 or (strict and bound)))
    return choose(pieces, int(seconds))


def without_idle_questions(steps: Sequence[Step]) -> tuple[Step, ...]:
    """The steps without a go-ahead that no hard try follows."""
    kept: list[Step] = []
    for index, step in enumerate(steps):
        if step.question == GO_AHEAD and not tries(steps[index:]):
            continue
        kept.append(step)
    return tuple(kept)
