"""From the options of a day to what a session begins with: files read and checked, nothing started.

It alone decides between what was typed, what is remembered, and what is left for the session to
ask, in that order.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from pathlib import Path

from coach.errors import UsageError
from coach.files.complaints import complaints, split
from coach.files.library import load_library
from coach.files.movements import load_movements
from coach.files.names import advice, nearest
from coach.files.paths import Paths
from coach.files.places import ANY_PLACE, list_places, load_place, save_place
from coach.files.routines import list_routines, load_routine
from coach.files.settings import Settings, check_settings, load_settings, save_settings
from coach.files.voices import load_voice
from coach.files.words import load_language
from coach.language import Language
from coach.model.day import Library
from coach.model.messages import Value
from coach.model.person import AgeBand, Person
from coach.model.place import Circuit, Place
from coach.model.routine import BlockKind
from coach.model.start import Options, Start
from coach.model.voice_profile import VoiceProfile
from coach.planning import recovery
from coach.planning.day_tags import LONG_WARM_UP, TAGS, TOLD
from coach.planning.grades import GRADES, grade
from coach.planning.levels import months_by
from coach.planning.pyramid import misplaced
from coach.record.pace import Pace
from coach.setup.call_word import call_word
from coach.setup.choices import MOST_PEOPLE, Choices
from coach.setup.typed_boulders import boulders_of

#: The routine of a line that names none.
USUAL_ROUTINE = "full"
#: And its voice.
USUAL_VOICE = "steady"
#: A place that the climber describes by its circuits alone gets this name.
OWN_PLACE = "here"
#: '--until' with an earlier time of day means tomorrow, if that is at most this far away.
LONGEST = timedelta(hours=5)


_CLIMBING = frozenset({BlockKind.EASY, BlockKind.MIDDLE, BlockKind.HARD})


@dataclass(frozen=True, slots=True)
class Setup:
    """What a session begins with."""

    library: Library
    options: Options
    voice: VoiceProfile
    language: Language
    settings: Settings
    """What is remembered, what was typed now included."""
    paces: tuple[Pace, ...] = ()
    """What a boulder takes here, where earlier sessions tell; the library holds it already."""
    address: str = ""
    """The word after which answers count outside windows; '' for none."""
    addressed: tuple[str, ...] = ()
    """Those answers, where they are not the usual ones."""
    kind: str = "solo"
    """The kind of session that begins with it."""
    arrangement: tuple[tuple[str, Value], ...] = ()
    """What else the kind begins with, by name: a group's stations, say."""

    @property
    def minutes(self) -> float:
        """The minutes that were told, else those of last time, else those of the routine."""
        told, last, routine = self.options.minutes, self.settings.minutes, self.library.routine
        if told is not None:
            return told
        if routine.name == USUAL_ROUTINE and last is not None and last >= routine.least_minutes:
            return float(last)
        return float(routine.minutes)


