"""Measures the room from where the climber stands, and says which way of listening will work.

Two spells of sound: quiet with one tone of ours in it, then the climber speaking. Levels are in
dB below full scale; only their differences count, so that no microphone has to be calibrated.
"""

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from coach.audio.delay import END, LONGEST, Probe, actual
from coach.audio.health import levels
from coach.audio.sound_device import RATE, Samples
from coach.audio.tones import TONE_DB, tones
from coach.files.paths import Paths
from coach.runtime.device_checks import DeviceCheck
from coach.session.effects import Tone
from coach.session.events import Event

#: Seconds of each spell, and when in the first one our tone sounds.
QUIET, SPEAKING, TONE_AT = 3.0, 4.0, 1.5
#: Seconds of one level.
FRAME = 0.03
#: How far speech must stand out from the room, in dB: about 9 in 10 short answers are heard from
#: 20 dB on, and about 7 in 10 at 10, of which a quarter is asked back (see docs/hearing.md).
WORKS, NEARER = 20.0, 10.0
#: An echo of our own voice louder than the climber by more than this hides her answers.
LOUD_ECHO = 0.0
#: What stands out from the room by less than this, in dB, is the room.
HEARD = 3.0


#: What is wrong with a microphone that gives zeros.
NO_SOUND = "The microphone gives no sound. Is it switched off, muted, or empty?"
#: From these shares of a recording on it is told: of zeros, of clipped samples; and the offset.
ZEROS, CLIPPED, OFFSET = 0.99, 0.002, 0.02


class Mode(StrEnum):
    """Which way a session here can listen."""

    OPEN = "open loudspeaker"
    NEAR = "arm's length"
    HEADSET = "headset"
    KEYS = "keys"
    #: nothing was measured
    UNKNOWN = "not measured"

    @property
    def sentence(self) -> str:
        """What to do, in one sentence."""
        return _SENTENCES[self]


_SENTENCES = {
    Mode.OPEN: "What you have works from where you stand; a headset works in louder hours as well.",
    Mode.NEAR: "Speak within an arm's length of the microphone, or wear a headset.",
    Mode.HEADSET: "It is too loud here for this distance: wear a headset, or answer by keys.",
    Mode.KEYS: "Answer by keys: there is no ear. Any key gives the expected answer.",
    Mode.UNKNOWN: "Nothing was measured; 'coach soundcheck' at a terminal asks you to speak.",
}


@dataclass(frozen=True, slots=True)
class Heard:
    """Levels in dB below full scale; None where nobody spoke."""

    room: float
    echo: float
    """Our own tone, as the microphone hears it."""
    speech: float | None
    wrong: tuple[str, ...] = ()
    """What is wrong with the microphone's sound, each with what to do."""

    def sentences(self) -> list[str]:
        """The levels in words."""
        above = self.echo - self.room
        tone = f"{above:.0f} dB above it" if above > HEARD else "not to be heard in it"
        lines = [f"room {self.room:.0f} dB, our own tone {tone}"]
        if self.speech is not None:
            lines.append(f"you: {self.speech - self.room:.0f} dB above the room")
        return [*lines, *self.wrong]


def judged(checks: Sequence[DeviceCheck], heard: Heard | None) -> list[DeviceCheck]:
    """The checks, with a microphone that is there and gives no sound as none."""
    if heard is None or NO_SOUND not in heard.wrong:
        return list(checks)
    what, _, do = NO_SOUND.partition(". ")
    return [
        replace(one, good=False, found=what, do=do) if one.name == "microphone" else one
        for one in checks
    ]


def mode(heard: Heard | None, checks: Sequence[DeviceCheck]) -> Mode:
    """Which way of listening will work, from what was found and heard."""
    ear = ("microphone", "recogniser", "weights")
    if not all(check.good for check in checks if check.name in ear):
        return Mode.KEYS
    if heard is None or heard.speech is None:
        return Mode.UNKNOWN
    above = heard.speech - heard.room
    if above >= WORKS and heard.echo - heard.speech <= LOUD_ECHO:
        return Mode.OPEN
    return Mode.NEAR if above >= NEARER else Mode.HEADSET


