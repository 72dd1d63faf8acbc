"""What the next session could be, from facts and rules, with reasons.

Owns these few rules and how sure each is. No ratio of one load to another is looked at; where
the record is too short to tell, that is said instead.
"""

import shlex
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from statistics import median

from coach.model.aim import Aim, AimKind
from coach.model.body import COMPLAINTS, Part
from coach.model.facts import Filmed
from coach.planning.day_tags import MOST_TRIES
from coach.record.amounts import count, duration, in_words, listed
from coach.record.climbing import has_no_name
from coach.record.digest import HEIGHTS
from coach.record.dose_hours import seconds_of
from coach.record.entry import Entry, none_after
from coach.record.recent_days import BREAK
from coach.record.repeated import repeated
from coach.record.standing import Stands
from coach.record.weeks import BUILD, easier

COMMON = "common practice"
CHOICE = "our choice"

FULL = "a full session"
GENTLE = "an easy day"
EASED = "an easier week"
RETURN = "a first day back"

#: Days between two days of hard tries.
APART = 2
#: Days in which a focus counts as practised lately.
LATELY = 28
#: Days after which a boulder may not be there any more (halls set anew; the number is our choice).
SET = 84
#: Sessions that a usual length needs.
ENOUGH = 3
#: Minutes below which no session is suggested.
LEAST_MINUTES = 20


@dataclass(frozen=True, slots=True)
class Reason:
    """Why something is suggested."""

    text: str
    sure: str
    """'common practice' or 'our choice'."""


@dataclass
class Suggestion:
    """What the next session could be."""

    kind: str = FULL
    minutes: int | None = None
    """Usual length; None where it is not known."""
    focus: str = ""
    """Name of a focus movement; '' where any does."""
    leave_out: list[str] = field(default_factory=list)
    hard_from: date | None = None
    """Earliest day for hard tries; None for none in the next session."""
    most_tries: int | None = None
    """Hard tries at most; None leaves them to the plan."""
    boulder: str = ""
    """The hard boulder that waits, by its name; '' for none."""
    doses: list[str] = field(default_factory=list)
    """What the aims of the week still lack."""
    learnt: list[str] = field(default_factory=list)
    """What the record can tell of what helped."""
    reasons: list[Reason] = field(default_factory=list)
    watch: list[str] = field(default_factory=list)
    """Films of the last session."""
    unknown: list[str] = field(default_factory=list)
    """What the record can't tell."""

    day: date | None = None
    """The next usual day on which hard tries may be; None where nothing tells one."""
    routine: str = ""
    """The usual one, '' for that of a line that names none."""
    place: str = ""
    """The usual one, '' for that of last time."""
    lesson: str = ""
    """What the last day on the boulder taught."""
    trial: str = ""
    """One change to try, and how to begin it; '' for none."""
    answered: str = ""
    """What was answered to it today: 'easier' or 'not-today'; '' for nothing."""

    def tries(self, today: date) -> int | None:
        """Hard tries that it holds today at most; None leaves them to the plan."""
        if self.hard_from is None or self.hard_from > today or "hard tries" in self.leave_out:
            return 0
        return self.most_tries

    def command(self, today: date) -> str:
        """The line that starts just this."""
        most = self.tries(today)
        parts = (
            self.routine,
            f"--minutes {self.minutes}" if self.minutes else "",
            f"--place {shlex.quote(self.place)}" if self.place else "",
            f"--boulder {shlex.quote(self.boulder)}" if self.boulder and most != 0 else "",
            "" if most is None else f"--today 'tries: {min(most, MOST_TRIES)}'",
        )
        return " ".join(("coach start", *(part for part in parts if part)))


@dataclass(frozen=True, slots=True)
class Grounds:
    """What a suggestion is made from."""

    entries: Sequence[Entry]
    """The person's, the earliest first."""
    today: date
    stands: Sequence[Stands] = ()
    """What was hurt, and signs, that stand."""
    eased: Sequence[str] = ()
    """Parts, and signs without one, that stay careful though they have ended."""
    aims: Sequence[Aim] = ()
    focuses: Sequence[str] = ()
    """Every focus there is to choose from."""
    films: Sequence[Filmed] = ()
    """Tries of the last session that were filmed."""
    build: int | None = BUILD
    """Weeks that are built up before an easier one; None for never by counting."""