def settle(choices: Choices, paths: Paths, now: datetime) -> Setup:
    """Read and check everything that the session needs.

    UsageError for an option that can't be, FileError for a mistake in a file.
    """
    remembered = load_settings(paths.settings)
    place_name = place_called(choices.place or remembered.place, paths.user_dirs)
    if choices.circuits is not None:
        place_name = _describe_place(choices, place_name, paths)
    library = load_library(choices.routine or USUAL_ROUTINE, place_name, paths.user_dirs)
    voice = load_voice(choices.voice or remembered.voice or USUAL_VOICE, paths.user_dirs)
    language = load_language(voice.language, library.movements, paths.user_dirs)
    language = language.at(circuit.name for circuit in library.place.circuits)
    library = replace(library, words=frozenset(language.heard))
    if choices.circuits is not None:
        remembered = _still_there(remembered, library.place)
    elif place_name is None or place_name == remembered.place:
        check_settings(paths.settings, remembered, library.place)
    minutes = _minutes(choices, library, paths.user_dirs, now)
    settings = _remember(choices, remembered, place_name, library.place)
    if choices.climbing is not None and settings.climbing == choices.climbing:
        settings = replace(settings, climbing_on=f"{now:%Y-%m-%d}")
    if minutes is not None and library.routine.name == USUAL_ROUTINE:
        settings = replace(settings, minutes=round(minutes))
    people = _people(choices, settings, now)
    hurts = complaints(choices.hurting) if choices.hurting is not None else None
    plain, rest = split(hurts or (), 1)
    options = Options(
        people=people,
        ageless=tuple(
            one.who for one in people if one.age is AgeBand.UNKNOWN and one.who > len(choices.age)
        ),
        usual_age=(1,) if not choices.age and settings.age is not None else (),
        minutes=minutes,
        open_end=choices.open_end,
        hurting=plain if hurts is not None else None,
        complaints=rest,
        told=_told(choices.today or "", choices.warm_up),
        same_place=choices.same_place,
        rests=_rests(choices.rest, people),
        ask_tries=choices.ask != "nothing",
        view_first=choices.ask == "feeling",
        boulders=boulders_of(
            choices.boulder, people, [circuit.name for circuit in library.place.circuits]
        ),
    )
    address = call_word(settings.call, people, language)
    language = language.naming(options.people)
    kind = "pair" if len(people) > 1 else "solo"
    return Setup(library, options, voice, language, settings, address=address, kind=kind)


def going_on(setup: Setup, start: Start, paths: Paths) -> Setup:
    """The setup for a session that goes on: it speaks of the people and movements of its own."""
    language = load_language(setup.language.code, start.library.movements, paths.user_dirs)
    language = language.at(circuit.name for circuit in start.library.place.circuits)
    return replace(setup, language=language.naming(start.people))


def _rests(told: str | None, people: tuple[Person, ...]) -> tuple[tuple[int, float], ...]:
    """The rest between hard tries that was typed, for everybody; UsageError for what is none."""
    if told is None:
        return ()
    minutes, _, seconds = told.partition(":")
    least, most = (seconds / 60.0 for seconds in recovery.OWN)
    if minutes.isdigit() and (seconds.isdigit() or not seconds):
        rest = 60.0 * int(minutes) + int(seconds or 0)
        if recovery.within_own(rest) == rest:
            return tuple((person.who, rest) for person in people)
    raise UsageError(
        f"--rest: {told!r} is no rest between hard tries",
        f"From {least:g}:00 to {most:g}:00, as '4:00' or '4'.",
    )


def remember(paths: Paths, settings: Settings) -> None:
    """Keep the settings for the next time."""
    if settings != load_settings(paths.settings):
        save_settings(paths.settings, settings)


def _remember(
    choices: Choices, remembered: Settings, place_name: str | None, place: Place
) -> Settings:
    """The settings with what was typed now; a circuit or edge of another place is dropped."""
    if place_name != remembered.place:
        graded = remembered.best if remembered.best in GRADES else None
        remembered = replace(remembered, comfortable=None, edge=None, best=graded)
    edges = [edge.name for board in place.boards for edge in board.edges]
    circuits = [circuit.name for circuit in place.circuits]
    _check_name("--comfortable", choices.comfortable, circuits)
    _check_name("--edge", choices.edge, edges)
    best = _best(choices.best, place) if choices.best else remembered.best
    if not (choices.called or "").strip():
        # of somebody with a name of their own neither may lift what holds for the owner
        age, climbing = choices.age, choices.climbing
        remembered = replace(
            remembered,
            age=AgeBand(age[0]) if age else remembered.age,
            climbing=climbing if climbing is not None else remembered.climbing,
        )
    return replace(
        remembered,
        place=place_name,
        comfortable=choices.comfortable or remembered.comfortable,
        best=best,
        edge=choices.edge or remembered.edge,
        voice=choices.voice or remembered.voice,
        call=choices.call or remembered.call,
    )


def _still_there(remembered: Settings, place: Place) -> Settings:
    """The settings without a circuit that the place, described anew, has no more."""
    names = [circuit.name for circuit in place.circuits]
    comfortable = remembered.comfortable if remembered.comfortable in names else None
    best = remembered.best if remembered.best in (*names, *GRADES) else None
    return replace(remembered, comfortable=comfortable, best=best)


