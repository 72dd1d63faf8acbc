"""The whole proposal: what `coach.record.suggest` allows, with day, place, lesson, and the answer.

Owns what 'easier' and 'not today' make of it: both are full answers, asked for no reason, and
stand for the day on which they were given. Nothing here asks for more than the rules allow.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from statistics import median

from coach.record.amounts import listed
from coach.record.breakpoints import best_rest, clock, drop_off, rest_text, tries_text
from coach.record.comparisons import helped
from coach.record.entry import Entry
from coach.record.suggest import CHOICE, EASED, FULL, LEAST_MINUTES, Grounds, Reason, Suggestion
from coach.record.suggest import suggest as allowed
from coach.record.trial import LENGTH, LONGER, REST, Trial, outcomes, proposed
from coach.record.weeks import MINUTES, TRIES

EASIER, NOT_TODAY = "easier", "not-today"
ANSWERS = (EASIER, NOT_TODAY)
#: What an easier day is called.
EASIER_DAY = "an easier day"
#: Hard tries of an easier day where nobody knows the usual number (our choice).
FEW = 2
#: Sessions in which a weekday, a routine or a place counts as usual, and how often it has to be
#: there (our choice).
LATEST, USUAL = 12, 3


@dataclass(frozen=True, slots=True)
class Beside:
    """What a proposal is made from besides the rules."""

    answer: str = ""
    """What was answered today, one of ANSWERS; '' for nothing."""
    lesson: Callable[[str], str] = lambda boulder: ""
    """Boulder -> what the last day on it taught, and how the next begins; '' for nothing."""
    routines: frozenset[str] = frozenset()
    """Routines that there are: one that is gone is not proposed."""
    places: frozenset[str] = frozenset()
    trials: Sequence[Trial] = ()
    now: datetime | None = None
    """When it is proposed; None proposes no trial."""


def propose(known: Grounds, beside: Beside) -> Suggestion:
    """The proposal of a day."""
    made = allowed(known)
    _where(known.entries, beside, made)
    made.lesson = beside.lesson(made.boulder) if made.boulder else ""
    _learn(known.entries, beside, made)
    if beside.answer == EASIER:
        _ease(made)
    made.answered = beside.answer
    made.day = _next_day(known, beside.answer, made)
    return made


def _learn(entries: Sequence[Entry], beside: Beside, made: Suggestion) -> None:
    """What the record can tell of what helps, and the one change that is proposed, if any."""
    made.learnt = [one.text for one in helped(entries) if one.claimed]
    rest, tries = best_rest(entries), drop_off(entries)
    made.learnt += [rest_text(rest)] if rest else []
    if tries is not None:
        made.learnt.append(tries_text(tries))
        if made.most_tries is None or made.most_tries > tries.at:
            made.most_tries = tries.at
            why = f"Hard tries fell after number {tries.at} of the day: no more than that."
            made.reasons.append(Reason(why, CHOICE))
    made.learnt += [f"{one.text}." for one in outcomes(beside.trials, entries)]
    if beside.now is None or made.kind != FULL:
        return
    usual = _usual_rest(entries)
    worth = (float(rest.at) if rest else usual + LONGER) if usual else 0.0
    if worth < usual + LONGER / 2:
        worth = 0.0
    one = proposed(beside.trials, entries, worth, made.focus, beside.now)
    if one is not None:
        value = clock(float(one.value)) if one.what == REST else one.value
        made.trial = (
            f"{one.text} for {LENGTH} sessions; then we look. coach trial {one.what} {value}"
        )


def _usual_rest(entries: Sequence[Entry]) -> float:
    """Seconds of rest that were taken lately between hard tries; 0 for unknown."""
    taken = [seconds for entry in entries[-LATEST:] for _, seconds in entry.digest.rests]
    return median(taken) if taken else 0.0


def weekdays(entries: Sequence[Entry]) -> tuple[int, ...]:
    """The weekdays that are usual, Monday 0; () where the latest sessions show none."""
    latest = Counter(entry.day.weekday() for entry in entries[-LATEST:])
    return tuple(sorted(day for day, times in latest.items() if times >= USUAL))


def _where(entries: Sequence[Entry], beside: Beside, made: Suggestion) -> None:
    """The routine and place of most of the latest sessions, the latest of equally usual ones."""
    for name, there in (("routine", beside.routines), ("place", beside.places)):
        latest = [getattr(entry, name) for entry in reversed(entries[-LATEST:])]
        for value, times in Counter(latest).most_common(1):
            if times >= USUAL and value in there:
                setattr(made, name, value)
                why = f"{times} of your last {len(latest)} sessions"
                made.reasons.append(Reason(f"{name.capitalize()} {value}: {why}.", CHOICE))


def _ease(made: Suggestion) -> None:
    """Less of what is left, whatever it was; never more."""
    if made.minutes:
        least = min(made.minutes, LEAST_MINUTES)
        made.minutes = max(int(5 * round(made.minutes * MINUTES / 5)), least)
    most = made.most_tries
    made.most_tries = FEW if most is None else max(round(most * TRIES), 1)
    made.kind = EASIER_DAY if made.kind in (FULL, EASED) else made.kind
    made.reasons.append(Reason("You asked for an easier day.", CHOICE))


def _next_day(known: Grounds, answer: str, made: Suggestion) -> date | None:
    """The first usual day on which hard tries may be; None where nothing tells one."""
    if made.hard_from is None:
        return None
    usual = weekdays(known.entries)
    first = max(made.hard_from, known.today + timedelta(days=answer == NOT_TODAY))
    if not usual:
        return first if first > known.today else None
    day = next(
        day for day in (first + timedelta(days=n) for n in range(7)) if day.weekday() in usual
    )
    names = listed([f"{date(2024, 1, 1 + one):%A}" for one in usual])
    made.reasons.append(Reason(f"You mostly climb on {names}.", CHOICE))
    return day
