"""An invented climber's sessions at an invented hall: for pictures, benchmarks and tests.

`python -m tests.record.invented JOURNAL` writes a year of them. Nobody did any of it. The shape is
made up so that every chart has something to show: two sessions most weeks, a sore spell and a
holiday, an edge that slowly feels better, more and harder boulders towards the end.
"""

import random
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from zoneinfo import ZoneInfo

from coach.files.library import load_library
from coach.journal import Journal
from coach.journal.codec import Recorded
from coach.journal.transfer import Whole, put_all
from coach.model.answers import Answer, Meaning
from coach.model.body import CapReason, Feel, Part, Tissue
from coach.model.day import Library
from coach.model.facts import (
    CapSet,
    Climbed,
    Decided,
    EdgeChecked,
    Fact,
    Felt,
    Finished,
    Planned,
    Rested,
    RuleFired,
    StepEnded,
    Tried,
)
from coach.model.messages import message
from coach.model.person import AgeBand, Person
from coach.model.start import Start
from coach.session.events import (
    Answered,
    Event,
    SoundEnded,
    SoundStarted,
    Source,
    Started,
    TimePassed,
)

FIRST = datetime(2025, 1, 6, 18, 30, tzinfo=ZoneInfo("Europe/Vienna"))
PERSON = Person(1, "", AgeBand.ADULT, "marble", "medium", "6C")

MAT = ("cat-arch", "thread-the-arm", "low-lunge", "deep-squat", "ankle-rocks", "wall-slides")
FOCUSES = ("quiet-feet", "long-arms", "hips-close", "soft-grip", "slow-hands")
RESULTS = ("start", "middle", "top", "topped")


@cache
def library() -> Library:
    """The shipped catalogue at the invented hall of the examples."""
    return load_library("full", "tarnwick", ())


@dataclass
class Tape:
    """What one session wrote down, as it goes."""

    began: datetime
    now: float = 0.0
    recorded: list[Recorded] = field(default_factory=list)
    sounds: int = 0

    def add(self, event: Event, *facts: Fact) -> None:
        """One transaction at the present time."""
        wall = (self.began + timedelta(seconds=self.now)).isoformat()
        self.recorded.append(Recorded(len(self.recorded) + 1, wall, event, facts))

    def cue(self, name: str, seconds: float = 2.0) -> None:
        """A spoken line, from start to end."""
        self.sounds += 1
        self.add(SoundStarted(self.now, self.sounds, message(name), seconds))
        self.now += seconds
        self.add(SoundEnded(self.now, self.sounds))

    def answer(self, answer: Answer, *facts: Fact) -> None:
        """A spoken answer."""
        self.now += 1.2
        heard = Answered(self.now, answer, 1, self.now - 0.7, len(self.recorded), Source.VOICE)
        self.add(heard, *facts)

    def step(self, name: str, movement: str, kind: str, block: str, seconds: float) -> None:
        """A step from its cue to its end."""
        self.cue(f"cue-{movement}")
        self.now += seconds
        ended = StepEnded(
            self.now, 1, name, movement, kind, block, seconds, seconds, seconds, "done"
        )
        self.add(TimePassed(self.now), ended)


def session(number: int, begun: datetime, progress: float, chance: random.Random) -> Whole:
    """One session; progress runs from 0 at the beginning to 1 at the end of the story."""
    local = begun.isoformat()
    tape = Tape(begun.replace(tzinfo=None).replace(tzinfo=begun.tzinfo).astimezone(UTC))
    sore = 0.42 < progress < 0.5
    minutes = chance.choice([75, 90, 90, 105])
    tape.add(Started(0.0))
    tape.add(TimePassed(0.1), Planned(0.1, 1, minutes * 60.0, 0 if sore else 6, "check-in"))
    for n, movement in enumerate(MAT * 2):
        tape.step(f"mat.{n}", movement, "breathe", "mat", chance.uniform(25, 60))
    tape.answer(
        Answer(Meaning.FEEL, Part.BACK, Feel.FINE),
        Felt(tape.now, 1, Part.BACK, chance.choice([Feel.FINE, Feel.STIFF]), None, "gate-body"),
    )
    for n in range(3):
        tape.step(f"board.{n}", "largest-hang", "stay", "board", 10.0)
    _edge(tape, progress, chance, sore)
    for n in range(chance.randint(4, 7) if not sore else 3):
        focus = chance.choice(FOCUSES)
        tape.step(f"easy.{n}", focus, "climb", "easy", chance.uniform(60, 110))
    boulders = chance.randint(9, 15)
    tape.add(TimePassed(tape.now), Climbed(tape.now, 1, "easy", boulders, boulders * 70.0))
    tape.now += boulders * 70.0
    if not sore:
        _middle_and_hard(tape, progress, chance)
    for n in range(3):
        tape.step(f"cool-down.{n}", "quiet-breaths", "breathe", "cool-down", 40.0)
    effort = 3 if sore else chance.choice([4, 5, 5, 6, 7])
    tape.answer(Answer(Meaning.EFFORT, number=effort))
    tape.add(TimePassed(tape.now), Finished(tape.now, 0, tape.now, effort, "done"))
    began = Start(
        "full", minutes, (PERSON,), library(), "invented", "invented", local, voice="steady"
    )
    return Whole(f"{chance.getrandbits(128):032x}", "", began, "done", tuple(tape.recorded))


