"""Filling: what freed or added time may be used for, and where it goes.

Owns that freed time only goes downwards: to what is gentle for everybody, and, in place of hard
tries, to more easy boulders (common practice). Nothing that was passed or skipped comes back.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from coach.model.movement import Unit
from coach.model.plan import Step, StepKind
from coach.model.routine import BlockKind
from coach.planning import contents, fitting, forms, rest_promises, selection
from coach.planning.offers import BATCH, NO_MORE_TRIES, Offer, whole_seconds
from coach.planning.situation import PlanDraft

#: Easy boulders that freed time may add at most.
MORE_EASY = 10
#: Which piece of its kind such a batch counts as in its worth: behind the planned ones.
_BEHIND = 12
#: Looked up once, as in `coach.planning.offers`.
_LAST = frozenset({BlockKind.COOL_DOWN, BlockKind.STRENGTH})
_SHARED = frozenset({BlockKind.PULSE, BlockKind.MAT, BlockKind.BOARD})
_ASK, _REST, _HARD = StepKind.ASK, StepKind.REST, BlockKind.HARD


def with_more(steps: Sequence[Step], draft: PlanDraft, seconds: float) -> tuple[Step, ...]:
    """The steps with the best further offers; none loads a part beyond what is planned already."""
    peaks = fitting.peaks(steps)
    filler = _Filler(steps, draft)
    offers = filler.offers(lambda step: fitting.is_gentle(step) or fitting.below(step, peaks))
    return filler.placed(offers, seconds)


def with_tries(
    steps: Sequence[Step], draft: PlanDraft, seconds: float, count: int
) -> tuple[Step, ...]:
    """The steps with at most so many further rounds of hard tries, as they fit."""
    peaks = fitting.peaks(steps)
    filler = _Filler(steps, draft)
    offers = [one for one in filler.offers(lambda step: fitting.below(step, peaks)) if one.tries]
    return filler.placed(offers[:count], seconds)


def with_gentle(
    steps: Sequence[Step], draft: PlanDraft, seconds: float, *, in_place_of_tries: bool
) -> tuple[Step, ...]:
    """The steps with the best further offers that are gentle for everybody."""
    filler = _Filler(steps, draft)
    offers = filler.offers(fitting.is_gentle)
    if in_place_of_tries and filler.before_cool_down is not None:
        offers += filler.easy_boulders()
    return filler.placed(offers, seconds)


class _Filler:
    """The offers that are still ahead of the steps that are left."""

    def __init__(self, steps: Sequence[Step], draft: PlanDraft) -> None:
        self.steps, self.draft = steps, draft
        self._unfolding = contents.unfolded(draft.day, draft.library)
        self._ranks = self._unfolding.layout.ranks
        self._groups = [step.whole for step in steps]
        self._of_steps = [self._ranks.get(name, -1) for name in self._groups]
        self._forms = forms.of(draft.day, draft.library)
        self.before_cool_down = self._before_cool_down()

    def offers(self, fits: Callable[[Step], bool]) -> list[Offer]:
        """Offers ahead that are not in the plan, of which every form of now fits."""
        hard = any(step.block is _HARD for step in self.steps)
        known: dict[int, tuple[tuple[Step, ...], int, bool]] = {}
        found = []
        reached, have = self._reached(), frozenset(self._groups)
        for offer in self._unfolding.every:
            if self._ranks[offer.name] <= reached[offer.kind] or offer.name in have:
                continue
            if offer.question or (offer.tries and not hard):
                continue
            key = id(offer.shapes)
            if key not in known:
                shapes = self._of_now(offer.shapes)
                fit_now = bool(shapes) and all(map(fits, shapes))
                known[key] = (shapes, whole_seconds(shapes * offer.sides), fit_now)
            shapes, seconds, fit_now = known[key]
            if fit_now:
                same = not offer.must and seconds == offer.seconds and shapes == offer.shapes
                found.append(
                    offer if same else replace(offer, shapes=shapes, seconds=seconds, must=False)
                )
        return found

    def _of_now(self, shapes: Iterable[Step]) -> tuple[Step, ...]:
        """The shapes under the caps of now; whoever has no further tries has none here."""
        told = self.draft.day.told
        resolved = [
            self._forms.resolve(shape)
            for shape in shapes
            if (shape.turn, NO_MORE_TRIES) not in told
        ]
        kept = tuple(shape for shape in resolved if shape is not None)
        return () if all(shape.kind is _REST for shape in kept) else kept

    def _reached(self) -> dict[BlockKind, int]:
        """The rank up to which the session has come, in each kind of block.

        Questions do not tell: they may move. Mat and board share their time, so that each of
        them has come as far as its own next step; when none is left, it has passed.
        """
        coming: dict[BlockKind, int] = {}
        for rank, step in zip(self._of_steps, self.steps, strict=True):
            if rank >= 0 and step.kind is not _ASK:
                coming.setdefault(step.block, rank)
        passed = len(self._ranks)
        first = self.draft.first
        stood = self._ranks.get(first.whole, -1) if first is not None else -1
        now = max(next(iter(coming.values()), passed), stood)
        return {
            kind: max(coming.get(kind, passed), stood) if kind in _SHARED else now
            for kind in BlockKind
        }

    def _before_cool_down(self) -> int | None:
        """Index of the first step of the cool-down; None where that has begun."""
        for index, step in enumerate(self.steps):
            if step.block in _LAST:
                first = self.draft.first
                new = index or self.draft.between or first is None or step.name != first.name
                return index if new else None
        return len(self.steps)

    def easy_boulders(self) -> list[Offer]:
        """Further batches of easy boulders, where easy is gentle for everybody."""
        draft = self.draft
        movement = next(
            (
                movement
                for block in draft.library.routine.blocks
                if block.kind is BlockKind.EASY
                for item in block.items
                if (movement := draft.library.movements.get(item.movement)) is not None
                and movement.unit is Unit.BOULDERS
            ),
            None,
        )
        if movement is None:
            return []
        everybody = (person.who for person in draft.day.people)
        shape = self._forms.lay("", movement, BATCH, BlockKind.EASY, everybody)
        if shape is None or not fitting.is_gentle(shape):
            return []
        shapes = (shape,)
        return [
            Offer(
                name=draft.number(f"easy.more-{n}"),
                kind=BlockKind.EASY,
                shapes=shapes,
                index=_BEHIND + n,
                seconds=whole_seconds(shapes),
            )
            for n in range(1, MORE_EASY // BATCH + 1)
        ]

    def placed(self, offers: Sequence[Offer], seconds: float) -> tuple[Step, ...]:
        """The steps with the best of the offers, each before what comes after it."""
        chosen = selection.more(offers, seconds)
        if not chosen:
            return tuple(self.steps)
        ranked = [offer for offer in chosen if offer.name in self._ranks]
        others = [offer for offer in chosen if offer.name not in self._ranks]
        result: list[Step] = []
        for index, (rank, step) in enumerate(zip(self._of_steps, self.steps, strict=True)):
            while index and ranked and self._ranks[ranked[0].name] < rank:
                result.extend(self._steps(ranked.pop(0)))
            if index == self.before_cool_down:
                result.extend(step for offer in others for step in self._steps(offer))
                others = []
            result.append(step)
        result.extend(step for offer in (*ranked, *others) for step in self._steps(offer))
        added = [shape for offer in chosen for shape in offer.shapes if shape.turn]
        if not added:
            return tuple(result)
        name = added[0].intended[0].movement
        rest = self.draft.library.movements[name].rest
        return rest_promises.kept_apart(result, rest_promises.least_gaps(self.steps, rest))

    def _steps(self, offer: Offer) -> list[Step]:
        """The steps of an offer, once only where both hands do it."""
        found = map(self._forms.resolve, offer.steps)
        return [step for step in found if step is not None]
