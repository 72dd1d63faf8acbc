"""A year on one page: weeks as they were, aims, doses, what was sore when, firsts, what helped.

Plain facts: nothing is scored, and a week without a session is only a week.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from statistics import fmean
from types import MappingProxyType

from coach.model.aim import Aim, AimKind
from coach.model.body import COMPLAINTS, Feel
from coach.model.doses import DOSES
from coach.record.amounts import count, duration, in_words, listed
from coach.record.breakpoints import best_rest, drop_off, rest_text, tries_text
from coach.record.climbing import NO_NAME, group_of
from coach.record.comparisons import Drilled, helped
from coach.record.dose_hours import seconds_of
from coach.record.entry import Entry, none_after
from coach.record.route import titled, tops_of
from coach.record.trial import Trial, outcomes
from coach.record.weeks import EASIER, Week, weeks_of

#: What a boulder is called by that has a number and no circuit.
NUMBERED = "number"
#: Years before that are told one by one (our choice).
YEARS = 10
#: Firsts and parts that one page names; of more it says how many.
NAMED = 10
#: Whole weeks before one that tell whether it was easier.
USUAL = 3


@dataclass(frozen=True, slots=True)
class WeekLine:
    """One week as it was."""

    monday: date
    sessions: int
    minutes: int
    tries: int
    sore: tuple[str, ...]
    """Parts that were sore or hurt."""
    note: str
    """'easier', 'so far', or ''."""


@dataclass(frozen=True, slots=True)
class Section:
    """One heading and what stands under it."""

    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Year:
    """The page."""

    title: str
    summary: str
    weeks: tuple[WeekLine, ...]
    sections: tuple[Section, ...]


def year(
    entries: Sequence[Entry],
    today: date,
    which: int,
    aims: Sequence[Aim] = (),
    trials: Sequence[Trial] = (),
    drilled: Drilled = MappingProxyType({}),
) -> Year:
    """A calendar year, so far or whole; `entries` are all there are, the earliest first.

    `drilled` are the tries of the latest sessions that a drill came right before.
    """
    every = none_after(entries, today)
    upto = min(today, date(which, 12, 31))
    known = [entry for entry in every if entry.day <= upto]
    mine = [entry for entry in known if entry.day.year == which]
    hours = sum(entry.digest.seconds for entry in mine)
    tops = sum(len(entry.digest.tops) for entry in mine)
    tries = sum(entry.digest.hard_tries for entry in mine)
    summary = (
        f"{count(len(mine), 'session')}, {duration(hours)}, "
        f"{count(tries, 'hard try', 'hard tries')}, {count(tops, 'top')}."
        if mine
        else "No session."
    )
    sections = (
        Section("Aims", tuple(_aims(aims, mine, which))),
        Section("Small doses", tuple(_doses(mine))),
        Section("Sore or hurting", tuple(_sore(mine))),
        Section("Firsts", tuple(_firsts(known, which))),
        Section("What helped", tuple(_helped(known, trials, drilled))),
        Section("Years before", tuple(_before(known, which))),
    )
    title = f"{which}" if upto < today else f"{which} so far"
    return Year(
        title,
        summary,
        tuple(_weeks(mine, upto, today)),
        tuple(one for one in sections if one.lines),
    )


def _weeks(mine: Sequence[Entry], upto: date, today: date) -> Iterator[WeekLine]:
    every = weeks_of(mine, upto)
    for number, week in enumerate(every):
        minutes = _minutes(week)
        before = [_minutes(one) for one in every[max(number - USUAL, 0) : number]]
        easier = len(before) == USUAL and min(before) > 0 and 0 < minutes <= EASIER * fmean(before)
        note = "easier" if easier else ""
        if (today - week.monday).days < 6:
            note = "so far"
        yield WeekLine(
            week.monday,
            len(week.sessions),
            round(minutes),
            week.hard_tries,
            tuple(dict.fromkeys(part for e in week.sessions for part in _bad(e))),
            note,
        )


def _minutes(week: Week) -> float:
    return sum(entry.digest.seconds for entry in week.sessions) / 60


def _bad(entry: Entry) -> Iterator[str]:
    return (p.value for p, f in entry.digest.felt.items() if f in COMPLAINTS)


def _aims(aims: Sequence[Aim], mine: Sequence[Entry], which: int) -> Iterator[str]:
    for aim in aims:
        if (aim.since or "")[:4] > str(which):
            continue
        if aim.kind is AimKind.DOSE:
            weeks = [week for week in weeks_of(mine, mine[-1].day) if week.sessions] if mine else []
            met = sum(_amount(aim, week.sessions) >= (aim.times or aim.minutes) for week in weeks)
            yield f"{titled(aim)}: in {met} of {count(len(weeks), 'week')} with a session"
        elif aim.kind is AimKind.FOCUS:
            seconds = sum(e.digest.focuses.get(aim.what, 0.0) for e in mine)
            yield f"{titled(aim)}: {duration(seconds)}"
        else:
            tops = tops_of(aim, mine)
            yield f"{titled(aim)}: {f'topped {listed(tops[:3])}' if tops else 'not yet'}"


def _amount(aim: Aim, sessions: Sequence[Entry]) -> float:
    if aim.times:
        return float(sum(aim.what in entry.digest.doses for entry in sessions))
    return seconds_of(sessions, aim.what) / 60


def _doses(mine: Sequence[Entry]) -> Iterator[str]:
    for dose in DOSES:
        seconds = seconds_of(mine, dose)
        if seconds:
            times = sum(dose in entry.digest.doses for entry in mine)
            yield f"{dose}: {duration(seconds)} in {count(times, 'session')}"
    focuses = Counter[str]()
    for entry in mine:
        focuses.update({name: round(s) for name, s in entry.digest.focuses.items()})
    if focuses:
        most = [f"{in_words(name)} {duration(s)}" for name, s in focuses.most_common(3)]
        yield f"focuses most practised: {', '.join(most)}"


def _sore(mine: Sequence[Entry]) -> Iterator[str]:
    """Each part, how often, and in which months."""
    sore: dict[str, list[Entry]] = {}
    for entry in mine:
        for part in _bad(entry):
            sore.setdefault(part, []).append(entry)
    for part, found in sorted(sore.items(), key=lambda one: (-len(one[1]), one[0]))[:NAMED]:
        months = dict.fromkeys(f"{entry.day:%b}" for entry in found)
        hurting = sum(
            feel is Feel.HURTING
            for entry in found
            for name, feel in entry.digest.felt.items()
            if name.value == part
        )
        worse = f", hurting in {hurting}" if hurting else ""
        yield f"{part}: {count(len(found), 'session')}{worse} ({', '.join(months)})"


def _firsts(known: Sequence[Entry], which: int) -> Iterator[str]:
    """The first top of each circuit or grade, and of boulders with a name, in this year."""
    seen: set[str] = set()
    found: list[str] = []
    for entry in known:
        for top in entry.digest.tops:
            group = group_of(top)
            if group == NO_NAME:
                continue
            if entry.day.year == which:
                if group not in seen and group not in (top, NUMBERED):
                    found.append(f"{entry.day:%d %b}: first of {group}, {top}")
                elif top not in seen:
                    found.append(f"{entry.day:%d %b}: {top}")
            seen |= {group, top}
    yield from found[:NAMED]
    if len(found) > NAMED:
        yield f"and {count(len(found) - NAMED, 'boulder')} more for the first time"


def _helped(known: Sequence[Entry], trials: Sequence[Trial], drilled: Drilled) -> Iterator[str]:
    yield from (one.text for one in helped(known, drilled) if one.claimed)
    rest, tries = best_rest(known), drop_off(known)
    if rest is not None:
        yield rest_text(rest)
    if tries is not None:
        yield tries_text(tries)
    yield from (f"{one.text}." for one in outcomes(trials, known))


def _before(known: Sequence[Entry], which: int) -> Iterator[str]:
    """The latest YEARS one by one, those before them in one line."""
    years: dict[int, list[Entry]] = {}
    for entry in known:
        if entry.day.year < which:
            years.setdefault(entry.day.year, []).append(entry)
    early = list(years)[:-YEARS]
    if early:
        mine = [entry for number in early for entry in years[number]]
        hours = duration(sum(entry.digest.seconds for entry in mine))
        yield f"{early[0]} to {early[-1]}: {count(len(mine), 'session')}, {hours}"
    for number, mine in list(years.items())[-YEARS:]:
        told = ", ".join(f"{dose} {duration(seconds_of(mine, dose))}" for dose in DOSES)
        hours = duration(sum(entry.digest.seconds for entry in mine))
        yield f"{number}: {count(len(mine), 'session')}, {hours}; {told}"
