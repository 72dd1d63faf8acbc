"""Trials: one thing changed for four sessions, then looked at; the outcome is told, also none.

Owns what may be tried, how long, and what counts as an outcome. One runs at a time. What is
proposed never asks for more: a longer rest, fewer tries, another focus. The sessions of a trial are
held against those before it by the exact test of all splits; the n-th trial of a record has the
chance SHARE * 6 / (pi n)^2 of being told as a difference where there is none, which comes to SHARE
over all of them (the sum of 1 / n^2 is pi^2 / 6).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from math import pi
from statistics import fmean, median

from coach.errors import UsageError
from coach.model.messages import Message, message
from coach.planning.day_tags import MOST_TRIES
from coach.planning.recovery import OWN
from coach.record.amounts import count
from coach.record.digest import HEIGHTS
from coach.record.entry import Entry
from coach.record.evidence import Shrunken, shrunken_gap, splits

REST, TRIES, FOCUS = "rest", "tries", "focus"
WHAT = (REST, TRIES, FOCUS)
#: Sessions of a trial, as many as are needed before one and between two, and the most that are
#: looked back on (our choice). Four beside four can't come below .0286, beside eight .004.
LENGTH, BETWEEN, BEFORE = 4, 4, 12
#: The chance that any trial of a record is told as a difference where there is none.
SHARE = 0.02
#: The usual size of an effect, in steps of height a try: the prior's spread (our choice).
SIZE = 0.5
#: Seconds by which a rest is tried longer, and tries by which a day is tried shorter (our choice).
LONGER, FEWER = 60, 2
#: Tries of a usual day from which on fewer are worth a trial (our choice).
MANY = 5
#: A trial that nobody begins is proposed beside so many sessions; then none is for so many more,
#: and the next one is another where there is another (our choice).
OFFERED, QUIET = 2, 24


@dataclass(frozen=True, slots=True)
class Trial:
    """One change, begun on a day."""

    what: str
    """One of WHAT."""
    value: str
    """Seconds of rest, hard tries at most, or the name of a focus."""
    begun: datetime
    given_up: datetime | None = None

    def over(self, when: datetime) -> "Trial":
        """The trial, given up."""
        return replace(self, given_up=when)

    @property
    def text(self) -> str:
        """What is different in it."""
        if self.what == REST:
            return f"rest {int(self.value) // 60}:{int(self.value) % 60:02} between hard tries"
        if self.what == TRIES:
            return f"stop after {count(int(self.value), 'hard try', 'hard tries')}"
        return f"begin with the focus {self.value}"


def trial(what: str, value: str, begun: datetime) -> Trial:
    """A trial as it was typed; UsageError for what can't be one. A focus is not looked up here."""
    if what == REST:
        minutes, _, seconds = value.partition(":")
        least, most = OWN
        if minutes.isdigit() and (seconds or "0").isdigit():
            rest = 60 * int(minutes) + int(seconds or 0)
            if least <= rest <= most:
                return Trial(REST, str(rest), begun)
        raise UsageError(
            f"{value!r} is no rest between hard tries",
            f"From {least / 60:g}:00 to {most / 60:g}:00, as '4:00' or '4'.",
        )
    if what == TRIES and not (value.isdigit() and 1 <= int(value) <= MOST_TRIES):
        raise UsageError(f"{value!r} is no number of hard tries", f"From 1 to {MOST_TRIES}.")
    return Trial(what, value, begun)


def running(trials: Sequence[Trial], sessions: int) -> Trial | None:
    """The trial that is not over, after so many sessions since its begin."""
    last = trials[-1] if trials else None
    return last if last and last.given_up is None and sessions < LENGTH else None


def heights(entry: Entry, first: int | None = None) -> list[int]:
    """How high the tries of a session went, the first so many; those not told are left out."""
    return [HEIGHTS.index(result) for _, result in entry.digest.tried[:first] if result in HEIGHTS]


def since(one: Trial, entries: Sequence[Entry]) -> list[Entry]:
    """The sessions with a told try since a trial began, the earliest first."""
    return [entry for entry in entries if entry.begun >= one.begun and heights(entry)]


