"""A route to an aim: where it stands, what is lacking by the record, the next four weeks.

Owns these rules; all of them are our choice, apart from the easier week (`coach.record.weeks`).
What the weeks hold is never more than what was usual: not a session, a try or a minute. An aim that
is far off or would ask too much of somebody is said to be so, and what comes first is named.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from statistics import median

from coach.model.aim import Aim, AimKind
from coach.model.body import Part
from coach.model.doses import HANGS
from coach.model.key_moves import STYLES
from coach.model.messages import Message, message
from coach.model.person import AgeBand
from coach.model.tries import Boulder, Went
from coach.record.amounts import count, duration, in_words, listed
from coach.record.climbing import group_of
from coach.record.digest import HEIGHTS
from coach.record.dose_hours import seconds_of
from coach.record.entry import Entry
from coach.record.weeks import BUILD, MINUTES, TRIES, in_a_row, weeks_of

#: Days between two looks at an aim.
REVIEWED = 28
#: Boulders of the circuit below that come first; weeks in which they count (common practice: a
#: broad base; the numbers are our choice).
BASE, LATELY = 3, 12
#: Tries that fell for a key move to stand out, and told styles for one to be missed.
FELL, STYLED = 3, 3
#: A dose more than so many times the usual one is far.
FAR = 2.0


@dataclass(frozen=True, slots=True)
class Looked:
    """What a route is made from."""

    entries: Sequence[Entry]
    today: date
    circuits: Sequence[str] = ()
    """Of the place, from easiest to hardest."""
    boulders: Mapping[str, Boulder] = field(default_factory=dict)
    """What was told of boulders with a name."""
    went: Sequence[Went] = ()
    """Tries on them, the earliest first."""
    age: AgeBand = AgeBand.UNKNOWN
    hurt: tuple[Part, ...] = ()
    """Parts that hurt, or under a sign that nobody cleared."""
    build: int | None = BUILD


@dataclass(frozen=True, slots=True)
class Route:
    """The way to one aim."""

    aim: Aim
    done: bool
    stands: str
    lacks: tuple[str, ...]
    first: str
    """Why it can wait, or what comes before it; '' where nothing does."""
    weeks: tuple[str, ...]
    """What the next four weeks hold, one each; () where it can wait."""
    review: tuple[Message, ...]
    """Three sentences to be said."""

    @property
    def lines(self) -> list[str]:
        """The whole of it."""
        found = [f"{titled(self.aim)}: {self.stands}."]
        found += [f"  First: {self.first}"] if self.first else []
        found += [f"  Lacking: {one}" for one in self.lacks]
        return found + [f"  {one}" for one in self.weeks]


def titled(aim: Aim) -> str:
    """An aim by name: '5 of flint by 01 Jun 2026', 'hangs 2 times a week'."""
    by = f" by {date.fromisoformat(aim.by):%d %b %Y}" if aim.by else ""
    if aim.kind is AimKind.DOSE:
        amount = count(aim.times, "time") if aim.times else f"{aim.minutes:g} min"
        return f"{aim.what} {amount} a week"
    if aim.kind is AimKind.FOCUS:
        return f"favour {in_words(aim.what)}"
    return f"{f'{aim.count} of ' if aim.kind is AimKind.GRADE else ''}{aim.what}{by}"


def route(aim: Aim, looked: Looked) -> Route:
    """The way to one aim from the record."""
    if aim.kind is AimKind.DOSE:
        return _to_a_dose(aim, looked)
    if aim.kind is AimKind.FOCUS:
        seconds = sum(e.digest.focuses.get(aim.what, 0.0) for e in _lately(looked, 4))
        stands = f"{duration(seconds)} in four weeks" if seconds else "not practised in four weeks"
        told = message("review-focus", what=aim.what, minutes=round(seconds / 60))
        return _made(aim, looked, stands, told, (), None)
    return _to_a_boulder(aim, looked)


def review_due(aim: Aim, entries: Sequence[Entry], today: date) -> bool:
    """Whether four weeks more have gone by since the aim was set, and no session since then."""
    if not entries:
        return False
    since = date.fromisoformat(aim.since) if aim.since else entries[0].day
    looks = (today - since).days // REVIEWED
    return looks > 0 and entries[-1].day < since + timedelta(days=looks * REVIEWED)


def tops_of(aim: Aim, entries: Sequence[Entry]) -> list[str]:
    """Different boulders that count for it, topped since it was set, the earliest first."""
    tops = [top for e in entries if e.day.isoformat() >= aim.since for top in e.digest.tops]
    counts = [one for one in tops if aim.what in (one, group_of(one))]
    return list(dict.fromkeys(counts))


def _lately(looked: Looked, weeks: int) -> list[Entry]:
    return [e for e in looked.entries if 0 <= (looked.today - e.day).days < 7 * weeks]


# --- boulders --------------------------------------------------------------------------------


def _to_a_boulder(aim: Aim, looked: Looked) -> Route:
    tops = tops_of(aim, looked.entries)
    wanted = 1 if aim.kind is AimKind.BOULDER else aim.count
    if aim.kind is AimKind.BOULDER and not tops:
        best = [e.digest.highest[aim.what] for e in looked.entries if aim.what in e.digest.highest]
        high = max(best, key=HEIGHTS.index) if best else ""
        stands = f"not topped; best so far the {high}" if high else "not tried yet"
        key = "review-boulder" if high else "review-boulder-new"
        told = message(key, what=aim.what, **({"height": f"height-{high}"} if high else {}))
    else:
        stands = f"{len(tops)} of {wanted} topped" + (f" ({listed(tops[:5])})" if tops else "")
        told = message("review-tops", what=aim.what, done=len(tops), count=wanted)
    lacks = [*_falls(aim, looked), *_styles(looked)]
    below, base = _below(aim, looked)
    if below and base < BASE:
        said = message("review-below", what=below)
        text = f"boulders of {below}, the circuit below: {base} topped in {LATELY} weeks"
        lacks.insert(0, (text, said))
    return _made(
        aim, looked, stands, told, lacks, _wait(aim, looked, len(tops), wanted), len(tops) >= wanted
    )


def _wait(aim: Aim, looked: Looked, tops: int, wanted: int) -> tuple[str, Message] | None:
    """Why a boulder or circuit can wait, and what comes first."""
    if looked.hurt:
        part = looked.hurt[0].value
        return f"the {part}: it hurts or is not cleared.", message("review-hurt", part=part)
    circuit = _circuit(aim, looked)
    reached = [looked.circuits.index(name) for name in _topped(looked) if name in looked.circuits]
    if circuit is not None and reached and circuit - max(reached) > 1:
        nearer = looked.circuits[max(reached) + 1]
        text = f"one of {nearer}; {aim.what} is further than that from what you topped."
        return text, message("review-far", what=nearer)
    if aim.by and aim.by >= looked.today.isoformat() and tops < wanted:
        weeks = (date.fromisoformat(aim.by) - looked.today).days / 7
        usual = len(_lately(looked, 8)) / 8
        if weeks * usual < wanted - tops:
            text = f"a later day: {count(wanted - tops, 'boulder')} in that time are many."
            return text, message("review-late")
    return None


def _circuit(aim: Aim, looked: Looked) -> int | None:
    name = group_of(aim.what)
    return looked.circuits.index(name) if name in looked.circuits else None


def _topped(looked: Looked, entries: Sequence[Entry] | None = None) -> Counter[str]:
    """Different boulders topped, by circuit."""
    every = looked.entries if entries is None else entries
    return Counter(group_of(top) for top in dict.fromkeys(t for e in every for t in e.digest.tops))


def _below(aim: Aim, looked: Looked) -> tuple[str, int]:
    """The circuit below, and how many of it were topped lately; '' where there is none."""
    circuit = _circuit(aim, looked)
    if not circuit:
        return "", 0
    below = looked.circuits[circuit - 1]
    return below, _topped(looked, _lately(looked, LATELY))[below]


def _falls(aim: Aim, looked: Looked) -> list[tuple[str, Message]]:
    """The key move on which most tries fell, of the boulders that are like the aim."""
    like = [w for w in looked.went if aim.what in (w.boulder, group_of(w.boulder))] or looked.went
    fell, tried = Counter[str](), Counter[str]()
    for one in like:
        about = looked.boulders[one.boulder].about if one.boulder in looked.boulders else ""
        if about and one.result != "untold":
            tried[about] += 1
            fell[about] += one.result != "topped"
    return [
        (f"{about}: {falls} of {tried[about]} tries fell", message("review-move", what=about))
        for about, falls in fell.most_common(1)
        if falls >= FELL
    ]


def _styles(looked: Looked) -> list[tuple[str, Message]]:
    """A style that was never tried, where enough of them were told to say so."""
    tried = {looked.boulders[w.boulder].style for w in looked.went if w.boulder in looked.boulders}
    tried.discard("")
    missed = [style for style in STYLES if style not in tried]
    if len(tried) < STYLED or not missed:
        return []
    return [(f"never tried: {listed(missed)}", message("review-style", what=missed[0]))]


# --- doses -----------------------------------------------------------------------------------


def _to_a_dose(aim: Aim, looked: Looked) -> Route:
    weeks = [_amount(aim, one) for one in _last_weeks(looked)]
    wanted = float(aim.times or aim.minutes)
    met = sum(one >= wanted for one in weeks)
    stands = f"{met} of the last {count(len(weeks), 'week')}" if weeks else "begins this week"
    told = message("review-dose", what=aim.what, done=met, weeks=len(weeks))
    usual = median(weeks) if weeks else 0.0
    if (spared := _spared(aim, looked)) is not None:
        return _made(aim, looked, stands, told, (), spared)
    lacks = []
    if weeks and usual < wanted:
        so_much = count(round(usual), "time") if aim.times else f"{usual:.0f} min"
        text = f"{aim.what}: {so_much} in a usual week, {wanted:g} wanted"
        lacks.append((text, message("review-little", what=aim.what)))
    return _made(aim, looked, stands, told, lacks, _too_much(aim, usual, wanted))


def _last_weeks(looked: Looked) -> list[list[Entry]]:
    """The sessions of the last four whole weeks that are in the record."""
    every = weeks_of(looked.entries, looked.today)
    return [list(week.sessions) for week in every[:-1]][-4:]


def _amount(aim: Aim, entries: Sequence[Entry]) -> float:
    if aim.times:
        return float(sum(aim.what in entry.digest.doses for entry in entries))
    return seconds_of(entries, aim.what) / 60


def _spared(aim: Aim, looked: Looked) -> tuple[str, Message] | None:
    """Why a dose is not for this body now: then nothing is said to lack."""
    if aim.what != HANGS:
        return None
    if looked.age is not AgeBand.ADULT:
        untold = "; your age is not known" if looked.age is AgeBand.UNKNOWN else ""
        text = f"hangs are for grown fingers{untold}; climbing loads them enough."
        return text, message("review-young")
    if hurt := [part for part in looked.hurt if part in _HANGING]:
        part = hurt[0].value
        return f"the {part}: it hurts or is not cleared.", message("review-hurt", part=part)
    return None


def _too_much(aim: Aim, usual: float, wanted: float) -> tuple[str, Message] | None:
    if usual and wanted > FAR * usual:
        unit = "times" if aim.times else "min"
        text = f"half as much again as now: about {1.5 * usual:.0f} {unit} a week."
        return text, message("review-much")
    return None


#: Parts that a hang loads.
_HANGING = (Part.FINGERS, Part.WRISTS, Part.ELBOWS, Part.SHOULDERS, Part.SKIN)


# --- weeks -----------------------------------------------------------------------------------


def _made(
    aim: Aim,
    looked: Looked,
    stands: str,
    told: Message,
    lacks: Sequence[tuple[str, Message]],
    wait: tuple[str, Message] | None,
    done: bool = False,
) -> Route:
    easier = _easier_in(looked)
    weeks = () if wait or done else tuple(_weeks(aim, looked, lacks, easier))
    second = wait[1] if wait else (lacks[0][1] if lacks else message("review-nothing"))
    third = message("review-weeks", easier=0 if easier is None else easier + 1)
    return Route(
        aim,
        done,
        stands,
        tuple(text for text, _ in lacks),
        wait[0] if wait else "",
        weeks,
        (told, message("review-done") if done else second, third),
    )


def _easier_in(looked: Looked) -> int | None:
    """Which of the next four weeks is the easier one, 0 for the first; None for none."""
    if looked.build is None:
        return None
    row = in_a_row(looked.entries, looked.today) % (looked.build + 1)
    ahead = looked.build - row
    return ahead if ahead < 4 else None


def _weeks(
    aim: Aim, looked: Looked, lacks: Sequence[tuple[str, Message]], easier: int | None
) -> list[str]:
    """Four weeks at most as full as the usual one of the last eight."""
    last = weeks_of(_lately(looked, 8), looked.today)
    full = [week for week in last[:-1] if week.sessions] or last
    if not full:
        return []
    sessions = max(1, round(median(len(week.sessions) for week in full)))
    tries = round(median(week.hard_tries for week in full))
    minutes = round(median(sum(e.digest.seconds for e in week.sessions) for week in full) / 60)
    monday = looked.today - timedelta(days=looked.today.weekday())
    found = []
    for n in range(4):
        light = n == easier
        share, fewer = (MINUTES, TRIES) if light else (1.0, 1.0)
        parts = [
            count(sessions, "session"),
            f"{round(minutes * share)} min in all",
            f"{count(round(tries * fewer), 'hard try', 'hard tries')} at most",
        ]
        if not light and aim.kind in (AimKind.BOULDER, AimKind.GRADE) and lacks:
            parts.append(f"look at: {lacks[n % len(lacks)][0].split(':')[0]}")
        if aim.kind is AimKind.DOSE and not light:
            parts.append(f"{titled(aim)}")
        head = f"Week of {monday + timedelta(days=7 * n):%d %b}"
        found.append(f"{head}{' (easier)' if light else ''}: {', '.join(parts)}.")
    return found
