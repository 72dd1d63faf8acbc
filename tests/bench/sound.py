"""How exactly sounds start: `python -m tests.bench.sound`.

200 cues of the real voice go through the real stage and device to a sound server of our own; its
speaker is recorded. One sync sound at the start sets the clocks together; nothing is fitted after
it. A second table compares with the obvious way of doing it, a thread that sleeps and plays.
"""

import argparse
import os
import random
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from coach.audio.portaudio import PortAudioDevice
from coach.audio.sound_device import RATE, Samples
from coach.audio.streams import restart_library
from coach.audio.tones import tones
from coach.clock import FakeClock
from coach.model.messages import Message, message
from coach.runtime.live_stage import Stage
from coach.session.effects import Play, Say, Tone
from coach.session.events import SoundStarted
from coach.speech.cache import Cache
from coach.speech.espeak import EspeakNg
from coach.speech.voice import Voice
from tests.audio.pulse import Pulse
from tests.audio.signals import find, likeness
from tests.audio.simulated_room import SimulatedRoom
from tests.audio.simulated_stage import SimulatedStage
from tests.bench.sound_hall import hall
from tests.speech.profiles import CALM

CUES = (
    "Rest now.",
    "Hang in three, two, one.",
    "Easy boulder, quiet feet.",
    "How do your fingers feel?",
    "Stand up slowly.",
    "Thirty seconds left.",
    "Last one. Make it neat.",
    "Breathe in, and out.",
)

#: Samples around the journalled start in which a cue is looked for, and of the cue that are
#: looked for: its beginning, so that a hole further on doesn't hide it.
NEAR, HEAD = RATE // 2, RATE * 3 // 10


@dataclass(frozen=True)
class Start:
    """One cue: where it was asked for, journalled, and found in the recording (seconds)."""

    asked: float
    journalled: float
    heard: float


def words(what: Message) -> str:
    return str(what.value("text"))


def say(stage: Stage, cues: int, minutes: float, rng: random.Random) -> list[tuple[str, float]]:
    """Schedule cues over the minutes, at no regular time; (text, journalled start) of each."""
    texts: dict[int, tuple[str, float]] = {}
    started: dict[int, float] = {}
    sync = stage.now() + 0.5
    stage.carry_out(Play(0, Tone.SYNC, sync))
    step = minutes * 60 / cues
    for number in range(1, cues + 1):
        at = sync + 1.0 + (number - 1) * step + rng.uniform(0, max(0.0, step - 2.6))
        text = CUES[number % len(CUES)]
        while (event := stage.wait(at - 0.3)) is not None:
            if isinstance(event, SoundStarted):
                started[event.sound] = event.at
        texts[number] = (text, at)
        stage.carry_out(Say(number, message("cue", text=text), at))
    while (event := stage.wait(stage.now() + 3.0)) is not None:
        if isinstance(event, SoundStarted):
            started[event.sound] = event.at
    assert len(started) == cues + 1, "a cue was never started"
    strays = [abs(started[number] - at) for number, (_, at) in texts.items()]
    print(f"asked to journalled: largest difference {1000 * max(strays):.2f} ms")
    return [("", started[0])] + [(texts[n][0], started[n]) for n in range(1, cues + 1)]


def heard(recording: Samples, said: list[tuple[str, float]], voice: Voice) -> list[float]:
    """Seconds by which each cue strays in the recording from its journalled start; NaN if torn."""
    origin = find(recording, tones()[Tone.SYNC]) - said[0][1] * RATE
    strays = []
    for text, at in said[1:]:
        sound = voice.render(text)[:HEAD]
        first = round(origin + at * RATE)
        piece = recording[max(0, first - NEAR) : first + NEAR + len(sound)]
        like = likeness(piece, sound)
        best = int(like.argmax())
        found = (best - min(NEAR, first)) / RATE
        strays.append(found if like[best] > 0.7 else float("nan"))
    return strays


def onset(voice: Voice, cues: int, minutes: float) -> None:
    """Table of cue onset errors and drift."""
    with Pulse() as pulse:
        restart_library()
        device = PortAudioDevice()
        stage = Stage(device, voice, tones(), words, None)
        with pulse.recording() as recording:
            stage.start()
            stage.wait(0.5)
            began = (time.monotonic(), stage.now())
            said = say(stage, cues, minutes, random.Random(7))
            clock = (stage.now() - began[1]) / (time.monotonic() - began[0]) - 1
            holes = device.holes
            stage.stop()
        strays = np.array(heard(recording.samples(), said, voice))
    times = np.array([at for _, at in said[1:]])
    torn = np.isnan(strays)
    times, strays = times[~torn], strays[~torn]
    drift = np.polyfit(times, strays, 1)[0] * 600
    early, late = strays[times < times[0] + 60], strays[times > times[-1] - 60]
    p50, p99 = np.percentile(np.abs(strays), [50, 99])
    print(
        f"cues                               {len(strays)} in {minutes:g} min, "
        f"{torn.sum()} more torn by a hole"
    )
    print(
        f"onset error p50 / p99 / max        {1000 * p50:.2f} / {1000 * p99:.2f} / "
        f"{1000 * np.abs(strays).max():.2f} ms   (goal: p99 20 ms)"
    )
    print(f"drift, by line through the errors  {1000 * drift:+.3f} ms in 10 min   (goal: 0)")
    print(
        f"median of first and last minute    {1000 * np.median(early):+.2f} / "
        f"{1000 * np.median(late):+.2f} ms"
    )
    print(f"timeline against monotonic clock   {1e6 * clock:+.0f} ppm")
    print(f"holes counted                      {1000 * holes:.1f} ms")


