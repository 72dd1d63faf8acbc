"""Sessions that the real core runs in a moment, answered by invented climbers with a seed.

`day(seed)` is one of them: somebody alone, a pair, a group, or only rests. What they say is drawn;
every event and fact is the core's. `fill` puts some into a journal on evenings of their own.
"""

import atexit
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from random import Random
from shutil import rmtree
from tempfile import mkdtemp
from typing import Any
from zoneinfo import ZoneInfo

from coach.files.answers_file import Scripted
from coach.files.library import load_library
from coach.files.words import load_language
from coach.group.arrangement import options_of
from coach.group.group_step import new_group
from coach.group.kind import GROUP
from coach.journal import Journal, SessionId
from coach.journal.lines import export
from coach.language import Language
from coach.model.answers import ANYTIME, parse
from coach.model.day import Library
from coach.model.facts import Fact
from coach.model.person import AgeBand, Person
from coach.model.start import Options, Start
from coach.model.tries import Boulder
from coach.planning.stations import Station
from coach.runtime.rehearsal import TextWorld
from coach.runtime.runner import Runner
from coach.session.effects import Effect, OpenWindow
from coach.session.events import Event, Started
from coach.session.state import Session
from coach.session.step import new_session
from tests.beginning import entry

PEOPLE = (
    Person(1, "", AgeBand.ADULT, "marble", "medium", "6C"),
    Person(2, "Runa", AgeBand.ADULT, "marble", "medium", "6C"),
    Person(3, "Osk", AgeBand.UNDER_16),
    Person(4, "Tarn", AgeBand.ADULT),
)
FIRST = datetime(2025, 1, 6, 18, 30, tzinfo=ZoneInfo("Europe/Vienna"))
#: What is drawn: alone three times as often as anything else.
KINDS = ("alone", "alone", "alone", "pair", "group", "rests", "rests-pair")
#: One board and the wall of the invented hall.
STATIONS = (Station("board 1", "board", 1), Station("wall", "wall", 8))

_FEELS = {
    "feel:fresh": 5.0, "feel:fine": 8.0, "feel:stiff": 0.6, "feel:tired": 1.0, "feel:sore": 0.4,
    "feel:hurting": 0.1,
}  # fmt: skip
_RESULTS = {"topped": 2.0, "ended-start": 2.0, "ended-middle": 4.0, "ended-top": 2.5}
_WEIGHTS = {
    **_FEELS, **_RESULTS, "no": 6.0, "go": 5.0, "not-today": 0.8, "minutes:90": 4.0,
    "minutes:120": 1.0, "minutes:60": 1.0, "minutes:30": 0.0, "stop": 0.0, "finish": 0.2,
    "leaving": 0.1, "resume": 4.0, "skip": 0.1, "back": 0.1, "easier": 0.2, "harder": 0.2,
}  # fmt: skip
#: Seconds of rest and of climbing that are taken at least and at most, where somebody ends them.
_RESTED, _CLIMBED = (40.0, 190.0), (40.0, 420.0)


@dataclass
class Answering(TextWorld):
    """A world in which somebody answers most windows, and now and then nobody does."""

    chance: Random = field(default_factory=Random)
    planned: tuple[float, Scripted] | None = None
    spoken: int = 0

    def carry_out(self, effect: Effect) -> None:
        """As ever; a window that opens makes somebody think of an answer."""
        super().carry_out(effect)
        if isinstance(effect, OpenWindow):
            self.planned = self._thought_of(effect)

    def _thought_of(self, window: OpenWindow) -> tuple[float, Scripted] | None:
        offered = list(window.answers)
        if self.chance.random() < 0.06:
            return None
        if "done" in offered and self.chance.random() < 0.9:
            key, wait = "done", self.chance.uniform(*_CLIMBED)
        elif "ready" in offered:
            if self.chance.random() < 0.6:
                return None
            drawn = self.chance.random()
            key = "ready" if drawn < 0.8 else self._drawn(offered)
            wait = self.chance.uniform(*_RESTED)
        else:
            key, wait = self._drawn(offered), self.chance.uniform(0.8, 5.0)
        self.spoken += 1
        who = window.who or 1
        return window.at + wait, Scripted(window.at + wait, who, parse(key), key, -self.spoken)

    def _drawn(self, offered: list[str]) -> str:
        weights = [_WEIGHTS.get(key, 1.0) for key in offered]
        return self.chance.choices(offered, weights if any(weights) else None)[0]

    def _next_answer(self) -> tuple[float, Scripted] | None:
        scripted = super()._next_answer()
        if self.planned is None or self.window is None:
            return scripted
        at, item = self.planned
        if item.line in self._given or item.answer is None:
            return scripted
        if item.answer.key not in self.window.answers:
            return scripted
        own = (max(at, self.now()), item)
        return own if scripted is None or own[0] < scripted[0] else scripted


