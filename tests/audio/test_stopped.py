"""A process that stands still for a while tears a hole in its sound, and knows how long it was."""

import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from coach.audio.sound_device import RATE
from coach.audio.tones import tones
from coach.session.effects import Tone
from tests.audio.pulse import Pulse
from tests.audio.signals import find, mark

pytestmark = pytest.mark.sound

PLANNED = (0.8, 2.9, 3.4)


@contextmanager
def playing(*arguments: float) -> Iterator["subprocess.Popen[str]"]:
    child = subprocess.Popen(
        [sys.executable, "-m", "tests.audio.playing", *map(str, arguments)],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    try:
        assert child.stdout is not None
        assert child.stdout.readline() == "playing\n"
        yield child
    finally:
        child.kill()
        child.wait()
        if child.stdout is not None:
            child.stdout.close()


def stand_still(child: "subprocess.Popen[str]", seconds: float) -> None:
    child.send_signal(signal.SIGSTOP)
    time.sleep(seconds)
    child.send_signal(signal.SIGCONT)


def said(child: "subprocess.Popen[str]") -> list[str]:
    assert child.stdout is not None
    return child.stdout.read().split("\n")


def test_after_a_short_stop_every_sound_is_still_where_the_timeline_says(pulse: Pulse) -> None:
    with pulse.recording() as recording, playing(4.0, *PLANNED) as child:
        time.sleep(1.2)
        stand_still(child, 0.5)
        words = said(child)
    origin = find(recording.samples(), tones()[Tone.SYNC]) - 0.4 * RATE
    strays = [
        (find(recording.samples(), mark(n)) - origin) / RATE - at for n, at in enumerate(PLANNED, 1)
    ]
    assert max(map(abs, strays)) < 0.05, strays
    assert any(word.startswith("holes") and float(word.split()[1]) > 0.2 for word in words)
    assert not any(word.startswith("ClockJumped") for word in words)


def test_a_long_stop_is_told_and_not_counted(pulse: Pulse) -> None:
    begin = time.monotonic()
    with playing(1.5) as child:
        time.sleep(0.5)
        stand_still(child, 3.0)
        words = said(child)
    (jump,) = [float(word.split()[1]) for word in words if word.startswith("ClockJumped")]
    assert jump == pytest.approx(3.0, abs=0.4)
    assert time.monotonic() - begin > 4.5
