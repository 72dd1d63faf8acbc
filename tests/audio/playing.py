"""A process that plays marks at planned times, so that a test can stop it like a debugger would.

Prints each event, and at the end where the timeline stands: run by `test_stopped.py`.
"""

import sys
import time

from coach.audio.mixer import Mixer
from coach.audio.portaudio import PortAudioDevice
from coach.audio.sound_device import RATE
from coach.audio.tones import tones
from coach.session.effects import Tone
from tests.audio.signals import mark


def main(seconds: float, *planned: float) -> None:
    mixer = Mixer()
    mixer.schedule(0, tones()[Tone.SYNC], round(0.4 * RATE))
    for number, at in enumerate(planned, 1):
        mixer.schedule(number, mark(number), round(at * RATE))
    device = PortAudioDevice()
    device.start(
        lambda n: mixer.render(n)[0],
        lambda samples, first: None,
        lambda event: print(type(event).__name__, getattr(event, "seconds", ""), flush=True),
    )
    print("playing", flush=True)
    while device.now() < seconds:
        time.sleep(0.02)
    print(f"holes {device.holes:.3f}", flush=True)
    device.stop()


if __name__ == "__main__":
    main(*map(float, sys.argv[1:]))
