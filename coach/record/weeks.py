"""Build weeks and easier ones: when the record asks for less, and how sure that is.

Owns these rules. An easier week means less volume and effort, not a week off (Coleman 2024, PeerJ
12:e16777: a week off cost strength; Rogerson 2024, Sports Med Open 10:26: about a week of less
every five or six, by 246 athletes' own account). It is proposed, never imposed; nothing here raises
anything. No ratio of one load to another is looked at, and nothing is forecast.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import fmean, median

from coach.model.body import Feel
from coach.record.digest import HEIGHTS
from coach.record.entry import Entry
from coach.record.load import session_load

CHOICE = "our choice"

#: Build weeks before an easier one, where nobody chose otherwise (our choice: trainers' usual
#: three to one; the athletes asked in Rogerson 2024 took one in 5.6 +- 2.3 weeks).
BUILD = 3
#: Sessions of a usual week from which on weeks are counted: once a week builds up nothing that an
#: easier week would let recover (our choice).
OFTEN = 2
#: A week counts as easier when its load is at most this share of the weeks before it (our choice).
EASIER = 0.7
#: What an easier week keeps of the usual minutes and of the hard tries (our choice).
MINUTES, TRIES = 0.7, 0.5
#: The latest sessions and those before them whose efforts and results are compared; the steps of
#: height a try that weigh as much as one of effort; how much harder is enough (our choice, made on
#: simulated climbers: `tests.bench.years`).
NOW, THEN, STEP, HARDER = 6, 18, 0.6, 1.0
#: Rules whose firing tells of a short night.
SHORT_NIGHT = "short-of-sleep"
#: Days without a session after which the first week is an easier one.
AWAY = 14


@dataclass(frozen=True, slots=True)
class Week:
    """One week of one person."""

    monday: date
    sessions: tuple[Entry, ...]

    @property
    def load(self) -> float:
        """Session effort by minutes, of the sessions whose effort was told (Foster 2001)."""
        return sum(session_load(entry) or 0.0 for entry in self.sessions)

    @property
    def hard_tries(self) -> int:
        """Hard tries."""
        return sum(entry.digest.hard_tries for entry in self.sessions)


@dataclass(frozen=True, slots=True)
class Easier:
    """A proposal to do less for a week, with what asks for it."""

    because: str
    sure: str
    minutes: float = MINUTES
    """Share of the usual minutes that stays."""
    tries: float = TRIES
    """Share of the usual hard tries that stays."""


def weeks_of(entries: Sequence[Entry], today: date) -> list[Week]:
    """Every week from the first session's to today's, empty ones included."""
    if not entries:
        return []
    by_week: dict[date, list[Entry]] = {}
    for entry in entries:
        by_week.setdefault(_monday(entry.day), []).append(entry)
    monday = min(by_week)
    found = []
    while monday <= today:
        found.append(Week(monday, tuple(by_week.get(monday, ()))))
        monday += timedelta(days=7)
    return found


def easier(entries: Sequence[Entry], today: date, build: int | None = BUILD) -> Easier | None:
    """The first reason of all for an easier week from today on; None where none asks for it.

    `build` is how many weeks are built up before one is easier; None leaves that rule out.
    """
    past = [entry for entry in entries if entry.day <= today]
    if not past:
        return None
    # what the body tells asks for it whatever the last week was
    rules = _BODY if _eased(past, today) else (*_BODY, *_LOAD)
    for rule in rules:
        found = rule(past, today)
        if found is not None:
            return found
    return None if build is None or rules is _BODY else _built(past, today, build)


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())


def _since(entries: Sequence[Entry], today: date, days: int) -> list[Entry]:
    return [entry for entry in entries if (today - entry.day).days < days]


def _eased(entries: Sequence[Entry], today: date) -> bool:
    """Whether the seven days before today were an easier week, beside the three before them.

    By minutes or by hard tries: an effort that is told may only ask for less.
    """
    weeks = [[e for e in entries if 7 * n < (today - e.day).days <= 7 * n + 7] for n in range(4)]
    if not all(weeks[1:]):
        return False
    minutes = [sum(e.digest.seconds for e in week) for week in weeks]
    tries = [sum(e.digest.hard_tries for e in week) for week in weeks]
    shorter = minutes[0] <= EASIER * fmean(minutes[1:])
    return shorter or tries[0] < TRIES * fmean(tries[1:])


def _two_sore(entries: Sequence[Entry], today: date) -> Easier | None:
    bad = (Feel.SORE, Feel.HURTING)
    parts = {
        part
        for entry in _since(entries, today, 7)
        for part, feel in entry.digest.felt.items()
        if feel in bad
    }
    if len(parts) < 2:
        return None
    named = " and ".join(sorted(part.value for part in parts)[:2])
    return Easier(f"Two parts were sore within a week: {named}.", CHOICE)


def _short_nights(entries: Sequence[Entry], today: date) -> Easier | None:
    nights = sum(SHORT_NIGHT in e.digest.rules for e in _since(entries, today, 10))
    return Easier("Three short nights within ten days.", CHOICE) if nights >= 3 else None


def _falling(entries: Sequence[Entry], today: date) -> Easier | None:
    """The last sessions felt harder for what came of them than those before."""
    told = [e for e in entries if e.digest.effort is not None and _height(e) is not None]
    before, after = told[-NOW - THEN : -NOW], told[-NOW:]
    if len(before) < THEN or (today - told[-1].day).days > AWAY:
        return None
    harder = _effort(after) - _effort(before)
    lower = _mean_height(before) - _mean_height(after)
    if harder + lower / STEP < HARDER:
        return None
    return Easier(f"Your last {NOW} sessions felt harder for what came of them.", CHOICE)


def _all_out(entries: Sequence[Entry], today: date) -> Easier | None:
    """Three sessions of the last seven days told as very hard or all out."""
    hard = [e for e in _since(entries, today, 7) if (e.digest.effort or 0) >= 8]
    if len(hard) < 3:
        return None
    return Easier("Three of your last seven days were all out.", CHOICE)


def _away(entries: Sequence[Entry], today: date) -> Easier | None:
    days = (today - max(entry.day for entry in entries)).days
    return Easier(f"{days} days since the last session.", CHOICE) if days >= AWAY else None


def in_a_row(entries: Sequence[Entry], today: date) -> int:
    """How many whole weeks up to now followed each other, none of them easier."""
    loads = [week.load for week in weeks_of(entries, today) if week.monday < _monday(today)]
    usual = median([load for load in loads if load] or [0.0])
    row = 0
    for load in reversed(loads):
        if load <= EASIER * usual:
            break
        row += 1
    return row


def _built(entries: Sequence[Entry], today: date, build: int) -> Easier | None:
    """So many weeks in a row, none of them easier; asked again only after as many more."""
    whole = [w for w in weeks_of(entries, today) if w.sessions and w.monday < _monday(today)]
    if not whole or median(len(week.sessions) for week in whole[-8:]) < OFTEN:
        return None
    row = in_a_row(entries, today)
    if row < build or row % (build + 1) != build:
        return None
    return Easier(f"{row} weeks in a row without an easier one.", CHOICE)


def _effort(entries: Sequence[Entry]) -> float:
    return fmean(float(entry.digest.effort or 0) for entry in entries)


def _height(entry: Entry) -> float | None:
    told = [HEIGHTS.index(result) for _, result in entry.digest.tried if result in HEIGHTS]
    return fmean(told) if told else None


def _mean_height(entries: Sequence[Entry]) -> float:
    return fmean(_height(entry) or 0.0 for entry in entries)


_Rule = Callable[[Sequence[Entry], date], Easier | None]
_BODY: tuple[_Rule, ...] = (_away, _two_sore, _short_nights)
_LOAD: tuple[_Rule, ...] = (_falling, _all_out)
