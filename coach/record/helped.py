"""What helped one person, honestly: each a comparison within her own sessions, or nothing said.

Owns which comparisons there are. Every one pairs what lay within one session, so that a good day
does not pass for a good habit. It is claimed only when a wager that may be looked at after every
session has passed its bound, shared among all comparisons; till then it is too little to say.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean, median

from coach.record.digest import HEIGHTS
from coach.record.entry import Entry
from coach.record.evidence import LEAST_PAIRS, Shrunken, shrunken, wager
from coach.record.words import count

#: The chance of telling a null effect as one, in a whole record, over all comparisons.
CHANCE = 0.05
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


def helped(entries: Sequence[Entry]) -> list[Comparison]:
    """Every comparison over a person's sessions, the earliest first."""
    return [_compared(name, what, gap, entries) for name, what, gap in _COMPARISONS]


def _compared(
    name: str,
    what: str,
    difference: Callable[[Entry, float], float | None],
    entries: Sequence[Entry],
) -> Comparison:
    middle = _usual_rest(entries)
    told = [one for entry in entries if (one := difference(entry, middle)) is not None]
    better, worse = sum(one > 0 for one in told), sum(one < 0 for one in told)
    bound = len(_COMPARISONS) / CHANCE
    claimed = len(told) >= LEAST_PAIRS and _ever(told) >= bound
    return Comparison(name, what, shrunken(told, USUAL), better, worse, claimed)


def _ever(differences: Sequence[float]) -> float:
    """The most that the wager had come to after any session so far."""
    most, better, worse = 1.0, 0, 0
    for one in differences:
        better, worse = better + (one > 0), worse + (one < 0)
        most = max(most, wager(better, worse))
    return most


def _tries(entry: Entry) -> Iterator[_Tried]:
    """The tries of a session whose end was told, with the rest that was taken before each."""
    rests = [taken for _, taken in entry.digest.rests]
    for number, (_, result) in enumerate(entry.digest.tried, 1):
        if result in HEIGHTS:
            rest = rests[number - 2] if 0 <= number - 2 < len(rests) else None
            yield _Tried(HEIGHTS.index(result), rest, number)


def _usual_rest(entries: Sequence[Entry]) -> float:
    taken = [taken for entry in entries for _, taken in entry.digest.rests]
    return median(taken) if taken else 0.0


def _gap(one: Sequence[_Tried], other: Sequence[_Tried]) -> float | None:
    if not one or not other:
        return None
    return fmean(t.height for t in one) - fmean(t.height for t in other)


def _longer_rest(entry: Entry, usual: float) -> float | None:
    told = [one for one in _tries(entry) if one.rest is not None]
    return _gap(
        [t for t in told if (t.rest or 0.0) > usual], [t for t in told if (t.rest or 0.0) <= usual]
    )


def _early(entry: Entry, _: float) -> float | None:
    told = list(_tries(entry))
    return _gap([t for t in told if t.number <= EARLY], [t for t in told if t.number > EARLY])


def _again(entry: Entry, _: float) -> float | None:
    """The second try on a boulder of the day beside the first: what the first one taught."""
    heights: dict[str, list[int]] = {}
    for boulder, result in entry.digest.tried:
        if result in HEIGHTS:
            heights.setdefault(boulder, []).append(HEIGHTS.index(result))
    found = [float(b - a) for tried in heights.values() for a, b in list(pairwise(tried))[:1]]
    return fmean(found) if found else None


_COMPARISONS: tuple[tuple[str, str, Callable[[Entry, float], float | None]], ...] = (
    ("rest", "Tries after a longer rest than your usual one", _longer_rest),
    ("early", f"The first {EARLY} tries beside the later ones", _early),
    ("again", "A second try beside the first on the same boulder", _again),
)
