"""Every answer that the screen shows, spoken once in each state of real sessions, in real time.

    python -m tests.bench.shown_aloud [--people N] [--minutes M] [--voice flite slt]

`coach start` and `coach rest` run as processes of their own on a private sound server: their
loudspeaker, microphone, recogniser, screen in lines and journal are as they are. What is shown is
read from the journal, as any second screen reads it; she says what she has not yet said in that
kind of state, and the journal tells what came of it within 3 s of her last sound. What was not
heard is said once more where it is shown again. Good days come first, then such that hurt.
"""

import argparse
import os
import re
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np

from coach.audio.sound_device import RATE
from coach.errors import CoachError
from coach.files.movements import load_movements
from coach.files.paths import paths
from coach.files.words import load_language
from coach.journal.follow import Follower, follow
from coach.language import Language
from coach.model.person import Person
from coach.runtime.kind_registry import kind_of
from coach.session.events import Answered, Source
from coach.session.state import Phase
from tests.audio.pulse import Pulse
from tests.bench.shown_spoken import made_of, place_of
from tests.climber import ANSWERS
from tests.hearing.voices import say

#: Seconds after her last sound in which an answer has to have come of it.
PATIENCE = 3.0
#: Seconds from what she sees to her answer, and from what came of one to the next.
REACTION, BREATH = 0.6, 1.8
#: Level of the room in dB re full scale, and how often she says one thing.
ROOM_DB, TIMES = -70.0, 2
#: What leaves the state as it is comes first, then what moves on, then what stands still.
FIRST = ("again", "how-long", "whats-next", "why", "filmed", "keep", "describe", "more-time")
THEN = ("skip", "done", "ready", "back", "down", "go", "pause", "stop", "resume", "yes")
#: What is only said where the day may go wrong by it.
ILL = ("hurt", "feel:sore", "feel:hurting", "feel:fingers:sore", "sign", "part", "tissue")
ENDS = ("finish", "leaving", "not-today", "enough", "home-early")
#: Who climbs with her.
COMPANIONS = ("Marlo", "Runa")
SETTLED = ("--age", "adult", "--hurting", "no")
DAY = ("--minutes", "60", "--same-place")


LINE = re.compile(r" *[\d.]+  (?P<where>[^:]+): (?P<key>\S+) (['\"]).*\3 (?P<outcome>\w.*)")


@dataclass(frozen=True)
class Day:
    """A session, for so many minutes; then she ends it."""

    args: tuple[str, ...]
    minutes: float
    ill: bool = False


DAYS = (
    Day(("start", "full", *DAY, *SETTLED), 20.0),
    Day(("rest", *SETTLED), 7.0),
    *[Day(("start", "full"), 0.8)] * 2,
    Day(("start", "full", *DAY, *SETTLED), 8.0, ill=True),
    Day(("rest", *SETTLED), 5.0, ill=True),
    Day(("start", "full"), 0.8, ill=True),
    Day(("start", "full", *DAY, *SETTLED), 4.0, ill=True),
    *[Day(("start", "mat-and-board", *DAY, *SETTLED), 4.0, ill=ill) for ill in (False, True)] * 2,
)


@dataclass
class Table:
    """What was shown in which state, and what came of saying it."""

    shown: dict[tuple[str, str], str] = field(default_factory=dict)
    """'' for what has not been said yet."""
    said: Counter[tuple[str, str]] = field(default_factory=Counter)
    came: Counter[str] = field(default_factory=Counter)
    """Of all that was said, what was said only to go on included."""
    seconds: list[float] = field(default_factory=list)
    """From her last sound to what came of it."""

    def unsaid(self, where: str, keys: Sequence[str]) -> list[str]:
        """What has still to be said here."""
        left = []
        for key in keys:
            outcome = self.shown.setdefault((where, key), "")
            again = outcome == "not heard" and self.said[where, key] < TIMES
            if not outcome or again:
                left.append(key)
        return left

    def read(self, path: Path) -> None:
        """Take what an earlier run printed of what it said as said."""
        for line in path.read_text("utf-8").splitlines():
            if (found := LINE.match(line)) is not None:
                where, key, outcome = found.group("where", "key", "outcome")
                self.said[where, key] += 1
                self.came[outcome.split(":")[0]] += 1
                if self.shown.get((where, key)) not in ("taken", "asked back"):
                    self.shown[where, key] = "" if outcome == "overtaken" else outcome

    def rows(self) -> Iterator[str]:
        """The table, and each answer that nothing came of."""
        places = defaultdict[str, Counter[str]](Counter)
        for (where, _), outcome in self.shown.items():
            places[where][outcome.split(":")[0] or "not said"] += 1
        for where, kinds in places.items():
            told = ", ".join(f"{kind} {number}" for kind, number in kinds.most_common())
            yield f"{where:32} shown {kinds.total():3}: {told}"
        for (where, key), outcome in self.shown.items():
            if outcome not in ("taken", "asked back"):
                yield f"    {where}: {key}: {outcome or 'not said'}"


