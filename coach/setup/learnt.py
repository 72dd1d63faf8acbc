"""What was learnt of somebody: seen, changed and forgotten; and what a session takes of it.

What is chosen stands in the settings and counts before what the record teaches. What is forgotten
is learnt anew from the sessions of that day on. Nothing that is learnt by itself raises anything: a
rest grows, tries become fewer, a warm-up longer.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime

from coach.errors import UsageError
from coach.files.settings import Settings
from coach.journal import Journal, SessionId
from coach.journal.earlier_tries import own_rests
from coach.journal.entries import entries
from coach.model.person import Person
from coach.planning.day_tags import MOST_TRIES
from coach.planning.day_tags import TRIES as AT_MOST
from coach.record.amounts import count
from coach.record.breakpoints import best_rest, clock, drop_off, rest_text, tries_text
from coach.record.entry import Entry
from coach.record.pace import paces
from coach.record.trial import trial
from coach.record.weeks import BUILD
from coach.setup.settling import Setup

REST, TRIES, WARM_UP, PACE, WEEKS, WORDS = "rest", "tries", "warm-up", "pace", "weeks", "words"
NAMES = (REST, TRIES, WARM_UP, PACE, WEEKS, WORDS)
#: Tiers whose pace is learnt.
PACED = ("easy", "middle")
#: The tag of a longer warm-up; sessions that are looked at, and in how many it was wanted.
LONG, LOOKED, WANTED = "long-warm-up", 5, 3


@dataclass(frozen=True, slots=True)
class Learnt:
    """One thing that is known of somebody."""

    name: str
    value: str
    whence: str


def after(sessions: Sequence[Entry], settings: Settings, name: str) -> list[Entry]:
    """The sessions that teach something: those since it was forgotten."""
    since = (settings.forgotten or {}).get(name, "")
    return [entry for entry in sessions if entry.day.isoformat() >= since]


def every(
    journal: Journal, person: Person, sessions: Sequence[Entry], settings: Settings, words: int
) -> Iterator[Learnt]:
    """Everything that is known, with where it is from; `words` are phrases that were taught."""
    own = "you chose it"
    since = (settings.forgotten or {}).get(REST, "")
    rests = dict(own_rests(journal, (person,), since))
    bend = best_rest(after(sessions, settings, REST))
    if settings.rest:
        yield Learnt(REST, clock(settings.rest), own)
    elif person.who in rests:
        yield Learnt(REST, clock(rests[person.who]), "told, or taken before good tries")
    else:
        yield Learnt(REST, "the usual range", "too little to say")
    if bend is not None:
        yield Learnt(REST, clock(bend.at), rest_text(bend))
    fall = drop_off(after(sessions, settings, TRIES))
    if settings.tries:
        yield Learnt(TRIES, f"{settings.tries} at most", own)
    elif fall is not None:
        yield Learnt(TRIES, f"{fall.at} at most", tries_text(fall))
    else:
        yield Learnt(TRIES, "the plan's", "too little to say")
    longer = wants_longer(journal, sessions, settings)
    yield Learnt(
        WARM_UP,
        "long" if longer else "usual",
        own if settings.warm_up else f"told in {WANTED} of the last {LOOKED}" if longer else "",
    )
    taught = [
        Learnt(PACE, f"{place} {one.tier} {clock(one.seconds)}", count(one.sessions, "session"))
        for place in dict.fromkeys(entry.place for entry in reversed(sessions[-40:]))
        for one in paces(after(sessions, settings, PACE), place)
    ]
    yield from (one for one in taught if " ".join(one.value.split()[:-1]) not in _set(settings))
    for key, seconds in _set(settings).items():
        yield Learnt(PACE, f"{key} {clock(seconds)}", own)
    build = settings.build_weeks
    chosen = BUILD if build is None else build
    told = f"{count(chosen, 'week')} before an easier one" if chosen else "off"
    yield Learnt(WEEKS, told, own if build is not None else "usual")
    yield Learnt(WORDS, count(words, "phrase"), "taught: 'coach words teach', 'coach words forget'")


def _set(settings: Settings) -> Mapping[str, float]:
    return settings.paces or {}


def wants_longer(journal: Journal, sessions: Sequence[Entry], settings: Settings) -> bool:
    """Whether a longer warm-up is chosen, or was told in most of the last sessions."""
    if settings.warm_up:
        return settings.warm_up == "long"
    told = [
        any(tag == LONG and who == entry.who for who, tag in journal.start_of(number).settled.told)
        for entry in after(sessions, settings, WARM_UP)[-LOOKED:]
        for number in (SessionId(entry.id),)
    ]
    return sum(told) >= WANTED


def remembered(setup: Setup, journal: Journal) -> dict[int, float]:
    """The own rest of each person of a session: chosen by the first, else told or taken before."""
    since = (setup.settings.forgotten or {}).get(REST, "")
    found = dict(own_rests(journal, setup.options.people, since))
    if setup.settings.rest:
        found[setup.options.people[0].who] = setup.settings.rest
    return found


def chosen(setup: Setup, journal: Journal) -> Iterator[tuple[int, str]]:
    """What the first person chose or often wanted, as tags of the day: who, tag."""
    first = setup.options.people[0]
    if setup.settings.tries:
        yield first.who, f"{AT_MOST}{setup.settings.tries}"
    if wants_longer(journal, entries(journal, first, LOOKED), setup.settings):
        yield first.who, LONG


def changed(settings: Settings, name: str, value: str, place: str) -> Settings:
    """The settings with something chosen; UsageError for what can't be."""
    if name == REST:
        made = trial(REST, value, datetime(2000, 1, 1, tzinfo=UTC))
        return replace(settings, rest=float(made.value))
    if name == TRIES and value.isdigit() and 1 <= int(value) <= MOST_TRIES:
        return replace(settings, tries=int(value))
    if name == WARM_UP and value in ("long", "usual"):
        return replace(settings, warm_up=value)
    if name == WEEKS and (value == "off" or (value.isdigit() and 1 <= int(value) <= 12)):
        return replace(settings, build_weeks=0 if value == "off" else int(value))
    if name == PACE:
        return replace(settings, paces={**_set(settings), **_pace(value, place)})
    raise UsageError(f"{name}: {value!r} can't be", _SUCH[name])


def _pace(value: str, place: str) -> dict[str, float]:
    tier, _, told = value.partition(" ")
    minutes, _, seconds = told.partition(":")
    if tier in PACED and minutes.isdigit() and seconds.isdigit() and place:
        spent = 60.0 * int(minutes) + int(seconds)
        if 10.0 <= spent <= 900.0:
            return {f"{place} {tier}": spent}
    raise UsageError(f"pace: {value!r} can't be", _SUCH[PACE])


_SUCH = {
    REST: "Such as: coach learnt rest 4:00",
    TRIES: f"A number from 1 to {MOST_TRIES}.",
    WARM_UP: "Either long or usual.",
    PACE: "Such as: coach learnt pace easy 1:30 --place tarnwick",
    WEEKS: "From 1 to 12, or off.",
    WORDS: "'coach words teach' and 'coach words forget' change them.",
}


def forgot(settings: Settings, name: str, today: date) -> Settings:
    """The settings with something forgotten: what was chosen, and what was learnt till today."""
    if name == WORDS:
        raise UsageError("words are forgotten one by one", _SUCH[WORDS])
    field = {WARM_UP: "warm_up", PACE: "paces", WEEKS: "build_weeks"}.get(name, name)
    forgotten = {**(settings.forgotten or {}), name: today.isoformat()}
    return replace(settings, **{field: None}, forgotten=forgotten)
