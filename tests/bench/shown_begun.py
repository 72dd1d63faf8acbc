"""Each answer that excludes others, said on real sinks: a session goes on just before it.

    python -m tests.bench.shown_begun [--part I N] [--after FILE ...] [--voice flite slt]

One day reaches one answer of those that exclude each other. So days run through the core first, by
a fake clock, until a kind of state shows an answer; what came so far goes into a journal, as of a
session that was cut off a moment ago, and `coach start --resume` or `coach rest --resume` goes on
with it as a process of its own: its loudspeaker, microphone, recogniser, screen and journal are as
they are (`tests.bench.shown_aloud`). She says the answer there, then what else is shown and was
not said yet. What was not heard is said once more in another session.

`--after` takes what earlier runs of this or of `shown_aloud` printed as said; of N parts that run
side by side I is one, from 0. With `--after` and no part left to say it prints the table alone.
"""

import argparse
import os
import signal
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path
from random import Random
from typing import Any

from coach.errors import CoachError
from coach.files.library import load_library
from coach.files.paths import paths
from coach.files.words import load_language
from coach.journal import Journal
from coach.journal.follow import follow
from coach.language import Language
from coach.model.facts import Fact
from coach.model.person import AgeBand, Person
from coach.model.start import Options, Start
from coach.runtime.keeper import JournalKeeper
from coach.runtime.kind_registry import kind_named
from coach.runtime.replay import rules_version
from coach.runtime.runner import NoKeeper, Runner
from coach.session.effects import Record
from coach.session.events import Event, Reopened, Started
from coach.session.state import Phase
from tests.audio.pulse import Pulse
from tests.bench.shown_aloud import COMPANIONS, ENDS, Climber, Table, Watch, room, running
from tests.bench.shown_spoken import place_of
from tests.days import climbers
from tests.days.hall import Hall

#: Seconds until a session has to have come to its state, and after the answer for what else there
#: is to say.
COMES, STAYS = 40.0, 10.0
#: How often one answer is tried, where its state did not come or it was not heard.
TRIES = 2

Pair = tuple[str, str]


@dataclass
class Way:
    """A day that the core lived: its start, and its events with their facts and seconds."""

    start: Start
    events: list[tuple[Event, tuple[Fact, ...], float]]


def _hurt(part: str, at: float = 600.0) -> Any:
    return partial(climbers.Hurt, at=at, part=part)


def _starts() -> Iterator[tuple[str, int, tuple[Any, ...]]]:
    """Routine, minutes, and who is there: good days, and such that hurt, stop, or stand."""
    one, fingers = climbers.Climber, partial(climbers.Hurt, words="feel:fingers:sore", at=1500.0)
    yield "full", 60, (climbers.Telling,)
    yield "full", 60, (one, one)
    yield "rests", 60, (one,)
    yield "rests", 60, (one, one)
    for word in ("pause", "stop"):
        leaves = partial(climbers.Away, at=700.0, word_of_leave=word, back_after=60.0)
        yield "full", 60, (leaves,)
        yield "full", 60, (leaves, one)
    yield "full", 60, (fingers,)
    for part in ("wrists", "knees", "head", "neck", "chest"):
        yield "full", 60, (_hurt(part),)
    yield "full", 60, (_hurt("knees"), one)


def lived(language: Language) -> dict[Pair, tuple[Way, int]]:
    """Each shown answer of each kind of state: the day and the event that first come to it."""
    found: dict[Pair, tuple[Way, int]] = {}
    for routine, minutes, there in _starts():
        dice = Random(1)
        people_there = [made(dice, who=who) for who, made in enumerate(there, 1)]
        names = ("", *COMPANIONS)
        people = tuple(
            Person(one.who, names[one.who - 1], AgeBand.ADULT, edge="medium")
            for one in people_there
        )
        options = Options(people, float(minutes), same_place=True)
        kind = "rests" if routine == "rests" else ("solo", "pair")[len(people) - 1]
        start = Start(
            routine, minutes, people, load_library(routine, None, ()), rules_version(), "", "",
            "steady", (), options, kind,
        )  # fmt: skip
        way = Way(start, [])
        hall = Hall(language, people_there)

        def seen(now: Any, event: Event, effects: Any, way: Way = way, hall: Hall = hall) -> None:
            kind = kind_named(way.start.kind)
            view = kind.look(now)
            hall.seen(view, event, effects)
            facts = tuple(one.fact for one in effects if isinstance(one, Record))
            way.events.append((event, facts, now.at))
            if now.window is not None and now.speech.saying is None:
                for key in view.answers:
                    found.setdefault((place_of(now), key), (way, len(way.events)))

        session = kind_named(kind).new(start)
        runner = Runner(session, hall, NoKeeper(), lambda: datetime.now(UTC), seen)
        going = runner.take(Started(0.0))
        while going:
            going = runner.take(runner.next())
    return found


