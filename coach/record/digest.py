"""One session of one person in numbers: what lists, trends and suggestions are made from.

Owns which facts count as what (mobility, hang, focus, top ...). It holds nothing that the facts
do not; the journal keeps it beside them, so that ten years are read in a moment.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TypeVar

from coach.model.body import Feel, Part
from coach.model.facts import (
    Climbed,
    Decided,
    EdgeChecked,
    Fact,
    Felt,
    Finished,
    Rested,
    RuleFired,
    ScaleRead,
    SignTold,
    StepEnded,
    Tried,
    WentForIt,
)
from coach.model.movement import Family, Movement
from coach.model.plan import StepKind
from coach.model.routine import BlockKind

#: Changes whenever `digest` would make something else of the same facts.
VERSION = 2

MOBILITY = "mobility"
HANGS = "hangs"
FOCUS = "focus"
#: The small doses that history counts, in the order they are shown.
DOSES = (MOBILITY, HANGS, FOCUS)

#: Where a try ended, the lowest first; 'untold' is no place.
HEIGHTS = ("start", "middle", "top", "topped")

Number = TypeVar("Number", int, float)

_WORST_FIRST = tuple(reversed(Feel))


@dataclass(frozen=True, slots=True)
class Digest:
    """What one person did in one session."""

    seconds: float = 0.0
    """Elapsed less paused; where no end was recorded, up to the last fact."""
    effort: int | None = None
    """Session effort 0 to 10 in Foster's words; None when it was not told."""
    how: str = ""
    """How it ended; '' when no end was recorded."""
    doses: Mapping[str, float] = field(default_factory=dict)
    """Seconds of work of mobility, hangs, focus."""
    focuses: Mapping[str, float] = field(default_factory=dict)
    """Seconds of work by focus movement."""
    blocks: Mapping[str, float] = field(default_factory=dict)
    """Seconds of work by kind of block."""
    boulders: Mapping[str, int] = field(default_factory=dict)
    """Boulders climbed by tier, hard tries not counted."""
    paces: Mapping[str, float] = field(default_factory=dict)
    """Seconds of one boulder by tier, from batches that were told to be done."""
    tries: Mapping[str, int] = field(default_factory=dict)
    """Tries by boulder."""
    highest: Mapping[str, str] = field(default_factory=dict)
    """Where the best try of each boulder ended, one of HEIGHTS; untold ones are left out."""
    go_aheads: int = 0
    """How often the go-ahead was asked and answered."""
    gone_for: int = 0
    """How often the answer was to go."""
    tries_gone_for: int = 0
    """Of the tries that were asked about, those that she went for."""
    tries_held_back: int = 0
    """And those on which she held back."""
    rests: tuple[tuple[float, float], ...] = ()
    """Suggested and taken seconds of each rest between hard tries."""
    edges: tuple[EdgeChecked, ...] = ()
    felt: Mapping[Part, Feel] = field(default_factory=dict)
    """The worst that each part was told to feel."""
    signs: tuple[str, ...] = ()
    """Warning signs, with the part where one was named."""
    rules: Mapping[str, int] = field(default_factory=dict)
    """How often each rule fired."""

    @property
    def tops(self) -> tuple[str, ...]:
        """Boulders that were topped."""
        return tuple(boulder for boulder, height in self.highest.items() if height == "topped")

    @property
    def hard_tries(self) -> int:
        """How many hard tries there were."""
        return sum(self.tries.values())