def _check_name(option: str, name: str | None, valid: Sequence[str]) -> None:
    if name is not None and name not in valid:
        raise UsageError(f"{option}: this place has no {name!r}", advice(name, valid))


def _best(told: str, place: Place) -> str:
    """A circuit of the place, or a grade as it is written; UsageError with the nearest."""
    circuits = [circuit.name for circuit in place.circuits]
    if told in circuits:
        return told
    try:
        return grade(told).name
    except UsageError as error:
        if nearest(told, circuits) is not None:
            what = f"--best: there is no circuit or grade {told!r}"
            raise UsageError(what, advice(told, circuits)) from None
        raise UsageError(f"--best: {error.what}", error.do) from None


def _describe_place(choices: Choices, name: str | None, paths: Paths) -> str:
    """Write the circuits that were typed into a place of the climber's own; its name."""
    try:
        circuits = circuits_of(choices.circuits or "")
    except UsageError as error:
        raise UsageError(f"--circuits: {error.what}", error.do) from None
    if name in list_places(paths.user_dirs):
        base = load_place(name, paths.user_dirs)
    else:
        title = (name or "").strip()
        name = _name(title) or OWN_PLACE
        base = load_place(ANY_PLACE, paths.user_dirs)
        base = replace(base, name=name, title=title or base.title)
    save_place(replace(base, circuits=circuits), paths.data)
    return name


def place_called(name: str | None, user_dirs: Sequence[Path]) -> str | None:
    """The place of a name, however it is typed: 'Cold Quarry' is the file cold-quarry."""
    known = list_places(user_dirs)
    return _name(name) if name and name not in known and _name(name) in known else name


def circuits_of(text: str) -> tuple[Circuit, ...]:
    """Circuits as they are typed: names with commas, each with the grades it spans or without.

    UsageError for what is no boulder grade, for one name alone, and for an order that isn't one.
    """
    circuits = tuple(_circuit(part) for part in text.split(",") if part.strip())
    names = [circuit.name for circuit in circuits]
    if len(names) < 2 or len(set(names)) < len(names):
        raise UsageError(
            "needs at least two different names",
            "From easiest to hardest, with commas: pumice, slate, flint, basalt",
        )
    wrong = misplaced(circuits)
    if wrong is not None:
        raise UsageError(wrong[2], "From easiest to hardest.")
    return circuits


def _circuit(text: str) -> Circuit:
    graded = re.fullmatch(r"(.+)\s(\S+)\s+to\s+(\S+)", text.strip())
    if graded is None:
        return Circuit(_name(text))
    return Circuit(_name(graded[1]), (grade(graded[2]).name, grade(graded[3]).name))


def _name(text: str) -> str:
    return re.sub(r"[^\w]+", "-", text.lower()).strip("-")


def _people(choices: Choices, settings: Settings, now: datetime) -> tuple[Person, ...]:
    """One person for each place in the session; who told no age counts as under 18."""
    names = _names(choices)
    ages = [AgeBand(age) for age in choices.age] or [settings.age or AgeBand.UNKNOWN]
    ages += [AgeBand.UNKNOWN] * (len(names) - len(ages))
    if len(ages) > len(names):
        raise UsageError(
            f"--age: {len(ages)} ages for {len(names)} people", "Say --people or --with as well."
        )
    return tuple(
        Person(
            who,
            name=name,
            age=age,
            comfortable=settings.comfortable or "",
            months=_months(settings, now) if who == 1 else None,
            best=(settings.best or "") if who == 1 else "",
            edge=settings.edge or "",
        )
        for who, (name, age) in enumerate(zip(names, ages, strict=True), 1)
    )


def _months(settings: Settings, now: datetime) -> int | None:
    """Months of climbing by now, of those that were typed on a day."""
    if settings.climbing_on is None:
        return settings.climbing
    return months_by(settings.climbing, date.fromisoformat(settings.climbing_on), now.date())