def listen(paths: Paths, tell: Callable[[str], None] | None, level_db: float = TONE_DB) -> Heard:
    """Play a tone and record; with `tell`, ask the climber to speak. AudioError if it can't.

    `level_db` is how loud our voice is, so that the tone's echo stands for that of a cue.
    """
    from coach.audio.portaudio import PortAudioDevice

    recorded: list[Samples] = []
    tone = tones(level_db)[Tone.START]
    played = np.concatenate([np.zeros(round(TONE_AT * RATE), np.float32), tone])
    position = 0

    def render(n: int) -> Samples:
        nonlocal position
        block = np.zeros(n, np.float32)
        part = played[position : position + n]
        block[: len(part)] = part
        position += n
        return block

    def capture(block: Samples, first: int) -> None:
        recorded.append(block.copy())

    def notify(event: Event) -> None:
        """Devices that come and go show in what was recorded."""

    device = PortAudioDevice(log=paths.log)
    if tell is not None:
        tell("Stand where you will stand. Quiet for three seconds, please.")
    device.start(render, capture, notify)
    try:
        time.sleep(QUIET)
        quiet = _joined(recorded)
        speaking = None
        if tell is not None:
            tell("Now say, as you would: all done. Sore fingers. All done.")
            time.sleep(SPEAKING)
            speaking = _joined(recorded)[len(quiet) :]
    finally:
        device.stop()
    return measured(quiet, speaking)


def delay(paths: Paths) -> tuple[str, float | None]:
    """The speaker's name, and by how much it is heard late; None where it was not heard."""
    from coach.audio.portaudio import PortAudioDevice
    from coach.audio.streams import find

    probe = Probe()
    device = PortAudioDevice(log=paths.log)
    device.start(probe.render, probe.capture, lambda _: None)
    try:
        time.sleep(END + LONGEST)
        name = actual(str(find(None, "output")["name"]))
    finally:
        device.stop()
    return name, probe.found()


def _joined(blocks: list[Samples]) -> Samples:
    return np.concatenate([np.zeros(1, np.float32), *blocks])


def measured(quiet: Samples, speaking: Samples | None) -> Heard:
    """The levels of both spells: the room's is its median, a voice's its loud half second."""
    levels = frames_db(quiet)
    room = float(np.median(levels))
    echo = float(np.max(levels))
    whole = quiet if speaking is None else np.concatenate([quiet, speaking])
    wrong = wrong_with(whole)
    if speaking is None:
        return Heard(room, echo, None, wrong)
    spoken = np.sort(frames_db(speaking))[-round(0.5 / FRAME) :]
    speech = float(np.median(spoken))
    return Heard(room, echo, speech if speech - room > 3.0 else None, wrong)


def wrong_with(sound: Samples) -> tuple[str, ...]:
    """What is wrong with a recording, in sentences that say what to do."""
    found = levels(sound)
    if found.zeros > ZEROS:
        return (NO_SOUND,)
    wrong = []
    if found.clipped > CLIPPED:
        wrong.append("The microphone is too loud and distorts: turn its level down.")
    if abs(found.offset) > OFFSET:
        wrong.append("The microphone's zero line is off; that is corrected. Try another input.")
    return tuple(wrong)


def frames_db(sound: Samples) -> Samples:
    """Level of each FRAME in dB below full scale, no lower than -100."""
    n = round(FRAME * RATE)
    whole = sound[: len(sound) // n * n].reshape(-1, n).astype(np.float64)
    if not len(whole):
        return np.full(1, -100.0, np.float32)
    power = np.maximum(np.mean(whole**2, axis=1), 1e-10)
    return np.asarray(10 * np.log10(power), np.float32)