def _edge(tape: Tape, progress: float, chance: random.Random, sore: bool) -> None:
    tape.step("board.9", "edge-check", "stay", "board", 7.0)
    draw = chance.random()
    if sore:
        feel = Feel.SORE if draw < 0.6 else Feel.TIRED
    elif draw < 0.1:
        feel = Feel.TIRED
    else:
        feel = Feel.FRESH if draw < 0.25 + 0.5 * progress else Feel.FINE
    reading = round(46 + 5 * progress + chance.gauss(0, 1.2) - (5 if sore else 0), 1)
    facts: list[Fact] = [
        EdgeChecked(tape.now, 1, "medium", "half-crimp", "off", feel, reading),
        Felt(tape.now, 1, Part.FINGERS, feel, None, "gate-fingers"),
    ]
    if sore:
        facts.append(RuleFired(tape.now, 1, "fingers-sore", "design choice"))
        facts.append(CapSet(tape.now, 1, Part.FINGERS, 1, CapReason.SORE, "fingers-sore"))
        facts.append(Felt(tape.now, 1, Part.FINGERS, feel, Tissue.MUSCLE))
    tape.answer(Answer(Meaning.FEEL, Part.FINGERS, feel), *facts)


def _middle_and_hard(tape: Tape, progress: float, chance: random.Random) -> None:
    boulders = chance.randint(4, 8)
    tape.now += boulders * 110.0
    tape.add(TimePassed(tape.now), Climbed(tape.now, 1, "middle", boulders, boulders * 110.0))
    go = chance.random() < 0.55 + 0.4 * progress
    tape.answer(Answer(Meaning.GO if go else Meaning.NOT_TODAY), Decided(tape.now, 1, go))
    if not go:
        tape.add(TimePassed(tape.now), RuleFired(tape.now, 1, "no-go-ahead", "design choice"))
        return
    circuit = "slate" if chance.random() < 0.3 + 0.6 * progress else "marble"
    for n in range(chance.randint(3, 7)):
        boulder = f"{circuit} {chance.randint(1, 9)}"
        step = f"hard.{n}"
        tape.step(step, "hard-try", "try", "hard", chance.uniform(15, 45))
        reached = min(3, int(chance.random() * (2.6 + 2.0 * progress)))
        tape.answer(
            Answer(Meaning.TOPPED if reached == 3 else Meaning.ENDED_MIDDLE),
            Tried(tape.now, 1, boulder, n + 1, RESULTS[reached], 30.0),
        )
        suggested = chance.choice([150.0, 180.0, 240.0])
        taken = suggested * chance.uniform(0.85, 1.5)
        tape.now += taken
        tape.add(TimePassed(tape.now), Rested(tape.now, 0, taken, suggested, step))


def days(weeks: float, chance: random.Random) -> Iterator[tuple[datetime, float]]:
    """When the sessions begin, and how far the story is."""
    for week in range(round(weeks)):
        progress = week / max(weeks - 1, 1)
        if 0.6 < progress < 0.64:  # a holiday
            continue
        for day in chance.choice([(0, 3), (1, 3), (0, 2, 5), (2,), (1, 4), (0, 3, 5)]):
            late = timedelta(days=7 * week + day, minutes=chance.randint(-30, 60))
            yield FIRST + late, progress


def sessions(weeks: float = 52, seed: int = 1) -> list[Whole]:
    """The whole story, the earliest first; the same for the same seed."""
    chance = random.Random(seed)
    found: list[Whole] = []
    for number, (begun, progress) in enumerate(days(weeks, chance)):
        found.append(session(number, begun, progress, chance))
    return found


def main(path: str, weeks: str = "52") -> None:
    """Write the story into a journal."""
    with Journal.open(Path(path), write=True) as journal:
        counts = put_all(journal, sessions(float(weeks)))
    print(", ".join(f"{count} {outcome}" for outcome, count in counts.items()))


if __name__ == "__main__":
    main(*sys.argv[1:])
