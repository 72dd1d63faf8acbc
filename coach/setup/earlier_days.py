"""What the record tells of earlier days, into what a session begins with; own pace included."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from functools import partial

from coach.errors import JournalError
from coach.files.paths import Paths
from coach.journal import Journal
from coach.journal.entries import entries, recent
from coach.journal.kept_aims import all_aims
from coach.journal.persons import person_of
from coach.journal.wishes import trials_of
from coach.model.doses import DOSES
from coach.model.messages import message
from coach.model.start import Options
from coach.planning.own_pace import library_of
from coach.record.at_start import AtStart, at_start
from coach.record.dose_hours import seconds_of
from coach.record.edge_over_time import usual_readings
from coach.record.entry import Entry
from coach.record.pace import paces
from coach.record.recent_days import lately
from coach.record.repeated import repeated
from coach.setup.learnt import PACED, after
from coach.setup.level_to_ask import with_levels
from coach.setup.routes import route_of
from coach.setup.settling import Setup, check_minutes
from coach.setup.standing_at_start import with_ages, with_standing


def of_record(options: Options, journal: Journal, today: date) -> Options:
    """The options with what the sessions of each person tell.

    That is what stands, a break, a hard session yesterday, what a scale read at edge checks, and
    what was sore or hurt again and again.

    What was typed of a break is not asked again. The aims are those of the first person.
    """
    told, away, usual = list(options.told), [], []
    every = [recent(journal, person) for person in options.people]
    for person, earlier in zip(options.people, every, strict=True):
        found = lately(earlier, today)
        usual += [(person.who, one) for one in usual_readings(earlier)]
        if found.hard and (person.who, "hard-yesterday") not in told:
            told.append((person.who, "hard-yesterday"))
        if found.away and not _told_of_a_break(options.told, person.who):
            away.append(person.who)
    said = _of_the_year(options, journal, every[0], today)
    again = tuple(
        (person.who, one.told)
        for person, earlier in zip(options.people, every, strict=True)
        for one in repeated(earlier)
    )
    options = replace(
        options,
        told=tuple(told),
        away=tuple(away),
        aim=said.aim,
        review=tuple((options.people[0].who, one) for one in said.review),
        doses=tuple(_doses(options, every[0], today)),
        usual=tuple(usual),
        again=again,
        # a first session has no last time whose place and gear could be the same
        same_place=options.same_place if any(every) else bool(options.same_place),
    )
    return with_standing(with_ages(options, journal), journal, today)


def _of_the_year(
    options: Options, journal: Journal, earlier: Sequence[Entry], today: date
) -> AtStart:
    """What is said of the year of the first person."""
    first = options.people[0]
    trials = trials_of(journal, person_of(journal, first, len(options.people)))
    aims = all_aims(journal)
    if aims:  # what was reached, and how far it is, any session may tell
        earlier = entries(journal, first)
    way = partial(route_of, journal, first, earlier, today)
    return at_start(aims, trials, earlier, today, way)


def _doses(
    options: Options, earlier: Sequence[Entry], today: date
) -> Iterator[tuple[int, str, float]]:
    """The small doses of somebody alone in the year so far."""
    year = [entry for entry in earlier if entry.day.year == today.year and entry.day <= today]
    for dose in DOSES if len(options.people) == 1 else ():
        yield options.people[0].who, dose, seconds_of(year, dose)


def _told_of_a_break(told: Sequence[tuple[int, str]], who: int) -> bool:
    return any(number == who and tag.startswith("break") for number, tag in told)


def recorded(setup: Setup, paths: Paths, today: date, tell: Callable[[str], None]) -> Setup:
    """The setup with what the record tells, the pace included, where there is one to be read."""
    if not paths.journal.exists():
        return setup
    try:
        with Journal.open(paths.journal, write=False) as journal:
            setup = at_own_pace(setup, journal, paths)
            options = of_record(setup.options, journal, today)
            return replace(setup, options=with_levels(options, journal, setup.library, today))
    except JournalError as error:
        tell(f"{error}\nThe plan takes the usual minutes per boulder, and no earlier day counts.")
        return setup


def at_own_pace(setup: Setup, journal: Journal, paths: Paths) -> Setup:
    """The setup with what a boulder takes the first person at this place.

    UsageError where the minutes that were told are too few for the warm-up at that pace.
    """
    people = setup.options.people
    place = setup.library.place.name
    teaching = after(recent(journal, people[0]), setup.settings, "pace")
    known = tuple(paces(teaching, place, with_others=len(people) - 1))
    own = setup.settings.paces or {}
    chosen = {tier: own[f"{place} {tier}"] for tier in PACED if f"{place} {tier}" in own}
    seconds = {one.tier: one.seconds for one in known} | chosen
    library = library_of(setup.library, seconds, people)
    if setup.options.minutes is not None:
        check_minutes(setup.options.minutes, library, paths.user_dirs)
    return replace(setup, library=library, paces=known)


def why(setup: Setup) -> Iterator[str]:
    """What was learnt, in a sentence for each tier."""
    for one in setup.paces:
        minutes = round(one.seconds / 60.0, 1)
        yield setup.language.text(
            message(f"why-pace-{one.tier}", minutes=minutes, sessions=one.sessions)
        )