def _names(choices: Choices) -> list[str]:
    """What each person is called, '' for nobody's name; UsageError where two share one."""
    names = [name.strip() for name in (choices.called or "", *choices.companions)]
    told = [name.casefold() for name in names if name]
    twice = next((name for name in names if name and told.count(name.casefold()) > 1), None)
    if twice is not None:
        raise UsageError(
            f"two people are called {twice!r}", "Tell them apart, such as by a letter more."
        )
    if not all(names[1:]):
        raise UsageError("--with: a name is empty", "Say what to call them.")
    people = choices.people or len(names)
    if len(names) > min(people, MOST_PEOPLE):
        raise UsageError(
            f"--with: {len(names)} people, you included, but at most {min(people, MOST_PEOPLE)}",
            f"A session takes up to {MOST_PEOPLE}.",
        )
    return names + [""] * (people - len(names))


def _minutes(
    choices: Choices, library: Library, user_dirs: Sequence[Path], now: datetime
) -> float | None:
    """The minutes there are, by either option; UsageError where they are too few to be safe."""
    if choices.minutes is not None and choices.until is not None:
        raise UsageError("--minutes and --until say the same thing", "Leave one of them out.")
    if choices.until is not None:
        minutes = _until(choices.until, now)
    elif choices.minutes is not None:
        minutes = float(choices.minutes)
    else:
        return None
    check_minutes(minutes, library, user_dirs)
    return minutes


def check_minutes(minutes: float, library: Library, user_dirs: Sequence[Path]) -> None:
    """UsageError where the minutes are too few for the routine, with what fits instead."""
    if minutes < library.routine.least_minutes:
        raise _too_short(minutes, library, user_dirs)


def _too_short(minutes: float, library: Library, user_dirs: Sequence[Path]) -> UsageError:
    """Tell the least that works, and the routine that fits: the warm-up without the climbing."""
    routine = library.routine
    catalogue = load_movements(user_dirs)
    others = [load_routine(name, catalogue, user_dirs) for name in list_routines(user_dirs)]
    shorter = [
        one
        for one in others
        if one.least_minutes < routine.least_minutes
        and not any(block.kind in _CLIMBING for block in one.blocks)
    ]
    fitting = [one for one in shorter if one.least_minutes <= minutes] or shorter
    do = f"It needs at least {routine.least_minutes} minutes."
    if fitting:
        other = max(fitting, key=lambda one: one.least_minutes)
        fits = max(int(minutes), other.least_minutes)
        do += f" Warming up alone: coach start {other.name} --minutes {fits}"
    return UsageError(f"{int(minutes)} minutes are too few to do {routine.name!r} safely", do)


def _until(text: str, now: datetime) -> float:
    """Minutes from now until a time of day."""
    told = re.fullmatch(r"(\d{1,2})[:.](\d{2})", text.strip())
    if told is None or int(told[1]) > 23 or int(told[2]) > 59:
        raise UsageError(f"--until: {text!r} is no time of day", "Write it as 19:10.")
    ends = now.replace(hour=int(told[1]), minute=int(told[2]), second=0, microsecond=0)
    if ends <= now:
        ends += timedelta(days=1)
    if ends - now > LONGEST:
        raise UsageError(
            f"--until: {text} is not within the next {LONGEST.seconds // 3600} hours",
            f"It is {now:%H:%M} now.",
        )
    return float((ends - now).total_seconds() // 60)


def _told(text: str, warm_up: str | None) -> tuple[tuple[int, str], ...]:
    """What was typed after --today and --warm-up, as tags of the day."""
    found = [(1, LONG_WARM_UP)] if warm_up == "long" else []
    for clause in text.lower().split(",") if text else ():
        tag = "-".join(clause.replace(":", ": ").split()).replace(":-", ":")
        if tag not in TAGS:
            names = [name.replace(":", ": ").replace("-", " ") for name in TOLD]
            names.append("tries: 2")
            raise UsageError(
                f"--today: nothing is told by {clause.strip()!r}", advice(clause.strip(), names)
            )
        found.append((1, tag))
    return tuple(found)