@dataclass
class Watch:
    """The session as the journal tells it."""

    follower: Follower
    kind: Any = None
    state: Any = None
    since: float = 0.0
    """Wall clock time since which what is shown is as it is."""

    def new(self) -> list[tuple[Any, Any, Any, Any]]:
        """Each event since the last look, with the states before and after and the effects."""
        found = []
        for one in self.follower.new():
            if self.kind is None:
                start = self.follower.start()
                assert start is not None, "its events have been read"
                self.kind = kind_of(start)
                self.state = self.kind.new(start)
            before = self.state
            self.state, effects = self.kind.step(before, one.event)
            if (self.state.window, self.state.phase) != (before.window, before.phase):
                self.since = datetime.fromisoformat(one.wall).timestamp()
            if self.state.speech.saying != before.speech.saying:
                self.since = time.time()
            found.append((one.event, before, self.state, effects))
        return found


class Climber:
    """Says what is shown and was not said yet; else what a willing person says."""

    def __init__(self, table: Table, pulse: Pulse, language: Language, voice: tuple[str, str]):
        self._table, self._pulse = table, pulse
        self._language, self._voice = language, voice

    def chosen(self, watch: Watch, day: Day, *, over: bool) -> str:
        """What she says now; '' for nothing."""
        s = watch.state
        if s.speech.saying is not None or time.time() - watch.since < REACTION:
            return ""
        shown = watch.kind.look(s).answers
        left = self._table.unsaid(place_of(s), shown)
        allowed = [key for key in left if over or day.ill or not _one_of(key, (*ILL, *ENDS))]
        if over:
            ends = [key for key in shown if _one_of(key, ENDS[:2])]
            stands = s.phase in (Phase.STOPPED, Phase.HURT, Phase.DEBRIEF)
            stop = [key for key in shown if key == "stop" and not stands]
            allowed = [key for key in ends if key in left] or ends or stop or allowed
        elif day.ill:
            allowed = [key for key in allowed if not _one_of(key, ENDS[:2])]
        if allowed:
            return min(allowed, key=lambda key: _rank(key, day))
        return _willing(s, shown)

    def tell(self, watch: Watch, key: str) -> None:
        """Say it, and keep what came of it."""
        where, words = place_of(watch.state), self._language.phrase(key)
        sound = say(words, *self._voice)
        self._table.said[where, key] += 1
        watch.new()
        player = self._pulse.say(sound)
        ended = time.time() + len(sound) / RATE
        outcome, before, passed = "not heard", watch.state, list[str]()
        while outcome == "not heard" and time.time() < ended + PATIENCE:
            time.sleep(0.05)
            for event, was, now, effects in watch.new():
                passed.append(f"{time.time() - ended:+.2f} {_short(event)}")
                if isinstance(event, Answered) and event.source is Source.VOICE:
                    heard = event.answer.key
                    outcome = made_of(was, now, effects, heard == key, heard)
                    self._table.seconds.append(time.time() - ended)
                    break
        player.wait()
        if outcome == "not heard" and watch.state.window != before.window:
            outcome = "overtaken"
        self._table.came[outcome.split(":")[0]] += 1
        known = self._table.shown.get((where, key), "")
        if known not in ("taken", "asked back"):
            again = outcome == "overtaken" and self._table.said[where, key] <= TIMES
            self._table.shown[where, key] = "" if again else outcome
        print(f"{watch.state.at:7.1f}  {where}: {key} {words!r} {outcome}", flush=True)
        if outcome in ("not heard", "overtaken"):
            print(f"         {len(sound) / RATE:.2f} s long; {'; '.join(passed) or 'nothing'}")
        watch.since = time.time() + BREATH - REACTION


def _short(event: Any) -> str:
    """An event, for tracing: its kind, with what sounded or was heard."""
    what = getattr(event, "what", None) or getattr(event, "answer", None)
    onset = getattr(event, "onset", None)
    at = "" if onset is None else f" from {onset:.2f}"
    return f"{type(event).__name__} at {event.at:.2f}{at} {getattr(what, 'key', '')}".strip()


def _one_of(key: str, names: Sequence[str]) -> bool:
    return any(key == name or key.startswith(f"{name}:") for name in names)


def _rank(key: str, day: Day) -> int:
    if key in FIRST:
        return 0
    if _one_of(key, ENDS):
        return 9
    if _one_of(key, ("sign",)):
        return 9  # some end the day
    if _one_of(key, ILL):
        return 1 if day.ill else 8
    return 3 + THEN.index(key) if key in THEN else 2


