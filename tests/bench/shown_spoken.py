"""Every answer that the screen shows, spoken once in each state.

Days of one and of two people run through the core in the hall of `tests.days`. For each kind of
state - phase, question or kind of step - each answer shown there is spoken by a synthetic voice
into the real ear and recogniser with that state's window, and what they heard goes into the core
in that state. The clock is a fake one, the room a quiet one or a hall at some dB.

    python -m tests.bench.shown_spoken [--snr DB] [--voice flite slt] [--most N]

'taken' did something, 'asked back' was heard unsurely and asked back, 'answered' was met by a
sentence that says why not; the rest is listed: 'not heard', 'wrong' and 'nothing at all'.
"""

import argparse
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from random import Random
from typing import Any

import numpy as np

from coach.audio.sound_device import RATE, Samples
from coach.files.library import load_library
from coach.files.words import load_language
from coach.hearing.listener import Listener
from coach.hearing.recognisers import load
from coach.language import Language
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.runtime.runner import NoKeeper, Runner
from coach.session.effects import CloseWindow, Effect, OpenWindow, Record, Say
from coach.session.events import Answered, Event, Started
from coach.session.looking import look
from coach.session.state import Session
from coach.session.step import new_session, step
from tests.bench.sound_hall import hall as noise_of_a_hall
from tests.days import climbers
from tests.days.climbers import Climber
from tests.days.hall import Hall
from tests.hearing.voices import say

#: Seconds of quiet before an answer, of which the window is open for half, and after it.
BEFORE, AFTER, BLOCK = 1.2, 1.6, RATE // 50
#: Answers that end or stop a day say so by what comes; these mean nothing where they are shown.
NOTHING = frozenset({"not-now", "not-now-standing", "not-now-early", "nothing-asked"})


@dataclass(frozen=True)
class Shown:
    """An answer that is shown in a state, and the window that it is said in."""

    where: str
    key: str
    session: Session


def days(dice: Random) -> Iterator[list[Climber]]:
    """Good ones, and such that come to a pause, a stop, soreness and a hurt."""
    yield [climbers.Telling(dice)]
    yield [Climber(dice, 1), Climber(dice, 2)]
    for word in ("pause", "stop"):
        yield [climbers.Away(dice, at=700.0, word_of_leave=word, back_after=60.0)]
    yield [climbers.Hurt(dice, at=1500.0, part="fingers", words="feel:fingers:sore")]
    yield [climbers.Hurt(dice, at=600.0)]
    yield [climbers.Hurt(dice, at=600.0, part="knees"), Climber(dice, 2)]


def states(language: Language) -> list[Shown]:
    """Each shown answer of each kind of state, the first time that a day comes to it."""
    found: dict[tuple[str, str], Shown] = {}
    library = load_library("full", None, ())
    for there in days(Random(1)):
        hall = Hall(language, [*there])
        people = tuple(Person(one.who, age=AgeBand.ADULT, edge="medium") for one in there)

        def seen(now: Any, event: Event, effects: Any, hall: Hall = hall) -> None:
            view = look(now)
            hall.seen(view, event, effects)
            if now.window is None or now.speech.saying is not None:
                return
            where = place_of(now)
            for key in view.answers:
                found.setdefault((where, key), Shown(where, key, now))

        options = Options(people, 60.0, same_place=True)
        runner = Runner(
            new_session(library, options), hall, NoKeeper(), lambda: datetime.now(UTC), seen
        )
        going = runner.take(Started(0.0))
        while going:
            going = runner.take(runner.next())
    return list(found.values())


def place_of(session: Session) -> str:
    """The kind of state: how many people, the phase, and the question or the kind of step."""
    asking, running = session.questions.asking, session.course.running
    here = asking.question if asking is not None else ""
    here = here or (f"step {running.step.kind}" if running is not None else "")
    return f"{len(session.people)} {session.phase} {here}".strip()


class Ear:
    """The real listener on an unbroken stream, window after window."""

    def __init__(self, language: Language, snr_db: float | None) -> None:
        self._listener = Listener(load("whisper"), language.answers, sparing=False)
        self._position = 0
        rng = np.random.default_rng(5)
        self._noise = rng.normal(0, 10 ** (-75 / 20), 30 * RATE).astype(np.float32)
        if snr_db is not None:
            loud = noise_of_a_hall(30.0, seed=1)
            level = 10 ** ((-26.0 - snr_db) / 20) / float(np.sqrt(np.mean(loud**2)))
            self._noise += (loud * np.float32(level)).astype(np.float32)

    def hears(self, shown: Shown, sound: Samples) -> Answered | None:
        """What was heard first of something said in the window of a state."""
        window = shown.session.window
        assert window is not None
        silence = [np.zeros(round(s * RATE), np.float32) for s in (BEFORE, AFTER)]
        track = np.concatenate([silence[0], sound, silence[1]])
        place = np.arange(self._position, self._position + len(track))
        track = track + np.take(self._noise, place, mode="wrap")
        opens = self._position / RATE + BEFORE / 2
        opened, heard = False, list[Answered]()
        for first in range(0, len(track), BLOCK):
            if not opened and self._position / RATE >= opens:
                opened = True
                self._listener.open(
                    OpenWindow(window.number, window.answers, opens, window.who, window.beside)
                )
            events = self._listener.feed(track[first : first + BLOCK], self._position)
            heard += [event for event in events if isinstance(event, Answered)]
            self._position += len(track[first : first + BLOCK])
        self._listener.close(CloseWindow(window.number, self._position / RATE))
        return heard[0] if heard else None


def came_of(shown: Shown, heard: Answered | None) -> str:
    """What the core makes of what was heard, in the state where it was said."""
    if heard is None:
        return "not heard"
    s = shown.session
    after, effects = step(s, replace(heard, at=s.at, onset=s.at))
    return made_of(s, after, effects, heard.answer.key == shown.key, heard.answer.key)


def made_of(s: Session, after: Session, effects: Sequence[Effect], right: bool, heard: str) -> str:
    """What an answer that was heard came to, from the states before and after it."""
    did = after.did.key if after.did is not None else ""
    asks = after.questions.asking
    if did == "once-more" or (asks is not None and asks.question == "confirm" and asks.about):
        asked = "asked back" if right else "asked back wrongly"
        return asked if s.questions.asking != asks else "taken"
    if not right:
        return f"wrong: {heard}"
    if did in NOTHING:
        return f"refused: {did}"
    if did or any(isinstance(one, Say | Record) for one in effects):
        return "taken"
    changed = (after.phase, after.course, after.questions, after.rests, after.standing)
    before = (s.phase, s.course, s.questions, s.rests, s.standing)
    return "taken" if changed != before else "nothing at all"


def main() -> None:
    """Say everything, and print what came of it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--snr", type=float, default=None)
    parser.add_argument("--voice", nargs=2, default=("flite", "slt"))
    parser.add_argument("--most", type=int, default=None)
    told = parser.parse_args()
    library = load_library("full", None, ())
    language = load_language("en", library.movements)
    ear, came = Ear(language, told.snr), Counter[str]()
    every = states(language)[: told.most]
    for shown in every:
        outcome = came_of(shown, ear.hears(shown, say(language.phrase(shown.key), *told.voice)))
        came[outcome.split(":")[0]] += 1
        if outcome not in ("taken", "asked back"):
            print(f"{shown.where}: {language.phrase(shown.key)!r} {outcome}", flush=True)
    places = len({shown.where for shown in every})
    counts = ", ".join(f"{kind} {number}" for kind, number in came.most_common())
    print(f"{len(every)} answers in {places} kinds of state: {counts}")


if __name__ == "__main__":
    main()
