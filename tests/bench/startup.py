"""Figures of the running program: `python -m tests.bench.startup` prints a table.

How long help takes over a bare interpreter; from the command to the first sound, with sentences
that are ready; then memory (PSS) and processor time of all its processes while a paused session
listens to a quiet room. Sound is a PulseAudio server of our own.
"""

import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from coach.audio.sound_device import RATE
from tests.audio.pulse import Pulse
from tests.bench.sound_hall import CHAT
from tests.hearing.voices import say

RUNS = 21
LISTENING = 20.0
#: Seconds in which the voice has let go of its memory, and what its process is called.
RESTS, VOICE = 180.0, b"hibari_child"
#: Sentences that are on disk long before all are.
FEW = 40
COACH = "from coach.cli import main; main()"
START = ("start", "--plain", "--minutes", "90", "--hurting", "no", "--same-place")


def main() -> None:
    """Measure and print."""
    bare = median_seconds("pass")
    helped = median_seconds(COACH, "--help")
    row("bare python -c pass", f"{bare * 1000:.0f} ms")
    row("coach --help over it (goal 150)", f"{(helped - bare) * 1000:.0f} ms")
    with tempfile.TemporaryDirectory() as home, Pulse() as pulse:
        environment = os.environ | {"COACH_HOME": home}
        for name in ("OMP_NUM_THREADS", "PYTHONDONTWRITEBYTECODE"):
            environment.pop(name, None)  # as a climber starts it
        first_sound(environment)
        sounds = [first_sound(environment) for _ in range(5)]
        row("start to first sound, warm (goal 1.5)", f"{statistics.median(sounds):.2f} s")
        listening(environment, pulse)


def median_seconds(code: str, *args: str) -> float:
    """Median wall seconds of a fresh interpreter with this code."""
    taken = []
    for _ in range(RUNS):
        began = time.perf_counter()
        subprocess.run([sys.executable, "-c", code, *args], capture_output=True, check=True)
        taken.append(time.perf_counter() - began)
    return statistics.median(taken)


def started(environment: dict[str, str]) -> "subprocess.Popen[str]":
    """A session in plain lines."""
    return subprocess.Popen(
        [sys.executable, "-c", COACH, *START, "--new"],
        env=environment,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )


def first_sound(environment: dict[str, str]) -> float:
    """Seconds from the command to the first sentence that the device reports as begun."""
    began = time.monotonic()
    session = started(environment)
    assert session.stdout is not None
    heard = any("Hello" in line for line in session.stdout)
    seconds = time.monotonic() - began
    end(session)
    assert heard, "the session ended before its first sound"
    return seconds


def listening(environment: dict[str, str], pulse: Pulse) -> None:
    """Memory and processor time while a paused session listens, in quiet and to one talker."""
    render_all(environment)
    session = started(environment)
    assert session.stdin is not None
    assert session.stdout is not None
    for line in session.stdout:
        if "Hello" in line:
            break
    session.stdin.write("pause\n")
    session.stdin.flush()
    time.sleep(10.0)
    until_voice_rests(session.pid)
    before = used(session.pid)
    time.sleep(LISTENING)
    share = (used(session.pid) - before) / LISTENING
    memory = sum(pss(pid) for pid in tree(session.pid))
    row("memory (PSS) of all processes (goal 350)", f"{memory / 1e6:.0f} MB")
    row("share of a core, listening in quiet (goal 6)", f"{100 * share:.1f} %")
    talk = np.concatenate([say(line) for line in CHAT])[: round(LISTENING * RATE)]
    before, began = used(session.pid), time.monotonic()
    pulse.say(talk).wait()
    share = (used(session.pid) - before) / (time.monotonic() - began)
    row("share of a core, to one talker (goal 12)", f"{100 * share:.1f} %")
    end(session)


def until_voice_rests(pid: int) -> None:
    """Wait until every sentence is ready and the voice's process has ended, as in most of a day."""
    end = time.monotonic() + RESTS
    while any(VOICE in Path(f"/proc/{one}/cmdline").read_bytes() for one in tree(pid)):
        assert time.monotonic() < end, "the voice is still at work"
        time.sleep(1.0)


def render_all(environment: dict[str, str]) -> None:
    """Let a session stand until every sentence that it could say is on disk, as after a first day.

    Else it is the voice and not the ear that works.
    """
    session = started(environment)
    cues, before = Path(environment["COACH_HOME"]) / "cache" / "cues", -1
    while (there := len(list(cues.glob("*.pcm")))) != before or there < FEW:
        before = there
        time.sleep(3.0)
    end(session)


def end(session: "subprocess.Popen[str]") -> None:
    """End a session and let go of its pipes."""
    session.terminate()
    session.communicate()


def tree(pid: int) -> Iterator[int]:
    """A process and its descendants."""
    yield pid
    for task in Path(f"/proc/{pid}/task").iterdir():
        for child in (task / "children").read_text().split():
            yield from tree(int(child))


def pss(pid: int) -> int:
    """Bytes of memory, what is shared counted by its share."""
    text = Path(f"/proc/{pid}/smaps_rollup").read_text()
    return 1024 * int(text.split("Pss:")[1].split()[0])


def used(pid: int) -> float:
    """Processor seconds of a process and its descendants, those included that have ended.

    The voice's process ends by itself; what it used is then counted with its parent's.
    """
    ticks = 0
    for one in tree(pid):
        fields = Path(f"/proc/{one}/stat").read_text().rpartition(")")[2].split()
        ticks += sum(map(int, fields[11:15]))
    return ticks / os.sysconf("SC_CLK_TCK")


def row(what: str, figure: str) -> None:
    """One line of the table."""
    print(f"{what:48} {figure:>10}", flush=True)


if __name__ == "__main__":
    main()