def suggest(known: Grounds) -> Suggestion:
    """Apply every rule in turn; a later one never takes back what an earlier one forbids.

    What a clock that stood wrong put after today counts as today's: it may have been yesterday.
    """
    later = [entry for entry in known.entries if entry.day > known.today]
    known = replace(known, entries=none_after(known.entries, known.today))
    made = Suggestion(hard_from=known.today)
    if later:
        made.unknown.append(
            f"{count(len(later), 'session')} dated after today: taken for today's. "
            f"'coach history fix {later[0].id} --date' corrects the day."
        )
    if not known.entries:
        made.unknown.append("There is no session yet: the check-in decides.")
    for rule in _RULES:
        rule(known, made)
    return made


def _usual_minutes(known: Grounds, made: Suggestion) -> None:
    latest = [entry.digest.seconds / 60 for entry in known.entries[-5:] if entry.how == "done"]
    if len(latest) < ENOUGH:
        made.unknown.append(f"Your usual length: fewer than {ENOUGH} whole sessions lately.")
        return
    made.minutes = int(5 * round(median(latest) / 5))
    made.reasons.append(Reason(f"Your last sessions took about {made.minutes} min.", CHOICE))


def _break(known: Grounds, made: Suggestion) -> None:
    if not known.entries:
        return
    away = (known.today - known.entries[-1].day).days
    if away >= BREAK:
        made.kind = RETURN if made.kind == FULL else made.kind
        made.leave_out.append("hard tries")
        _not_before(made, known.today + timedelta(days=APART))
        made.reasons.append(
            Reason(f"{count(away, 'day')} since the last session: easy first.", CHOICE)
        )


def _hard_yesterday(known: Grounds, made: Suggestion) -> None:
    hard = [entry.day for entry in known.entries if entry.digest.hard_tries]
    if hard and hard[-1] + timedelta(days=APART) > known.today:
        _not_before(made, hard[-1] + timedelta(days=APART))
        made.kind = GENTLE if made.kind == FULL else made.kind
        made.reasons.append(Reason(f"Hard tries on {hard[-1]:%a %d %b}: a day between.", CHOICE))


def _sore(known: Grounds, made: Suggestion) -> None:
    if not known.entries:
        return
    last = known.entries[-1]
    bad = [part for part, feel in last.digest.felt.items() if feel in COMPLAINTS]
    if not bad or (known.today - last.day).days >= BREAK:
        return
    made.kind = GENTLE if made.kind == FULL else made.kind
    made.leave_out += [f"load on the {part}" for part in bad]
    if Part.FINGERS in bad or Part.SKIN in bad:
        made.leave_out.append("small edges")
    _not_before(made, last.day + timedelta(days=APART + 1))
    what = listed([part.value for part in bad]).capitalize()
    made.reasons.append(Reason(f"{what} sore last time: less of it, felt again first.", COMMON))


def _standing(known: Grounds, made: Suggestion) -> None:
    """Nothing that stands is loaded, and there is no day for hard tries while anything does."""
    for one in known.stands:
        made.kind = GENTLE
        made.leave_out.append(f"any load on the {one.part}" if one.part else "any load at all")
        made.hard_from = None
        made.reasons.append(Reason(f"{one.told}. {one.until}", CHOICE))
    for what in known.eased:
        made.kind = GENTLE if made.kind == FULL else made.kind
        made.hard_from = None
        made.reasons.append(Reason(f"First day back after {what}: gentle there.", CHOICE))
    if known.stands or known.eased:
        made.leave_out.append("hard tries")


