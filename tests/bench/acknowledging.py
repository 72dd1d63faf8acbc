"""From the end of a spoken answer to the sound that says it was heard: a table.

`python -m tests.bench.acknowledging [--answers 20]` runs a real session on a PulseAudio server of
its own, in real time and in quiet. Both ends are times of the journal: the answer's onset plus the
length of what was played into the microphone, and the first sample of the acknowledging tone.
An answer is said where no cue sounds, since none counts meanwhile; one that a step's end falls
into may still be missed.
"""

import argparse
import contextlib
import os
import re
import tempfile
import time

import numpy as np
import pytest

from coach.audio.sound_device import RATE
from coach.clock import SystemClock
from coach.files.paths import paths
from coach.journal import Journal
from coach.model.answers import Meaning
from coach.session.events import Answered, SoundStarted, Source
from tests.audio.pulse import Pulse
from tests.cli.test_start import Session
from tests.hearing.voices import say

START = ("start", "mat-and-board", "--plain", "--minutes", "30", "--hurting", "no", "--same-place")
PHRASE = "say again"
#: Seconds without a new line after which no cue sounds: the longest are a little shorter.
CUE = 7.5
#: What comes later than so many seconds after an answer is not the sound that acknowledges it.
LATEST = 3.0


def main() -> None:
    """Run and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--answers", type=int, default=20)
    told = parser.parse_args()
    sound = say(PHRASE, "flite", "slt")
    with (
        tempfile.TemporaryDirectory() as home,
        Pulse() as pulse,
        pytest.MonkeyPatch.context() as at,
    ):
        at.setenv("COACH_HOME", home)
        session = Session([*START, "--age", "adult"], terminal=False, without=())
        session.wait_for(r"\b(stay|move|breathe) ·")
        for _ in range(told.answers):
            still(session)
            pulse.say(sound).wait()
        time.sleep(2.0)
        session.close()
        latencies, others = measured(len(sound) / RATE)
    print(
        f"answers said {told.answers}, heard {len(latencies)}; {SystemClock().wall():%Y-%m-%d}"
        + "".join(f"\nnot counted: {one}" for one in others)
    )
    print(
        f"end of speech to sound: p50 {np.quantile(latencies, 0.5):.2f} s (goal 0.40), "
        f"p95 {np.quantile(latencies, 0.95):.2f} s (goal 0.60); load {os.getloadavg()[0]:.1f}"
    )


def still(session: Session) -> None:
    """Wait until no cue sounds: each is printed when it begins."""
    with contextlib.suppress(AssertionError):
        while True:
            session.wait_for("\n", CUE)


def measured(length: float) -> tuple[list[float], list[str]]:
    """Seconds of each answer of the only session in the journal, and what is not counted.

    That is what was taken for another answer, or was followed by no sound that acknowledges it.
    """
    with Journal.open(paths().journal, write=False) as journal:
        (row,) = journal.sessions()
        events = list(journal.events(row.id))
    tones = [
        event.at
        for event in events
        if isinstance(event, SoundStarted) and re.search("heard", str(event.what.values))
    ]
    found, others = [], []
    for event in events:
        if isinstance(event, Answered) and event.source is Source.VOICE:
            after = [at for at in tones if event.onset <= at < event.onset + LATEST]
            if event.answer.meaning is Meaning.AGAIN and after:
                found.append(min(after) - (event.onset + length))
            else:
                others.append(f"{event.answer.key}, {event.sureness.value}")
    return found, others


if __name__ == "__main__":
    main()
