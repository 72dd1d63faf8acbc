"""Group sessions in a moment, for tests: who is there, what the leader says, what came of it."""

from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path

from coach.files.answers_file import Scripted, read_answers
from coach.files.library import load_library
from coach.files.words import load_language
from coach.group.gathering import Group
from coach.group.group_step import deadline, new_group
from coach.group.kind import GROUP
from coach.group.phrases import heard_from
from coach.language import Language
from coach.model.body import Feel, Part
from coach.model.day import Library
from coach.model.facts import Fact
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.planning.stations import Station
from coach.runtime.rehearsal import Rehearsed, rehearse
from coach.session.effects import Effect, Record
from coach.session.events import Event, SoundEnded, TimePassed

#: Twelve people: most adults, two under 16, one under 18, one of no told age.
AGES = (
    *(AgeBand.ADULT,) * 8, AgeBand.UNDER_16, AgeBand.UNDER_16, AgeBand.UNDER_18, AgeBand.UNKNOWN,
)  # fmt: skip
BOARDS = (Station("board 1", "board", 1), Station("board 2", "board", 1))
WALL = Station("wall", "wall", 8)
Hurting = tuple[tuple[int, Part, Feel], ...]


@cache
def library(routine: str = "group") -> Library:
    return load_library(routine, "tarnwick", ())


@cache
def language() -> Language:
    return heard_from(load_language("en", library().movements), {})


def group(
    ages: Sequence[AgeBand] = AGES,
    *,
    minutes: float = 45.0,
    routine: str = "group",
    stations: tuple[Station, ...] = (*BOARDS, WALL),
    hurting: Hurting = (),
    late: tuple[int, ...] = (),
) -> Group:
    people = tuple(Person(who, age=age) for who, age in enumerate(ages, 1))
    return _begun(routine, Options(people, minutes, hurting), stations, late)


@cache
def _begun(
    routine: str, options: Options, stations: tuple[Station, ...], late: tuple[int, ...]
) -> Group:
    """Seated once for all tests of a file: that takes longer than most sessions."""
    return new_group(library(routine), options, stations, late)


class Seen:
    """Everything that happened, turn by turn."""

    def __init__(self) -> None:
        self.turns: list[tuple[Group, Event, tuple[Effect, ...]]] = []

    def __call__(self, now: Group, event: Event, effects: tuple[Effect, ...]) -> None:
        self.turns.append((now, event, effects))

    @property
    def facts(self) -> list[Fact]:
        return [e.fact for _, _, effects in self.turns for e in effects if isinstance(e, Record)]


def run(
    given: Group,
    words: str,
    folder: Path,
    also: Callable[[Group, Event, tuple[Effect, ...]], None] = lambda *_: None,
) -> tuple[Rehearsed[Group], Seen]:
    """A session with what the leader says, 'MM:SS words' a line."""
    path = folder / "answers.txt"
    path.write_text(words, encoding="utf-8")
    script: tuple[Scripted, ...] = read_answers(path, language().breath)
    seen = Seen()

    def both(now: Group, event: Event, effects: tuple[Effect, ...]) -> None:
        seen(now, event, effects)
        also(now, event, effects)

    done = rehearse(given, language(), script, also=both, kind=GROUP)
    return done, seen


def by_itself(now: Group, spoke: float) -> Event | None:
    """What comes next with nobody saying anything; None once all is over.

    A cue that began at `spoke` ends two seconds later, or a time is due.
    """
    due, ends = deadline(now), spoke + 2.0
    if now.speech.saying is not None and (due is None or ends < due):
        return SoundEnded(max(ends, now.at), now.speech.saying.sound)
    return None if due is None else TimePassed(max(due, now.at))


def said(done: Rehearsed[Group]) -> list[tuple[float, str]]:
    return [(entry.at, entry.text) for entry in done.transcript.entries if entry.kind == "said"]