def _willing(s: Any, shown: Sequence[str]) -> str:
    """What moves the day on; '' to let time pass."""
    asking = s.questions.asking
    if asking is not None and asking.question == "fall-over":
        return "finish"  # nothing else comes
    if asking is not None:
        meant = ANSWERS.get(asking.question, "")
        return meant if meant in shown else next((k for k in shown if k not in ENDS), "")
    return next((key for key in ("resume", "done", "down", "ready") if key in shown), "")


@contextmanager
def running(args: Sequence[str], home: Path) -> Iterator["subprocess.Popen[bytes]"]:
    """The real program, in a process group of its own that is ended with this."""
    line = [sys.executable, "-c", "from coach.cli import main; main()", *args, "--plain"]
    with (home / "screen.txt").open("wb") as screen:
        process = subprocess.Popen(
            line,
            stdin=subprocess.PIPE,
            stdout=screen,
            stderr=subprocess.STDOUT,
            env=os.environ | {"COACH_HOME": str(home), "LANG": "C.UTF-8"},
            start_new_session=True,
        )
        try:
            yield process
        finally:
            if process.poll() is None:
                os.killpg(process.pid, signal.SIGTERM)
            try:
                process.wait(60)
            except subprocess.TimeoutExpired:
                print("-- it did not end within a minute", flush=True)
                os.killpg(process.pid, signal.SIGKILL)


def lived(day: Day, people: int, pulse: Pulse, table: Table, voice: tuple[str, str]) -> None:
    """One session."""
    args = [*day.args]
    for name in COMPANIONS[: people - 1]:
        args += ["--with", name, *(["--age", "adult"] if "--age" in args else [])]
    with tempfile.TemporaryDirectory() as folder, running(args, Path(folder)) as process:
        print(f"-- coach {' '.join(args)}", flush=True)
        os.environ["COACH_HOME"] = folder
        watch, began = None, time.time()
        there = [Person(who, name) for who, name in enumerate(COMPANIONS, 2)]
        language = load_language("en", load_movements()).naming(there)
        she = Climber(table, pulse, language, voice)
        while process.poll() is None:
            spent = (time.time() - began) / 60.0
            if spent > day.minutes + 3.0:
                print("-- it did not end when she said so: ended by a signal", flush=True)
                return
            time.sleep(0.1)
            try:
                watch = watch or Watch(follow(paths().journal))
                watch.new()
            except CoachError:
                continue
            if watch.kind is not None and watch.state.phase is not Phase.OVER:
                key = she.chosen(watch, day, over=spent > day.minutes)
                if key:
                    she.tell(watch, key)
        print((Path(folder) / "screen.txt").read_text("utf-8").splitlines()[-1:], flush=True)


@contextmanager
def room() -> Iterator[None]:
    """A quiet room's noise in the microphone, without end."""
    line = ["pacat", "-d", "microphone", "--raw", "--format=float32le", f"--rate={RATE}"]
    player = subprocess.Popen([*line, "--channels=1"], stdin=subprocess.PIPE)
    assert player.stdin is not None
    noise = np.random.default_rng(5).normal(0.0, 10 ** (ROOM_DB / 20), RATE).astype("<f4")

    def play(pipe: Any = player.stdin) -> None:
        try:
            while True:
                pipe.write(noise.tobytes())
        except (BrokenPipeError, ValueError):
            return

    threading.Thread(target=play, daemon=True).start()
    try:
        yield
    finally:
        player.kill()
        player.wait()


def main() -> None:
    """Live the days and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--people", type=int, default=1)
    parser.add_argument("--voice", nargs=2, default=("flite", "slt"))
    parser.add_argument("--minutes", type=float, default=None, help="of each session at most")
    parser.add_argument("--after", type=Path, help="what an earlier run printed: said already")
    parser.add_argument("--days", type=int, nargs="*", default=None, help="only these, from 0")
    told = parser.parse_args()
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(1))
    table, began = Table(), time.time()
    if told.after is not None:
        table.read(told.after)
    with Pulse() as pulse, room():
        for number in told.days if told.days is not None else range(len(DAYS)):
            day = DAYS[number]
            if told.minutes is not None:
                day = Day(day.args, min(day.minutes, told.minutes), day.ill)
            lived(day, told.people, pulse, table, tuple(told.voice))
    for row in table.rows():
        print(row)
    came = ", ".join(f"{kind} {number}" for kind, number in table.came.most_common())
    print(f"{table.came.total()} said in {(time.time() - began) / 60:.0f} min: {came}")
    if table.seconds:
        late = np.percentile(table.seconds, (50, 95, 100))
        print("s to what came of it, p50 p95 most: " + " ".join(f"{one:.2f}" for one in late))


if __name__ == "__main__":
    main()