def begun(way: Way, count: int) -> None:
    """The first events of a day in this machine's journal, the last of them a moment ago."""
    now = datetime.now().astimezone()
    last = way.events[count - 1][2]
    start = replace(way.start, wall=(now - timedelta(seconds=last)).isoformat())
    paths().journal.parent.mkdir(parents=True, exist_ok=True)
    with Journal.open(paths().journal, write=True) as journal:
        keeper = JournalKeeper(journal, journal.begin(start))
        for event, facts, at in way.events[:count]:
            keeper.commit(event, facts, now - timedelta(seconds=last - at))


def said(way: Way, count: int, pair: Pair, she: Climber, table: Table) -> None:
    """A session that goes on there: the answer, then what else is shown and was not said."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["COACH_HOME"] = folder
        begun(way, count)
        command = kind_named(way.start.kind).command.split()[1]
        with running([command, "--resume"], Path(folder)) as process:
            watch, began, done, back = None, time.time(), 0.0, False
            while process.poll() is None and time.time() < (done or began + COMES) + STAYS:
                time.sleep(0.05)
                try:
                    watch = watch or Watch(follow(paths().journal))
                    back |= any(isinstance(one, Reopened) for one, *_ in watch.new())
                except CoachError:
                    continue
                # the ear comes a moment after the session
                if not back or watch.state.devices.lost or watch.state.phase is Phase.OVER:
                    continue
                key = _next(watch, pair, table, first=not done)
                if key:
                    she.tell(watch, key)
                    done = done or time.time()
            if not done:
                print(f"-- {pair[0]}: {pair[1]} did not come", flush=True)


def _next(watch: Watch, pair: Pair, table: Table, *, first: bool) -> str:
    """What she says now; '' for nothing."""
    s = watch.state
    if s.speech.saying is not None or time.time() - watch.since < 0.6 or s.window is None:
        return ""
    shown, where = watch.kind.look(s).answers, place_of(s)
    if first:
        return pair[1] if where == pair[0] and pair[1] in shown else ""
    left = [key for key in table.unsaid(where, shown) if key not in ENDS]
    return left[0] if left else ""


def main() -> None:
    """Say what is left, and print what came of it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--part", type=int, nargs=2, default=(0, 1))
    parser.add_argument("--after", type=Path, nargs="*", default=())
    parser.add_argument("--voice", nargs=2, default=("flite", "slt"))
    parser.add_argument("--minutes", type=float, default=25.0)
    told = parser.parse_args()
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(1))
    table, began = Table(), time.time()
    for path in told.after:
        table.read(path)
    there = [Person(who, name) for who, name in enumerate(COMPANIONS, 2)]
    library = load_library("full", None, ())
    language = load_language("en", library.movements).naming(there)
    every = lived(language)
    for where, key in every:
        table.shown.setdefault((where, key), "")
    part, parts = told.part
    if told.minutes:
        with Pulse() as pulse, room():
            she = Climber(table, pulse, language, tuple(told.voice))
            for pair in _mine(list(every), table, part, parts):
                for _ in range(TRIES):
                    late = time.time() - began > 60.0 * told.minutes
                    if not late and pair[1] in table.unsaid(pair[0], [pair[1]]):
                        said(*every[pair], pair, she, table)
    report(table, began)


def _mine(pairs: Sequence[Pair], table: Table, part: int, parts: int) -> Iterator[Pair]:
    """What is left to say, of every so many kinds of state one."""
    places = list(dict.fromkeys(where for where, _ in pairs))
    for where, key in pairs:
        if places.index(where) % parts == part and table.unsaid(where, [key]):
            yield where, key


def report(table: Table, began: float) -> None:
    """Print the table and its sum."""
    for row in table.rows():
        print(row)
    places = len({where for where, _ in table.shown})
    kinds: dict[str, int] = {}
    for outcome in table.shown.values():
        name = outcome.split(":")[0] or "not said"
        kinds[name] = kinds.get(name, 0) + 1
    told = ", ".join(f"{name} {number}" for name, number in sorted(kinds.items()))
    print(f"{len(table.shown)} shown answers in {places} kinds of state: {told}")
    came = ", ".join(f"{kind} {number}" for kind, number in table.came.most_common())
    print(f"{table.came.total()} times said: {came}; {(time.time() - began) / 60:.0f} min")


if __name__ == "__main__":
    main()