def digest(facts: Iterable[Fact], who: int, movements: Mapping[str, Movement]) -> Digest:
    """The facts of one person, those of everybody included, in numbers.

    A movement that is not in the catalogue counts by its block.
    """
    own = [fact for fact in facts if fact.who in (0, who)]
    steps = [fact for fact in own if isinstance(fact, StepEnded) and fact.amount > 0]
    ended = [fact for fact in own if isinstance(fact, Finished)]
    decided = [fact.go for fact in own if isinstance(fact, Decided)]
    tried = [fact for fact in own if isinstance(fact, Tried)]
    gone = [fact.gone for fact in own if isinstance(fact, WentForIt)]
    hard = {fact.step for fact in steps if fact.block == BlockKind.HARD}
    return Digest(
        seconds=ended[-1].seconds if ended else max((fact.at for fact in own), default=0.0),
        effort=ended[-1].effort if ended else None,
        how=ended[-1].how if ended else "",
        doses=_sums((_dose(step, movements), step.seconds) for step in steps),
        focuses=_sums(
            (step.movement if _dose(step, movements) == FOCUS else "", step.seconds)
            for step in steps
        ),
        blocks=_sums((step.block, step.seconds) for step in steps),
        boulders=_sums((fact.tier, fact.boulders) for fact in own if isinstance(fact, Climbed)),
        paces=_paces(fact for fact in steps if fact.outcome == "done"),
        tries=Counter(fact.boulder for fact in tried),
        highest=_highest(tried),
        go_aheads=len(decided),
        gone_for=sum(decided),
        tries_gone_for=sum(gone),
        tries_held_back=len(gone) - sum(gone),
        rests=tuple(
            (fact.suggested, fact.seconds)
            for fact in own
            if isinstance(fact, Rested) and fact.after in hard
        ),
        edges=_edges(own),
        felt=_worst(fact for fact in own if isinstance(fact, Felt)),
        signs=tuple(
            f"{fact.sign} ({fact.part})" if fact.part else fact.sign
            for fact in own
            if isinstance(fact, SignTold)
        ),
        rules=Counter(fact.rule for fact in own if isinstance(fact, RuleFired)),
    )


def _edges(own: Iterable[Fact]) -> tuple[EdgeChecked, ...]:
    """The edge checks, each with the last reading that was told of it."""
    edges: list[EdgeChecked] = []
    for fact in own:
        if isinstance(fact, EdgeChecked):
            edges.append(fact)
        elif isinstance(fact, ScaleRead) and edges:
            edges[-1] = replace(edges[-1], reading=fact.reading)
    return tuple(edges)


_MOBILITY = (Family.MAT, Family.HANDS, Family.SHOULDERS, Family.COOL_DOWN)
_BY_BLOCK: dict[str, str] = {BlockKind.MAT: MOBILITY, BlockKind.BOARD: HANGS}


def _dose(step: StepEnded, movements: Mapping[str, Movement]) -> str:
    """Which of DOSES a step adds to; '' for none."""
    movement = movements.get(step.movement)
    if movement is None:
        return _BY_BLOCK.get(step.block, "")
    if movement.family is Family.FOCUS:
        return FOCUS
    if movement.hang is not None:
        return HANGS
    return MOBILITY if movement.family in _MOBILITY else ""


def _sums(pairs: Iterable[tuple[str, Number]]) -> dict[str, Number]:
    """Sums by name; what has no name or no amount is left out."""
    found: dict[str, Number] = {}
    for name, amount in pairs:
        if name and amount:
            found[name] = found[name] + amount if name in found else amount
    return found


def _paces(steps: Iterable[StepEnded]) -> dict[str, float]:
    batches = [step for step in steps if step.kind == StepKind.CLIMB]
    seconds = _sums((step.block, step.seconds) for step in batches)
    boulders = _sums((step.block, step.amount) for step in batches)
    return {tier: spent / boulders[tier] for tier, spent in seconds.items()}


def _highest(tried: Iterable[Tried]) -> dict[str, str]:
    best: dict[str, str] = {}
    for fact in tried:
        if fact.result in HEIGHTS:
            before = best.get(fact.boulder, HEIGHTS[0])
            best[fact.boulder] = max(before, fact.result, key=HEIGHTS.index)
    return best


def _worst(felt: Iterable[Felt]) -> dict[Part, Feel]:
    worst: dict[Part, Feel] = {}
    for fact in felt:
        before = worst.get(fact.part, fact.feel)
        worst[fact.part] = min(before, fact.feel, key=_WORST_FIRST.index)
    return worst
