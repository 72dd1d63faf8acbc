"""One session of one person in numbers: what lists, trends and suggestions are made from.

Owns which facts count as what (mobility, hang, focus, top ...). It holds nothing that the facts
do not; the journal keeps it beside them, so that ten years are read in well under a second.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import TypeVar

from coach.model.body import Feel, Part
from coach.model.doses import FOCUS, dose_of
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
from coach.model.movement import Movement
from coach.model.plan import StepKind
from coach.model.signs import HURT, SETTLED
from coach.record.retelling import as_last_told

#: Changes whenever `digest` would make something else of the same facts.
VERSION = 3

#: Where a try ended, the lowest first; 'untold' is no place.
HEIGHTS = ("start", "middle", "top", "topped")
RANKS = {height: rank for rank, height in enumerate(HEIGHTS)}

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
    tried: tuple[tuple[str, str], ...] = ()
    """Boulder and result of each hard try, in order."""
    go_aheads: int = 0
    """How often the go-ahead was asked and answered."""
    gone_for: int = 0
    """How often the answer was to go."""
    tries_gone_for: int = 0
    """Of the tries that were asked about, those that she went for."""
    tries_held_back: int = 0
    """And those on which she held back."""
    rests: tuple[tuple[float, float], ...] = ()
    """Suggested and taken seconds between each two hard tries of the person; see `_rests`."""
    edges: tuple[EdgeChecked, ...] = ()
    felt: Mapping[Part, Feel] = field(default_factory=dict)
    """The worst that each part was told to feel."""
    signs: tuple[str, ...] = ()
    """Warning signs, with the part where one was named."""
    rules: Mapping[str, int] = field(default_factory=dict)
    """How often each rule fired."""

    @property
    def tries(self) -> Mapping[str, int]:
        """Tries by boulder."""
        return Counter(boulder for boulder, _ in self.tried)

    @property
    def highest(self) -> Mapping[str, str]:
        """Where the best try of each boulder ended, one of HEIGHTS; untold ones are left out."""
        best: dict[str, str] = {}
        for boulder, result in self.tried:
            rank = RANKS.get(result)
            if rank is not None and rank >= RANKS[best.get(boulder, result)]:
                best[boulder] = result
        return best

    @property
    def tops(self) -> tuple[str, ...]:
        """Boulders that were topped."""
        if not any(result == "topped" for _, result in self.tried):  # mutant: it is only sooner
            return ()
        return tuple(boulder for boulder, height in self.highest.items() if height == "topped")

    @property
    def hard_tries(self) -> int:
        """How many hard tries there were."""
        return len(self.tried)


def digest(facts: Iterable[Fact], who: int, movements: Mapping[str, Movement]) -> Digest:
    """One person in numbers, from the facts of everybody in their session, in order.

    What several people told has to be theirs already (`coach.record.attribution`). A movement
    that is not in the catalogue counts by its block.
    """
    every = list(facts)
    own = [fact for fact in every if fact.who in (0, who)]
    steps = [fact for fact in own if isinstance(fact, StepEnded) and fact.amount > 0]
    ended = [fact for fact in own if isinstance(fact, Finished)]
    decided = [fact.go for fact in own if isinstance(fact, Decided)]
    gone = [fact.gone for fact in own if isinstance(fact, WentForIt)]
    return Digest(
        seconds=ended[-1].seconds if ended else max((fact.at for fact in own), default=0.0),
        effort=ended[-1].effort if ended else None,
        how=ended[-1].how if ended else "",
        doses=_sums(
            (dose_of(movements.get(step.movement), step.block), step.seconds) for step in steps
        ),
        focuses=_sums(
            (
                step.movement if dose_of(movements.get(step.movement), step.block) == FOCUS else "",
                step.seconds,
            )
            for step in steps
        ),
        blocks=_sums((step.block, step.seconds) for step in steps),
        boulders=_sums((fact.tier, fact.boulders) for fact in own if isinstance(fact, Climbed)),
        paces=_paces(fact for fact in steps if fact.outcome == "done"),
        tried=tuple((fact.boulder, fact.result) for fact in _tried(own)),
        go_aheads=len(decided),
        gone_for=sum(decided),
        tries_gone_for=sum(gone),
        tries_held_back=len(gone) - sum(gone),
        rests=tuple(_rests(every, who)),
        edges=_edges(own),
        felt=_worst(fact for fact in own if isinstance(fact, Felt)),
        signs=tuple(_signs(fact for fact in own if isinstance(fact, SignTold))),
        rules=Counter(fact.rule for fact in own if isinstance(fact, RuleFired)),
    )


def _signs(told: Iterable[SignTold]) -> list[str]:
    """The signs; a hurt of which it was told later where it is, is told of there."""
    found: list[str] = []
    for fact in told:
        if fact.sign == SETTLED:
            found = [name for name in found if name != HURT]
        else:
            found.append(f"{fact.sign} ({fact.part})" if fact.part else fact.sign)
    return found


def _edges(own: Iterable[Fact]) -> tuple[EdgeChecked, ...]:
    """The edge checks, each with the last reading that was told of it."""
    edges: list[EdgeChecked] = []
    for fact in own:
        if isinstance(fact, EdgeChecked):
            edges.append(fact)
        elif isinstance(fact, ScaleRead) and edges:
            edges[-1] = replace(edges[-1], reading=fact.reading)
    return tuple(edges)


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


def _tried(own: Iterable[Fact]) -> list[Tried]:
    """Tries by their number of the day: one whose result nobody told is written at the end."""
    tried = [fact for fact in as_last_told(own) if isinstance(fact, Tried)]
    return sorted(tried, key=lambda fact: fact.number)


def _rests(facts: Iterable[Fact], who: int) -> Iterator[tuple[float, float]]:
    """Suggested and taken seconds between each two hard tries of a person.

    Between two of their tries they may rest more than once; the time that others spend on the
    wall meanwhile is rest as well. What follows the last try is no rest between tries.
    """
    since: tuple[float, float] | None = None
    rested = False
    for fact in facts:
        if isinstance(fact, StepEnded) and fact.kind == StepKind.TRY and fact.amount > 0:
            if fact.who == who:
                if since is not None and rested:
                    yield since
                since, rested = (0.0, 0.0), False
            elif since is not None:
                since = (since[0] + fact.seconds, since[1] + fact.seconds)
        elif isinstance(fact, Rested) and fact.who in (0, who) and since is not None:
            since, rested = (since[0] + fact.suggested, since[1] + fact.seconds), True


def _worst(felt: Iterable[Felt]) -> dict[Part, Feel]:
    worst: dict[Part, Feel] = {}
    for fact in felt:
        before = worst.get(fact.part, fact.feel)
        worst[fact.part] = min(before, fact.feel, key=_WORST_FIRST.index)
    return worst
