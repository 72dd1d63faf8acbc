"""The schedule of the warm-up: while one part rests between two hangs, another moves.

Owns the order in which the mat and the board share their time. Both lists keep their own order,
so that days compare; what of the mat may wait is done in the rests of the board, beside it. No
rest of a part grows shorter (`coach.planning.timeline`), and hands never rest by using hands.
Paired sets take about half the time for the same work (Iversen VM et al. 2021, Sports Med
51:2079-2095); pulling paid for being paired with pulling (Iversen VM et al. 2024, J Strength Cond
Res 38(8):1372-1378), so nothing here pairs like with like.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from coach.model.body import Part
from coach.model.movement import Family, Movement
from coach.model.plan import Form, Step, StepKind
from coach.model.routine import BlockKind
from coach.planning import timeline
from coach.planning.offers import Offer

#: What a movement may need to be done beside the board: nobody runs about in a rest.
BESIDE_THE_BOARD = frozenset({"mat"})
#: What prepares hands and shoulders comes before they hang, whatever it loads.
_HANDS = frozenset({Family.HANDS, Family.SHOULDERS})
_MAT, _BOARD = BlockKind.MAT, BlockKind.BOARD
_ASK = StepKind.ASK


def arranged(offers: Sequence[Offer], movements: Mapping[str, Movement]) -> tuple[Step, ...]:
    """The steps of the offers in the order that brings the climber soonest to what follows them.

    Before the body is asked about come the core of the mat and all of it that moves what the
    board will load; the rest of the mat may come later. A set of the mat is done whole, with both
    its sides. Where mat and board do not follow each other, the order stays.
    """
    mat = [offer for offer in offers if offer.kind is _MAT]
    board = [offer for offer in offers if offer.kind is _BOARD]
    if not mat or not board:
        return _each_after_her_hang(_steps(offers))
    first, last = offers.index(mat[0]), offers.index(board[-1])
    if list(offers[first : last + 1]) != mat + board:
        return _each_after_her_hang(_steps(offers))
    hung = {key for step in _steps(board) for key in step.strained}
    may_wait = [offer for offer in mat if _may_wait(offer, hung, movements)]
    before = [offer for offer in mat if offer not in may_wait]
    hangs, then = _hung(_each_after_her_hang(_steps(board))), _steps(offers[last + 1 :])
    shared = merged([offer.steps for offer in may_wait], hangs, then[:1])
    ahead, other = iter(may_wait), iter(hangs)
    between = [step for of_mat in shared for step in (next(ahead).steps if of_mat else next(other))]
    return (*_steps(offers[:first]), *_steps(before), *between, *then)


def again(steps: Sequence[Step], now: float, rested: timeline.Rested) -> tuple[Step, ...]:
    """What is left of mat and board arranged anew, after their forms have changed.

    The first step stays, for it may have begun. Where anything but sets of the routine stands
    between, such as a check that is asked again, the order stays.
    """
    last = max((i for i, step in enumerate(steps) if step.block is _BOARD), default=0)
    part = steps[1 : last + 1]
    mat = [step for step in part if step.block is _MAT]
    board = [step for step in part if step.block is _BOARD]
    if not mat or len(mat) + len(board) < len(part) or not all(map(_of_routine, part)):
        return tuple(steps)
    (cost,) = timeline.costs(steps[:1], now, rested)
    groups: dict[str, list[Step]] = {}
    for step in mat:
        groups.setdefault(step.whole, []).append(step)
    sets = [tuple(one) for one in groups.values()]
    at, then = now + cost, steps[last + 1 : last + 2]
    start = _Way(at, timeline.after(steps[0], at, rested), ())
    hangs = _hung(board)
    ahead, other = iter(sets), iter(hangs)
    order: list[Step] = []
    for of_mat in merged(sets, hangs, then, start):
        order += next(ahead) if of_mat else next(other)
    return (steps[0], *order, *steps[last + 1 :])


def _of_routine(step: Step) -> bool:
    """Whether a step is a set of the routine, or asked by the board."""
    return step.placed and (not step.question or step.block is _BOARD)


def _steps(offers: Sequence[Offer]) -> tuple[Step, ...]:
    return tuple(step for offer in offers for step in offer.steps)


def _hung(steps: Iterable[Step]) -> list[tuple[Step, ...]]:
    """The sets of the board: what is asked about a hang comes right after it."""
    sets: list[tuple[Step, ...]] = []
    for step in steps:
        if step.question and sets:
            sets[-1] += (step,)
        else:
            sets.append((step,))
    return sets


def _each_after_her_hang(steps: Iterable[Step]) -> tuple[Step, ...]:
    """The steps; who takes turns at one board is asked about it after her own last hang."""
    found: list[Step] = []
    since = 0
    for step in steps:
        found.append(step)
        if step.kind is not _ASK:
            continue
        turns, asked = found[since:-1], step.forms if len(step.forms) > 1 else ()
        last = {one.forms[0].who: one.name for one in turns if one.hangs and len(one.forms) == 1}
        if any(form.who in last for form in asked):
            del found[since:]
            for one in turns:
                mine = [form for form in asked if last.get(form.who) == one.name]
                found += (one, *(_asked_of(step, form) for form in mine))
            found += [_asked_of(step, form) for form in asked if form.who not in last]
        since = len(found)
    return tuple(found)


def _asked_of(step: Step, form: Form) -> Step:
    """The question for one of those who are asked."""
    seconds = step.seconds / len(step.forms)
    return replace(step, name=f"{step.name}.{form.who}", forms=(form,), seconds=seconds)


def _may_wait(offer: Offer, hung: set[tuple[int, Part]], movements: Mapping[str, Movement]) -> bool:
    """Whether an offer of the mat may be done in the rests of the board."""
    if offer.question or offer.core:
        return False
    names = {form.movement for step in offer.steps for form in step.forms if form.movement}
    for name in names:
        movement = movements[name]
        if movement.family in _HANDS or not movement.equipment <= BESIDE_THE_BOARD:
            return False
    return all(hung.isdisjoint(step.loaded) for step in offer.steps)


class _Way(NamedTuple):
    """A beginning of the order: when it is done, what rests until when, and which list came."""

    at: float
    rested: timeline.Rested
    order: tuple[bool, ...]


_START = _Way(0.0, {}, ())


def merged(
    one: Sequence[tuple[Step, ...]],
    other: Sequence[tuple[Step, ...]],
    then: Sequence[Step],
    start: _Way = _START,
) -> tuple[bool, ...]:
    """How two lists of groups of steps share their time: True where the first list goes on.

    Exact: of all orders that keep each list's own, one after which `then` can begin soonest. A
    beginning is dropped only for another of the same groups that is done no later and after
    which every part may be loaded no later. Of equal orders the first list comes first.
    """
    ways: dict[tuple[int, int], list[_Way]] = {(0, 0): [start]}
    for i in range(len(one) + 1):
        for j in range(len(other) + 1):
            here = ways.setdefault((i, j), [])
            if i:
                here += [_on(way, one[i - 1], True) for way in ways[i - 1, j]]
            if j:
                here += [_on(way, other[j - 1], False) for way in ways[i, j - 1]]
            ways[i, j] = _undominated(here)
    found = ways[len(one), len(other)]
    best = min(found, key=lambda way: timeline.seconds_of(then, way.at, way.rested) + way.at)
    return best.order


def _on(way: _Way, steps: Sequence[Step], of_first: bool) -> _Way:
    at, rested = way.at, way.rested
    for step in steps:
        at = max(at + step.lead, timeline.ready(step, rested)) + step.seconds
        rested = timeline.after(step, at, rested)
    return _Way(
        at, {key: until for key, until in rested.items() if until > at}, (*way.order, of_first)
    )


def _undominated(ways: Sequence[_Way]) -> list[_Way]:
    kept: list[_Way] = []
    for way in sorted(ways, key=lambda way: way.at):
        if not any(_no_later(better, way) for better in kept):
            kept.append(way)
    return kept


def _no_later(one: _Way, other: _Way) -> bool:
    """Whether one is done, and lets every part be loaded, no later than the other."""
    return one.at <= other.at and all(
        until <= max(other.rested.get(key, 0.0), other.at) for key, until in one.rested.items()
    )
