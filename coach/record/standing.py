"""What stands for a person: told in any session, and not cleared since.

A warning sign stands until somebody states by key that a clinician cleared it ('cleared:PART', or
'cleared:SIGN' where it had no part). What was told to hurt stands until it is stated by key to be
well again ('well:PART'), or cleared; an illness until it is well again ('well:SIGN') or cleared.
What was sore stands until the part was told to feel better, or is well again. `coach.record.ending`
has what is asked before.
"""

from bisect import bisect_right
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from coach.model.body import Feel, Part, Tissue
from coach.model.facts import TAKEN_BACK, Felt, SignTold
from coach.model.signs import HURT, NAMELESS, SETTLED

CLEARED, WELL = "cleared:", "well:"
#: Signs that end like a pain does: by being well again, after what is asked then.
ILL = ("fever", "ill", "after-illness")
#: Days from a sign of the head to the first hard try, even where a clinician has cleared it (UK
#: guidance for sport outside professional care, 2023: no competition before day 21; that a hard try
#: waits as long is our choice).
HEAD_DAYS = 21


# Tuples: a start makes some of each for every session there is, and these are made soonest.
class JournalPlace(NamedTuple):
    """Where in the journal something stands."""

    session: int
    """Its number; below 0 for what was stated between sessions."""
    seq: int
    instant: float
    """Seconds since 1970 at which its session began, by the clock of that day."""
    after: float = 0.0
    """Seconds from there to the moment itself."""


class Told(NamedTuple):
    """A sign, a feel, or a claim by key ('cleared:fingers') of one person."""

    place: JournalPlace
    day: date
    what: SignTold | Felt | str


@dataclass(frozen=True, slots=True)
class Stands:
    """One thing that stands."""

    day: date
    """The day it was told."""
    part: Part | None
    sign: str = ""
    """The warning sign; '' for a feel."""
    feel: Feel | None = None
    """HURTING or SORE; None for a sign."""
    tissue: Tissue | None = None

    @property
    def ends_by(self) -> str:
        """The claim that ends it; what is sore also ends by feeling better."""
        return (CLEARED if self.sign and self.sign not in ILL else WELL) + self.what

    @property
    def told(self) -> str:
        """What it is and since when, as the beginning of a line."""
        if not self.sign:
            name = f"{self.part} {self.feel}"
        elif self.sign in NAMELESS:
            name = f"{self.part}, a warning sign" if self.part else "a warning sign"
        else:
            name = f"{self.part}, a warning sign ({self.sign})" if self.part else self.sign
        return f"{name.replace('-', ' ').capitalize()}, told on {self.day:%d %B %Y}"

    @property
    def typed(self) -> str:
        """The claim as it is typed: 'well wrists'."""
        return self.ends_by.replace(":", " ")

    @property
    def until(self) -> str:
        """How it ends, as a sentence."""
        if self.feel is Feel.SORE:
            return f"It is told of until it feels fine, or you type 'coach people {self.typed}'."
        how = "a clinician has cleared it" if self.ends_by.startswith(CLEARED) else "it is well"
        return f"It stands until {how}: then type 'coach people {self.typed}'."

    @property
    def what(self) -> str:
        """What a claim calls it: its part, else its sign."""
        return str(self.part or self.sign)


Before = Callable[[JournalPlace, JournalPlace], bool]
"""Whether the first surely comes before the second."""


def standing(
    told: Sequence[Told], before: Before, about: "BySubject | None" = None
) -> tuple[Stands, ...]:
    """What of a person's told things stands, the earliest first; of a feel the last one of a part.

    `told` is in the order of the journal, `about` what `by_subject` made of it. Where the order of
    two things is not sure, what was told stands: that is the safe side.
    """
    about = by_subject(told) if about is None else about
    found = []
    for n, one in enumerate(told):
        # what was told again is most of it, and found at once
        if not _lasts(one) or _told_again(told, n, about):
            continue
        # what ends it is mostly the latest of its kind
        like = (told[other] for key in _subjects(one) for other in reversed(about[key]))
        if not any(_ends(other, one, before) for other in like):
            found.append(_stands(one))
    return tuple(found)


def eased(
    told: Sequence[Told],
    before: Before,
    last: JournalPlace | None,
    today: date,
    about: "BySubject | None" = None,
) -> tuple[str, ...]:
    """The parts, or signs without one, that a claim ended and that stay careful today.

    Those that ended after a person's last session, and a head for three weeks; what was only sore
    does not. `last` is where that session began; None for no session at all. `about` as `standing`.
    """
    about = by_subject(told) if about is None else about
    heads = [one for one in told if _of_the_head(one, today)]
    found = []
    for claim in told:
        if not isinstance(claim.what, str):
            continue
        # of what ended before the last session, which is most of it, only a head can be careful
        first = last is None or not before(claim.place, last)
        like = [told[n] for key in _subjects(claim) for n in about[key]] if first else heads
        if any(not _sore(one) and _ends(claim, one, before) for one in like):
            found.append(claim.what.removeprefix(CLEARED).removeprefix(WELL))
    return tuple(dict.fromkeys(found))


