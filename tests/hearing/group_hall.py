"""A group's session in a simulated hall: a leader who speaks, and the real ear, voice and runner.

The leader wears a headset: eight talkers and thuds at 20 dB below the leader's voice, our own cues
at -20 dB. Everything random has a seed.
"""

import time
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from coach.audio.echo import EchoCanceller
from coach.audio.sound_device import RATE
from coach.audio.tones import tones
from coach.clock import FakeClock
from coach.files.library import load_library
from coach.files.voices import load_voice
from coach.files.words import load_language
from coach.group.gathering import Group
from coach.group.group_step import new_group
from coach.group.kind import GROUP
from coach.group.leader import unsure
from coach.group.phrases import ADDRESSED, heard_from
from coach.hearing.listener import Listener
from coach.hearing.recogniser_port import Recogniser
from coach.model.body import Feel
from coach.model.body import Part as Body
from coach.model.person import AgeBand, Person
from coach.model.routine import BlockKind
from coach.model.start import Options
from coach.planning.stations import Station
from coach.runtime.runner import NoKeeper, Runner
from coach.session.effects import Effect, Say
from coach.session.events import Answered, Event, SoundStarted, Source, Started
from coach.speech.cache import Cache
from coach.speech.engines import engine
from coach.speech.voice import Voice
from tests.audio.simulated_room import SimulatedRoom
from tests.audio.simulated_stage import SimulatedStage
from tests.bench.sound_hall import hall
from tests.hearing.hall_session import COMPUTE, ECHO_DB, SNR_DB, VOICES, Ready
from tests.hearing.voices import say

ADDRESS = "coach"
#: Seconds of quiet before the leader speaks, and until a line is said once more.
QUIET, PATIENCE = 0.8, 5.0
#: Twelve people, two of them limited: one under 16, one with a sore shoulder.
PEOPLE = tuple(Person(n, age=AgeBand.UNDER_16 if n == 8 else AgeBand.ADULT) for n in range(1, 13))
HURTING = ((3, Body.SHOULDERS, Feel.SORE),)
#: Of the twelve minutes: when, and what the leader says. '>' is told of who was named before it:
#: a latecomer, somebody hurt, that taken back, a limit, and the end.
LINES: tuple[tuple[float, str], ...] = (
    (25, "again"), (45, "stay"), (60, "next"), (90, "person:5"), (91, ">late"),
    (140, "where"), (175, "more-time:2"), (215, "person:11"), (216, ">hurts"),
    (240, "undo"), (290, "person:5"), (291, ">late"), (330, "stay"), (345, "next"),
    (375, "person:11"), (376, ">feel:sore"), (377, ">part:fingers"), (428, "where"),
    (440, "person:9"), (441, ">out"), (480, "again"), (520, "next"), (560, "where"),
    (600, "stay"), (620, "next"), (650, "again"), (700, "finish"),
)  # fmt: skip


#: How often a line is said again.
AGAIN = 2


@dataclass
class Spoken:
    """One line of the leader's, and what came of it."""

    key: str
    begins: float
    ends: float
    again: int = 0
    """How often it had been said before; twice at most."""
    outcome: str = "missed"
    """'acted', 'asked', 'wrong' or 'missed'."""
    took: float = 0.0
    """Seconds from its end until it was acted on."""


@dataclass
class Leader:
    """Says the lines, each once the coach is quiet; once more where nothing came of one."""

    room: SimulatedRoom
    voice: tuple[str, str]
    phrases: dict[str, Sequence[str]]
    script: list[tuple[float, str]]
    spoken: list[Spoken] = field(default_factory=list)
    strays: list[Answered] = field(default_factory=list)
    cues: list[tuple[Say, float]] = field(default_factory=list)
    """Cues, and when each left the loudspeaker."""
    _say: dict[int, Say] = field(default_factory=dict)
    quiet_from: float = 0.0

    def watch(self, thing: Effect | Event) -> None:
        """See cues and what was heard."""
        if isinstance(thing, Say):
            self._say[thing.sound] = thing
        elif isinstance(thing, SoundStarted):
            self.quiet_from = max(self.quiet_from, thing.at + thing.seconds)
            if thing.sound in self._say:
                self.cues.append((self._say.pop(thing.sound), thing.at))
        elif isinstance(thing, Answered) and thing.source is Source.VOICE:
            self._heard(thing)

    def _heard(self, event: Answered) -> None:
        last = self.spoken[-1] if self.spoken else None
        if last is None or not (last.begins - 0.3 <= event.onset <= last.ends + 0.2):
            self.strays.append(event)
            return
        right = event.answer.key == last.key
        # unsure, it is asked back: the same once more counts
        asked = last.again and self.spoken[-2].outcome == "asked"
        sure = not unsure(event) or (asked and right)
        last.outcome = ("acted" if sure else "asked") if right else ("wrong" if sure else "asked")
        last.took = event.at - last.ends

    def act(self, now: float, group: Group) -> None:
        """Speak if it is time to, and quiet."""
        if now < self.quiet_from + QUIET or group.speech.saying is not None:
            return
        last = self.spoken[-1] if self.spoken else None
        if last is not None and now < last.ends + 2.0:
            return
        if last is not None and last.outcome in ("missed", "asked") and last.again < AGAIN:
            if now < last.ends + PATIENCE and last.outcome == "missed":
                return
            about = last.key in ("late", "hurts", "out", "no", "feel:sore", "part:fingers")
            if not about or group.asked:
                self._speak(last.key, now, addressed=not about, again=last.again + 1)
                return
        if self.script and now >= self.script[0][0]:
            _, key = self.script.pop(0)
            if key.startswith(">"):
                if group.asked:
                    self._speak(key[1:], now, addressed=False)
            else:
                self._speak(key, now, addressed=True)

    def _speak(self, key: str, now: float, *, addressed: bool, again: int = 0) -> None:
        words = self.phrases[key][0]
        sound = say(f"{ADDRESS}, {words}" if addressed else words, *self.voice)
        at = now + 0.05
        self.room.speak(sound, at)
        self.spoken.append(Spoken(key, at, at + len(sound) / RATE, again))


