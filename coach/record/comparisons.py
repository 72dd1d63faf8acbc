"""What helped one person, honestly: each a comparison within her own sessions, or nothing said.

Owns which comparisons there are. Where it can be, one pairs what lay within one session, so that a
good day does not pass for a good habit; what differs only between sessions is paired with the
nearest session that was otherwise, each session once. It is claimed only when a wager that may be
looked at after every session has passed its bound; till then it is too little to say. All of them
share CHANCE: the chance of telling anything of nothing, over the whole record.

The order of the easy boulders is not compared: it goes from easy to hard by safety alone.
"""

from bisect import insort
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean, median
from types import MappingProxyType

from coach.record.amounts import count
from coach.record.digest import RANKS
from coach.record.entry import Entry
from coach.record.evidence import LEAST_PAIRS, Shrunken, shrunken, wager

#: The chance of telling a null effect as one, in a whole record, over all comparisons; and how it
#: is shared, most to what she can change most easily (our choice).
CHANCE = 0.02
SHARES = {
    "rest": 0.4,
    "early": 0.2,
    "again": 0.08,
    "drill": 0.08,
    "hour": 0.08,
    "days": 0.08,
    "focus": 0.08,
}
#: The usual size of an effect, in steps of height: the prior's spread (our choice).
USUAL = 0.5
#: Tries up to which a day counts as early, beside the later ones.
EARLY = 4


@dataclass(frozen=True, slots=True)
class Comparison:
    """One thing that was looked at."""

    name: str
    what: str
    """What was held against what."""
    seen: Shrunken
    """In steps of height a try: start, middle, top, topped."""
    better: int
    worse: int
    claimed: bool

    @property
    def text(self) -> str:
        """In one sentence, with its count; what is not known is said to be so."""
        pairs = count(self.seen.pairs, "session")
        if self.seen.pairs < LEAST_PAIRS:
            return f"{self.what}: too little to say ({pairs} of {LEAST_PAIRS})."
        span = f"{self.seen.low:+.1f} to {self.seen.high:+.1f} steps a try, {pairs}"
        if not self.claimed:
            return f"{self.what}: no difference that the record can tell ({span})."
        more = "higher" if self.seen.estimate > 0 else "lower"
        return f"{self.what}: {more} ({span}; {self.better} for, {self.worse} against)."


@dataclass(frozen=True, slots=True)
class _Tried:
    """One try: its height, the rest before it, its number of the day."""

    height: int
    rest: float | None
    number: int


@dataclass(frozen=True, slots=True)
class _Day:
    """A session with the tries of it whose end was told."""

    entry: Entry
    tries: tuple[_Tried, ...]


#: Session uid -> the numbers of the tries that a drill came right before.
Drilled = Mapping[str, frozenset[int]]


def helped(entries: Sequence[Entry], drilled: Drilled = MappingProxyType({})) -> list[Comparison]:
    """Every comparison over a person's sessions, the earliest first."""
    days = [_Day(entry, tuple(_tries(entry))) for entry in entries]
    within: tuple[tuple[str, str, Callable[[_Day], float | None]], ...] = (
        ("rest", "Tries after the longer rests of a day", _longer),
        ("early", f"The first {EARLY} tries beside the later ones", _early),
        ("again", "A second try beside the first on the same boulder", _again),
        ("drill", "Tries right after a drill", lambda day: _drill(day, drilled)),
    )
    made = [
        _compared(name, what, [one for day in days if (one := gap(day)) is not None])
        for name, what, gap in within
    ]
    return made + [
        _compared(name, what, list(_neighbours(days, kinds)))
        for name, what, kinds in _between(days)
    ]


def _compared(name: str, what: str, told: Sequence[float]) -> Comparison:
    better, worse = sum(one > 0 for one in told), sum(one < 0 for one in told)
    bound = 1.0 / (CHANCE * SHARES[name])
    seen = shrunken(told, USUAL)
    won = _won(told, bound) if len(told) >= LEAST_PAIRS else 0
    # the wager is on the signs alone: what most sessions showed has to be what they come to
    claimed = won != 0 and won * (better - worse) > 0 and won * seen.estimate > 0
    return Comparison(name, what, seen, better, worse, claimed)