def _repeated(known: Grounds, made: Suggestion) -> None:
    """A part that was sore or hurt again and again is somebody else's to judge."""
    for one in repeated(known.entries):
        made.kind = GENTLE if made.kind == FULL else made.kind
        made.leave_out.append(f"load on the {one.part}")
        made.reasons.append(Reason(one.text, CHOICE))


def _focus(known: Grounds, made: Suggestion) -> None:
    wanted = [aim.what for aim in known.aims if aim.kind is AimKind.FOCUS]
    choice = [name for name in known.focuses if not wanted or name in wanted]
    if not choice:
        return
    lately = [entry for entry in known.entries if (known.today - entry.day).days <= LATELY]
    practised = {name: sum(e.digest.focuses.get(name, 0.0) for e in lately) for name in choice}
    made.focus = min(choice, key=lambda name: practised[name])
    why = "of the ones you favour" if wanted else "of all"
    told = duration(practised[made.focus]) if practised[made.focus] else "not at all"
    made.reasons.append(
        Reason(
            f"{in_words(made.focus).capitalize()}: least practised {why} in four weeks ({told}).",
            CHOICE,
        )
    )


def _easier_week(known: Grounds, made: Suggestion) -> None:
    found = easier(known.entries, known.today, known.build)
    if found is None:
        return
    made.kind = EASED if made.kind == FULL else made.kind
    if made.minutes:
        made.minutes = max(int(5 * round(made.minutes * found.minutes / 5)), LEAST_MINUTES)
    tries = [entry.digest.hard_tries for entry in known.entries[-8:] if entry.digest.hard_tries]
    if tries:
        made.most_tries = max(round(median(tries) * found.tries), 1)
    # how long it was since the last session is a reason of the day as well
    begins = found.because.removesuffix(".")
    told = any(reason.text.startswith(begins) for reason in made.reasons)
    why = "" if told else f"{found.because} "
    made.reasons.append(Reason(f"{why}A week of less, not a week off.", found.sure))


def _boulder(known: Grounds, made: Suggestion) -> None:
    """The named boulder that was tried last and not topped, with how far it went."""
    if known.stands:
        return
    best: dict[str, str] = {}
    last: dict[str, None] = {}
    for entry in known.entries:
        if (known.today - entry.day).days > SET:
            continue
        for name, result in entry.digest.tried:
            last.pop(name, None)
            last[name] = None
            if result in HEIGHTS:
                best[name] = max(best.get(name, result), result, key=HEIGHTS.index)
    for name in reversed(last):
        if has_no_name(name) or best.get(name) == "topped":
            continue
        made.boulder = name
        far = f", best so far the {best[name]}" if name in best else ""
        made.reasons.append(Reason(f"{name} waits{far}.", CHOICE))
        return


def _doses(known: Grounds, made: Suggestion) -> None:
    """What the week still lacks of each dose that is aimed at."""
    monday = known.today - timedelta(days=known.today.weekday())
    week = [entry for entry in known.entries if entry.day >= monday]
    for aim in known.aims:
        if aim.kind is AimKind.DOSE and aim.times:
            done = sum(aim.what in entry.digest.doses for entry in week)
            if done < aim.times:
                made.doses.append(f"{aim.what} {count(aim.times - done, 'time')} this week")
        elif aim.kind is AimKind.DOSE:
            lacks = aim.minutes - seconds_of(week, aim.what) / 60
            if lacks >= 1:
                made.doses.append(f"{lacks:.0f} min of {aim.what} this week")


def _films(known: Grounds, made: Suggestion) -> None:
    for film in known.films:
        clock = f", {film.clock}" if film.clock else ""
        made.watch.append(f"the film of try {film.number}, {film.boulder}{clock}")


def _not_before(made: Suggestion, day: date) -> None:
    if made.hard_from is not None:
        made.hard_from = max(made.hard_from, day)


_RULES: tuple[Callable[[Grounds, Suggestion], None], ...] = (
    _standing,
    _usual_minutes,
    _break,
    _hard_yesterday,
    _sore,
    _repeated,
    _easier_week,
    _focus,
    _boulder,
    _doses,
    _films,
)