@dataclass(frozen=True)
class Outcome:
    """What one simulated session came to."""

    spoken: list[Spoken]
    strays: list[Answered]
    cues: list[tuple[Say, float]]
    group: Group
    aloud: list[str]
    """Every sentence that the coach said."""
    changes: list[tuple[float, frozenset[tuple[int, str]]]]
    """Session second and who sat down where."""
    seconds: float
    took: float

    @property
    def heard(self) -> list[Spoken]:
        """Lines that were acted on, at once or when said again."""
        runs: list[list[Spoken]] = []
        for one in self.spoken:
            if one.again:
                runs[-1].append(one)
            else:
                runs.append([one])
        return [run[0] for run in runs if run[-1].outcome == "acted"]

    @property
    def first(self) -> list[Spoken]:
        """Lines that were said for the first time."""
        return [one for one in self.spoken if not one.again]


def short(minutes: float) -> Group:
    """A group whose mat is short, so that ten minutes hold a rota."""
    library = load_library("group", None, ())
    blocks = tuple(
        replace(block, items=block.items[:2], floor=0, most=120)
        if block.kind in (BlockKind.PULSE, BlockKind.MAT)
        else block
        for block in library.routine.blocks
    )
    routine = replace(library.routine, blocks=blocks, least_minutes=5)
    stations = tuple(Station(f"board {n}", "board", 1) for n in (1, 2))
    library = replace(library, routine=routine)
    options = Options(PEOPLE, minutes, HURTING)
    return new_group(library, options, (*stations, Station("wall", "wall", 8)))


def simulate(
    recogniser: Recogniser,
    seconds: float,
    seed: int,
    cache: Path,
    lines: Sequence[tuple[float, str]],
) -> Outcome:
    """Run it for some seconds; the same seed gives the same outcome."""
    group = short(60.0)
    language = heard_from(load_language("en", group.library.movements), {})
    profile = load_voice("steady")
    room = SimulatedRoom(
        FakeClock(), echo_db=ECHO_DB, noise=hall(30.0, seed=seed), snr_db=SNR_DB, seed=seed
    )
    voice = Voice(engine(profile.engine), profile, Cache(cache))
    listener = Listener(
        recogniser,
        language.answers,
        address=ADDRESS,
        addressed=ADDRESSED,
        compute_seconds=COMPUTE,
    )
    stage = SimulatedStage(
        room, Ready(voice), tones(), language.text, listener, echo=EchoCanceller()
    )
    leader = Leader(room, VOICES[seed % len(VOICES)], dict(language.answers), list(lines))
    stage.watch(leader.watch)
    changes: list[tuple[float, frozenset[tuple[int, str]]]] = []
    runner = Runner(group, stage, NoKeeper(), FakeClock().wall, kind=GROUP)
    began = time.perf_counter()
    stage.start()
    going = runner.take(Started(0.0))
    while going and stage.now() < seconds:
        wake = min(runner.wake or seconds, stage.now() + 0.5, seconds)
        event = stage.wait(wake)
        if event is not None or (runner.wake is not None and stage.now() >= runner.wake):
            before = {(seat.turn.who, seat.station) for seat in runner.session.seated}
            going = runner.take(event if event is not None else runner.due())
            after = {(seat.turn.who, seat.station) for seat in runner.session.seated}
            if after - before:
                changes.append((stage.now(), frozenset(after - before)))
        leader.act(stage.now(), runner.session)
    took = time.perf_counter() - began
    stage.stop()
    voice.close()
    return Outcome(
        leader.spoken,
        leader.strays,
        leader.cues,
        runner.session,
        [language.text(say.what) for say, _ in leader.cues],
        changes,
        stage.now(),
        took,
    )