@dataclass
class Kept:
    """What was committed, in memory."""

    committed: list[tuple[Event, tuple[Fact, ...], datetime]] = field(default_factory=list)

    def commit(self, event: Event, facts: tuple[Fact, ...], wall: datetime) -> None:
        """Keep it."""
        self.committed.append((event, facts, wall))


@dataclass(frozen=True)
class Ran:
    """A session that ran to its end: what it began with, every commit, how it ended."""

    start: Start
    committed: tuple[tuple[Event, tuple[Fact, ...], datetime], ...]
    how: str


@cache
def _library(routine: str) -> Library:
    library = load_library(routine, "tarnwick", ())
    place = library.place
    return replace(library, place=replace(place, equipment=place.equipment | {"scale"}))


@cache
def _language() -> Language:
    return load_language("en", _library("full").movements, ())


@cache
def day(seed: int, kind: str = "") -> Ran:
    """One session of the real core; the same for the same seed."""
    chance = Random(seed)
    kind = kind or chance.choice(KINDS)
    if kind == "group":
        return _group(chance)
    number = 2 if kind in ("pair", "rests-pair") else 1
    routine = "rests" if kind.startswith("rests") else "full"
    library = _library(routine)
    minutes = chance.choice([75.0, 90.0, 105.0]) if routine == "full" else 60.0
    people = PEOPLE[:number]
    named = tuple((one.who, _boulder(chance)) for one in people if chance.random() < 0.7)
    options = Options(people, minutes, (), True, boulders=named, open_end=routine == "rests")
    reading = round(chance.gauss(48.0, 2.0), 1)
    scale = (Scripted(0.0, 1, None, f"{reading} kg", 1, reading),)
    world = Answering(_language(), scale, anytime=frozenset(ANYTIME), chance=chance)
    kept = Kept()

    def seen(now: Session, event: Event, effects: tuple[Effect, ...]) -> None:
        world.weighs = now.weighs

    begun = new_session(library, options)
    runner = Runner(begun, world, kept, world.clock.wall, seen)
    ended = runner.run(Started(0.0))
    return Ran(entry(library, options, FIRST), tuple(kept.committed), ended.how)


def _boulder(chance: Random) -> Boulder:
    """A boulder of the invented hall that somebody named before the session."""
    return Boulder(f"{chance.choice(('marble', 'slate'))} {chance.randint(1, 9)}")


def _group(chance: Random) -> Ran:
    library = _library("group")
    options = Options(PEOPLE, 45.0)
    given = new_group(library, options, STATIONS)
    world = TextWorld(_language(), _leader(chance), anytime=frozenset(GROUP.anytime))
    kept = Kept()
    runner = Runner(given, world, kept, world.clock.wall, kind=GROUP)
    ended: Any = runner.run(Started(0.0))
    start = entry(library, options, FIRST)
    start = replace(
        start,
        kind=GROUP.name,
        options=options_of(given.stations, ()),
    )
    return Ran(start, tuple(kept.committed), ended.how)


def _leader(chance: Random) -> tuple[Scripted, ...]:
    """What the leader says: that somebody hurts, that somebody has to go."""
    told = []
    for n, key in enumerate(("hurts", "out")):
        if chance.random() < 0.6:
            at, who = chance.uniform(500.0, 1500.0), chance.randint(1, len(PEOPLE))
            told += [(at, f"person:{who}", 2 * n + 1), (at + 4.0, key, 2 * n + 2)]
    return tuple(Scripted(at, 0, parse(key), key, line) for at, key, line in sorted(told))


def evenings(chance: Random) -> Iterator[datetime]:
    """When sessions begin: two or three evenings most weeks."""
    at = FIRST
    while True:
        yield at + timedelta(minutes=chance.randint(-30, 60))
        at += timedelta(days=chance.choice([2, 2, 3, 3, 4, 5]))


def put(journal: Journal, ran: Ran, begun: datetime, uid: str | None = None) -> SessionId:
    """A session into a journal, as if it had begun then, committed and closed as it was."""
    session = journal.begin(replace(ran.start, wall=begun.isoformat()), uid)
    first = ran.committed[0][2]
    for event, facts, wall in ran.committed:
        journal.commit(session, event, facts, begun + (wall - first))
    journal.close_session(session, ran.how)
    return session


def fill(journal: Journal, number: int, different: int, seed: int = 1) -> None:
    """So many sessions on so many evenings, of so many different days that were run."""
    chance = Random(seed)
    for n, begun in zip(range(number), evenings(chance), strict=False):
        put(journal, day(n % different), begun, f"{seed:04}{n:08}")


@cache
def recorded(number: int, different: int) -> Path:
    """A folder with a journal of so many sessions and its export; made once, to be read alone."""
    made = Path(mkdtemp())
    atexit.register(rmtree, made, ignore_errors=True)
    with Journal.open(made / "journal.db", write=True) as journal:
        fill(journal, number, different)
        with (made / "journal.jsonl").open("w", encoding="utf-8") as to:
            export(journal, to)
    return made