BySubject = Mapping[str, Sequence[int]]


def by_subject(told: Sequence[Told]) -> BySubject:
    """Subject -> where in `told` something is about it: ten years are looked through once."""
    about: dict[str, list[int]] = {}
    for n, one in enumerate(told):
        for key in _subjects(one):
            about.setdefault(key, []).append(n)
    return about


def _subjects(one: Told) -> tuple[str, ...]:
    """What something is about: only what shares a subject can end it, or tell it again."""
    if isinstance(one.what, str):
        return (one.what.removeprefix(CLEARED).removeprefix(WELL),)
    if isinstance(one.what, Felt):
        return (one.what.part,)
    named = one.what.part or one.what.sign
    if one.what.sign in (HURT, SETTLED):
        return (named, f"where, in session {one.place.session}")
    return (named, _ILLNESS) if one.what.sign in ILL else (named,)


#: The subject that illnesses share: one ends where the easy weeks after it begin.
_ILLNESS = "any illness"


def _told_again(told: Sequence[Told], n: int, about: BySubject) -> bool:
    like = about[_subjects(told[n])[0]]
    return any(_repeats(told[like[at]], told[n]) for at in range(bisect_right(like, n), len(like)))


def _sore(one: Told) -> bool:
    return isinstance(one.what, Felt) and one.what.feel is Feel.SORE


def _of_the_head(one: Told, today: date) -> bool:
    head = isinstance(one.what, SignTold) and one.what.part is Part.HEAD
    return head and (today - one.day).days < HEAD_DAYS


def _lasts(one: Told) -> bool:
    if isinstance(one.what, Felt):
        return one.what.feel in (Feel.HURTING, Feel.SORE)
    return isinstance(one.what, SignTold) and one.what.sign != SETTLED


def _ends(other: Told, one: Told, before: Before) -> bool:
    """Whether another thing ends the one."""
    # the order is asked last: it is what takes time
    return _could_end(other, one) and before(one.place, other.place)


def _could_end(other: Told, one: Told) -> bool:
    """Whether another thing would end the one if it came after it."""
    what, later = one.what, other.what
    if isinstance(what, str):
        return False
    if isinstance(later, str):
        if isinstance(what, SignTold):
            named = str(what.part or what.sign)
            return later == CLEARED + named or (what.sign in ILL and later == WELL + named)
        return later in (CLEARED + str(what.part), WELL + str(what.part))
    if isinstance(what, SignTold) and isinstance(later, SignTold):
        if later.sign == SETTLED:
            return what.sign == HURT and one.place.session == other.place.session
        # seven days without symptoms have passed: the easy weeks begin
        return what.sign in ILL[:-1] and later.sign == ILL[-1]
    return (
        isinstance(what, Felt)
        and isinstance(later, Felt)
        and later.part == what.part
        and later.feel in (Feel.FRESH, Feel.FINE)
        and (what.feel is Feel.SORE or _taken_back(one, other))
    )


def _taken_back(one: Told, other: Told) -> bool:
    """Whether a leader took it back in the same session: it was told of the wrong person."""
    same = one.place.session == other.place.session
    return same and isinstance(other.what, Felt) and other.what.gate == TAKEN_BACK


def _repeats(other: Told, one: Told) -> bool:
    """Whether the same sign, or a feel of the same part no better, was told again.

    The last one tells the day.
    """
    what, later = one.what, other.what
    if isinstance(what, SignTold) and isinstance(later, SignTold):
        # where it hurts is told of one session's hurt, not of an earlier one's
        elsewhere = what.sign == HURT and one.place.session != other.place.session
        return (what.sign, what.part) == (later.sign, later.part) and not elsewhere
    return (
        isinstance(what, Felt)
        and isinstance(later, Felt)
        and later.part == what.part
        and _lasts(other)
        and (what.feel is Feel.SORE or later.feel is Feel.HURTING)
    )


def _stands(one: Told) -> Stands:
    if isinstance(one.what, SignTold):
        return Stands(one.day, one.what.part, one.what.sign)
    assert isinstance(one.what, Felt)
    return Stands(one.day, one.what.part, "", one.what.feel, one.what.tissue)