def _won(differences: Sequence[float], bound: float) -> int:
    """The side, 1 or -1, on which the wager had come to so much after any session; 0 for none."""
    better = worse = 0
    for one in differences:
        better, worse = better + (one > 0), worse + (one < 0)
        if wager(better, worse) >= bound:
            return 1 if better > worse else -1
    return 0


def _tries(entry: Entry) -> Iterator[_Tried]:
    """The tries of a session whose end was told, with the rest that was taken before each."""
    rests = [taken for _, taken in entry.digest.rests]
    for number, (_, result) in enumerate(entry.digest.tried, 1):
        if result in RANKS:
            rest = rests[number - 2] if 0 <= number - 2 < len(rests) else None
            yield _Tried(RANKS[result], rest, number)


def _gap(one: Sequence[_Tried], other: Sequence[_Tried]) -> float | None:
    if not one or not other:
        return None
    return sum(t.height for t in one) / len(one) - sum(t.height for t in other) / len(other)


def _longer(day: _Day) -> float | None:
    told = [(one.rest, one) for one in day.tries if one.rest is not None]
    if not told:
        return None
    middle = median(rest for rest, _ in told)
    longer = [one for rest, one in told if rest > middle]
    return _gap(longer, [one for rest, one in told if rest <= middle])


def _early(day: _Day) -> float | None:
    told = day.tries
    return _gap([t for t in told if t.number <= EARLY], [t for t in told if t.number > EARLY])


def _again(day: _Day) -> float | None:
    """The second try on a boulder of the day beside the first: what the first one taught."""
    heights: dict[str, list[int]] = {}
    for boulder, result in day.entry.digest.tried:
        if result in RANKS:
            heights.setdefault(boulder, []).append(RANKS[result])
    found = [float(b - a) for tried in heights.values() for a, b in list(pairwise(tried))[:1]]
    return fmean(found) if found else None


def _drill(day: _Day, drilled: Drilled) -> float | None:
    """Tries right after a drill beside the others of the day."""
    after = drilled.get(day.entry.uid)
    if not after:
        return None
    return _gap(
        [one for one in day.tries if one.number in after],
        [one for one in day.tries if one.number not in after],
    )


def _between(days: Sequence[_Day]) -> Iterator[tuple[str, str, list[bool | None]]]:
    """What differs between sessions: name, what, and of each session whether it was so."""
    entries = [day.entry for day in days]
    tried = [bool(day.tries) for day in days]
    # held against the usual of the days before, so that no later day changes what was found
    hours = [entry.begun.hour + entry.begun.minute / 60 for entry in entries]
    yield ("hour", "Sessions that began later in the day than your usual ones", _more(hours, tried))
    gaps = [0.0, *(float((b.day - a.day).days) for a, b in pairwise(entries))][: len(entries)]
    yield ("days", "Sessions after more days off than your usual ones", _more(gaps, tried))
    practised = [bool(entry.digest.focuses) for entry in entries]
    yield (
        "focus",
        "Sessions with a focus on the easy boulders",
        [was if told else None for was, told in zip(practised, tried, strict=True)],
    )


def _more(values: Sequence[float], tried: Sequence[bool]) -> list[bool | None]:
    """Of each session whether it had more of something than the middle of those before it."""
    seen: list[float] = []
    found: list[bool | None] = []
    for value, told in zip(values, tried, strict=True):
        middle = seen[len(seen) // 2] if seen else None
        found.append(None if middle is None or not told else value > middle)
        insort(seen, value)
    return found


def _neighbours(days: Sequence[_Day], so: Sequence[bool | None]) -> Iterator[float]:
    """Sessions that were so beside the nearest earlier one that was not, each in one pair only."""
    waiting: tuple[bool, float] | None = None
    for day, kind in zip(days, so, strict=True):
        if kind is None:
            continue
        mean = sum(one.height for one in day.tries) / len(day.tries)
        if waiting is None or waiting[0] == kind:
            waiting = (kind, mean)
            continue
        yield mean - waiting[1] if kind else waiting[1] - mean
        waiting = None