@dataclass(frozen=True, slots=True)
class TrialOutcome:
    """What became of a trial that is over."""

    trial: Trial
    before: int
    """Sessions that it is held against."""
    seen: Shrunken
    """In steps of height a try."""
    chance: float
    """Of a difference at least as large where there is none."""
    claimed: bool

    @property
    def found(self) -> str:
        """'higher', 'lower', or 'none' where no difference shows."""
        if not self.claimed:
            return "none"
        return "higher" if self.seen.mean > 0 else "lower"

    @property
    def text(self) -> str:
        """In one sentence, with its count."""
        span = f"{self.seen.low:+.1f} to {self.seen.high:+.1f} steps a try"
        beside = f"{count(LENGTH, 'session')} beside {self.before} before"
        told = {
            "none": "no difference that so few can show",
            "higher": "tries went higher",
            "lower": "tries went lower",
        }[self.found]
        return f"{self.trial.text}: {told} ({span}; {beside}, exact test, p = {self.chance:.3f})"

    @property
    def told(self) -> Message:
        """The same, to be said."""
        return message(f"trial-{self.found}", what=f"trial-of-{self.trial.what}")


def outcome(trials: Sequence[Trial], number: int, entries: Sequence[Entry]) -> TrialOutcome | None:
    """What became of the trial with a number, from 0; None where it is not over, or given up."""
    one = trials[number]
    during = since(one, entries)[:LENGTH]
    if one.given_up is not None or len(during) < LENGTH:
        return None
    first = int(one.value) if one.what == TRIES else None
    before = [e for e in entries if e.begun < one.begun and heights(e)][-BEFORE:]
    here = [fmean(heights(entry, first) or heights(entry)) for entry in during]
    there = [fmean(heights(entry, first) or heights(entry)) for entry in before]
    if len(there) < LENGTH:
        return TrialOutcome(one, len(there), shrunken_gap(here, there, SIZE), 1.0, claimed=False)
    chance = splits(here, there)
    share = SHARE * 6.0 / (pi * (number + 1)) ** 2
    return TrialOutcome(one, len(there), shrunken_gap(here, there, SIZE), chance, chance <= share)


def outcomes(trials: Sequence[Trial], entries: Sequence[Entry]) -> list[TrialOutcome]:
    """What became of each trial that is over, the earliest first."""
    found = (outcome(trials, number, entries) for number in range(len(trials)))
    return [one for one in found if one is not None]


def just_over(trials: Sequence[Trial], entries: Sequence[Entry]) -> TrialOutcome | None:
    """The outcome of a trial whose last session is the last one on the record: told once."""
    found = outcome(trials, len(trials) - 1, entries) if trials else None
    if found is None or len(since(found.trial, entries)) != LENGTH:
        return None
    return found if heights(entries[-1]) else None


def proposed(
    trials: Sequence[Trial], entries: Sequence[Entry], rest: float, focus: str, now: datetime
) -> Trial | None:
    """The one change that is proposed next; None while one runs or the record is too short.

    What was not begun rests for QUIET sessions: nobody has to say no.

    `rest` is a longer rest in seconds that is worth a try, 0 for none; `focus` one that is
    practised least.
    """
    # the rests of several are nobody's own
    told = [entry for entry in entries if heights(entry) and not entry.with_others]
    done = {(one.what, one.value) for one in trials}
    enough = BETWEEN
    if trials:
        last = trials[-1]
        if running(trials, len(since(last, entries))) is not None:
            return None
        begun = last.given_up or last.begun
        enough = BETWEEN if last.given_up is not None else LENGTH + BETWEEN
        told = [entry for entry in told if entry.begun >= begun]
    if len(told) < enough:
        return None
    turn, offered = divmod(len(told) - enough, OFFERED + QUIET)
    if offered >= OFFERED:
        return None
    longer = round(rest / 30) * 30
    usual = round(median(len(entry.digest.tried) for entry in told[-BEFORE:]))
    wanted = (
        (REST, str(longer), OWN[0] <= longer <= OWN[1]),
        (TRIES, str(min(usual - FEWER, MOST_TRIES)), usual >= MANY),
        (FOCUS, focus, bool(focus)),
    )
    left = [(what, value) for what, value, fits in wanted if fits and (what, value) not in done]
    return Trial(*left[turn % len(left)], now) if left else None