FIRST = """
import sys, time
from pathlib import Path
from coach.audio.portaudio import PortAudioDevice
from coach.audio.tones import tones
from coach.session.effects import Say
from coach.session.events import SoundStarted
from coach.model.messages import message
from coach.speech.cache import Cache
from coach.speech.espeak import EspeakNg
from coach.speech.voice import Voice
from coach.runtime.live_stage import Stage
from tests.speech.profiles import CALM
voice = Voice(EspeakNg(), CALM, Cache(Path(sys.argv[1])))
stage = Stage(PortAudioDevice(), voice, tones(), lambda what: what.key, None)
stage.start()
stage.carry_out(Say(1, message("Rest now."), stage.now()))
event = stage.wait(30.0)
assert isinstance(event, SoundStarted), event
print(time.monotonic())
stage.stop()
"""


def first_sound(folder: Path, runs: int = 7) -> None:
    """Start of a process to the first sample of its first cue at the speaker, warm cache."""
    took = []
    with Pulse():
        environment = {**os.environ, "PYTHONPATH": str(Path.cwd())}
        for _ in range(runs):
            begun = time.monotonic()
            done = subprocess.run(
                [sys.executable, "-c", FIRST, str(folder)],
                env=environment,
                capture_output=True,
                text=True,
                check=True,
            )
            took.append(float(done.stdout) - begun)
    print(
        f"process start to first sound       {np.median(took):.2f} s median, "
        f"{max(took):.2f} s most, of {runs}   (goal: 1.5 s)"
    )


def speed(voice: Voice, seconds: float = 120.0) -> None:
    """How much faster than real time the simulated room runs, with nobody listening to it."""

    class Deaf:
        def open(self, window: object) -> None: ...
        def close(self, window: object) -> None: ...
        def doubt(self) -> None: ...
        def sounding(self, text: str, start: float, end: float | None) -> None: ...
        def feed(self, samples: Samples, first: int) -> list[object]:
            return []

    for name, room in (
        ("quiet", SimulatedRoom(FakeClock())),
        (
            "hall noise, echo, reverberation",
            SimulatedRoom(FakeClock(), noise=hall(10.0), echo_db=-20, rt60=0.5),
        ),
    ):
        stage = SimulatedStage(room, voice, tones(), words, Deaf())  # type: ignore[arg-type]
        stage.start()
        for number in range(int(seconds / 10)):
            stage.carry_out(Say(number, message("cue", text=CUES[0]), 10.0 * number))
        begun = time.monotonic()
        while stage.wait(seconds) is not None:
            pass
        factor = seconds / (time.monotonic() - begun)
        print(f"simulated room, {name:33}  {factor:.0f} times real time")


def shell_loop(beats: int = 20) -> None:
    """The obvious way: play, sleep a second, play; how far the last beat strays."""
    sound = tones()[Tone.START]
    with Pulse() as pulse, tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "beat.raw"
        path.write_bytes(sound.tobytes())
        with pulse.recording() as recording:
            for _ in range(beats):
                with path.open("rb") as file:
                    subprocess.run(
                        ["pacat", "--raw", "--format=float32le", f"--rate={RATE}", "--channels=1"],
                        stdin=file,
                    )
                time.sleep(1.0)
        like = likeness(recording.samples(), sound)
    peaks: list[int] = []
    for index in np.flatnonzero(like > 0.8):
        if not peaks or index - peaks[-1] > RATE // 4:
            peaks.append(int(index))
    away = (peaks[-1] - peaks[0]) / RATE - (len(peaks) - 1)
    print(
        f"a loop of play and sleep           {len(peaks)} of {beats} beats heard, "
        f"the last {away:+.2f} s away"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--minutes", type=float, default=10.0)
    parser.add_argument("--cues", type=int, default=200)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        voice = Voice(EspeakNg(), CALM, Cache(folder))
        for text in CUES:
            voice.render(text)
        onset(voice, options.cues, options.minutes)
        first_sound(folder)
        speed(voice)
        shell_loop()
        voice.close()


if __name__ == "__main__":
    main()
