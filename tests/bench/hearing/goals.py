"""Hearing's goals, all in one table: `python -m tests.bench.hearing.goals [--workers N]`.

Everything is streamed through the real listener in real blocks. A threshold 'at so many false
accepts an hour' is the lowest at which people's talk of the choosing half, three times in other
noise, is obeyed no oftener; what it gives is told of the held-out half. Rows that say 'as used'
have the bands of the program. Recordings of people come from COACH_SPEECH_DIR; the bench says when
there are none.
Where nobody has read the answers out (`tests.bench.hearing.reading`), people say one to nine only:
every other answer is said by synthesisers.
"""

import argparse
import multiprocessing
import os
import time
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from coach.audio.echo import EchoCanceller
from coach.hearing.recogniser_port import Recogniser
from coach.hearing.recognisers import load
from coach.record.evidence import wilson
from tests.bench.hearing import material, no_speech, own_voice
from tests.bench.hearing.__main__ import COUNTS, WORDS, answers, danger, people, phrases, read
from tests.bench.hearing.figures import most, quantile
from tests.bench.hearing.material import CHOOSING, HELD_OUT, Voice
from tests.bench.hearing.trials import CONDITIONS, STEP, Outcome, Spoken, stream, window_of

#: So often is people's talk heard, each time in other noise, since there is little of it.
TURNS = 3

#: Things said that one process streams in one go.
CHUNK = 40

#: Windows in which talk is heard, by turns.
WINDOWS = (STEP, COUNTS, window_of("resume"), window_of("feel:tired"), window_of("go"))

PLACES = {one.name: one for one in CONDITIONS}
QUIET, HEADSET, ARM, BABBLE, ROOM = (
    "quiet", "hall 20 dB", "hall 10 dB", "babble 10 dB", "room, 10 dB",
)  # fmt: skip
ECHOES = own_voice.ECHOES


@dataclass(frozen=True, slots=True)
class Heard:
    """What came of one thing said."""

    key: str
    phrase: str
    kind: str
    """As used: see `Outcome.kind`."""
    looks: tuple[tuple[str, float], ...]
    """The best answer of each look and its score."""
    delay: float | None
    seconds: float
    """How long it lasts."""


Table = Mapping[tuple[str, str], list[Heard]]
"""Group and place -> what came of it."""


def groups(count: int, every: int) -> dict[str, list[Spoken]]:
    """What is said, by name; of recordings and lines one in `every`."""
    made = {
        "shared": people(999, 3, "shared"),
        "held-out": people(999, 3),
        "read out": read(),
        "two words": answers(HELD_OUT, count, 1, True),
        "all answers": answers(HELD_OUT, count, 6, False),
        "danger": danger(HELD_OUT, count, 2),
        LOUD: talk(no_speech.sounds(max(1, count // 4))),
    }
    for part, voices in (("choosing", CHOOSING), ("held-out", HELD_OUT)):
        made[f"people's talk, {part}"] = talk(
            [(path.stem, material.recording(path)) for path in material.others(part)]
        )
        made[f"lines, {part}"] = talk(list(lines(part, voices)))
    return {name: some if name in MADE else some[::every] for name, some in made.items()}


def lines(part: str, voices: Sequence[Voice]) -> Iterator[tuple[str, material.Floats]]:
    """Every line of hall talk, said by four voices."""
    for number, line in enumerate(material.hall_talk(part)):
        for turn in range(4):
            yield line, material.say(voices[(number + 2 * turn) % len(voices)], line)


def talk(sounds: Sequence[tuple[str, material.Floats]]) -> list[Spoken]:
    """Speech that is no answer."""
    return [
        Spoken("", name, sound, "", WINDOWS[number % len(WINDOWS)])
        for number, (name, sound) in enumerate(sounds)
    ]


#: Which groups are heard where.
PLAN = {
    QUIET: ("shared", "held-out", "read out", "two words"),
    HEADSET: ("shared", "held-out", "read out", "all answers"),
    ARM: ("shared", "held-out", "read out", "two words", "danger", "all answers"),
    BABBLE: ("shared", "held-out", "two words"),
    ROOM: ("shared", "held-out", "two words"),
}
LOUD = "loud sounds that nobody says"
MADE = ("two words", "all answers", "danger", LOUD)
TALK = ("people's talk, choosing", "lines, choosing", "people's talk, held-out", "lines, held-out")

_recogniser: list[Recogniser] = []


def _start() -> None:
    _recogniser.append(load("whisper"))


def _stream(job: tuple[str, str, list[Spoken], int]) -> tuple[str, str, list[Heard]]:
    group, place, said, seed = job
    result = stream(_recogniser[0], phrases(), PLACES[place], said, seed)
    return group, place, [_kept(outcome) for outcome in result.outcomes]


def _kept(outcome: Outcome) -> Heard:
    keys = {phrase: key for key, some in phrases().items() for phrase in some}
    return Heard(
        outcome.spoken.key, outcome.spoken.phrase, outcome.kind,
        tuple((keys[one.phrase], one.score) for one in outcome.looks), outcome.delay,
        len(outcome.spoken.sound) / material.RATE,
    )  # fmt: skip


Echo = tuple[float, tuple[int, int, float], tuple[int, int, int]]
"""How loud, what our own cues did, and stop through them: see `own_voice`."""

Cost = tuple[str, float, float]
"""What is heard, processor time over time, PSS in MB."""


def _own(job: tuple[float, int]) -> Echo:
    echo, every = job
    texts = own_voice.cues(WORDS)[::every]
    return (
        echo,
        own_voice.obeyed(_recogniser[0], phrases(), texts, echo, EchoCanceller()),
        own_voice.through(_recogniser[0], phrases(), texts, echo, EchoCanceller()),
    )


def _share(job: tuple[str, list[Spoken]]) -> Cost:
    """What listening costs while a window is open."""
    name, said = job
    place = PLACES[QUIET] if name != "eight talkers" else replace(PLACES[BABBLE], snr_db=0.0)
    result = stream(_recogniser[0], phrases(), place, said)
    text = Path("/proc/self/smaps_rollup").read_text()
    return name, result.spent / result.seconds, int(text.split("Pss:")[1].split()[0]) / 1024


def shares() -> list[tuple[str, list[Spoken]]]:
    """A minute each of silence, of one talker without a pause, and of eight."""
    silence = np.zeros(60 * material.RATE, np.float32)
    one = np.concatenate([sound for _, sound in lines("held-out", HELD_OUT[4:5])])
    whole = {"quiet": silence, "one talker": one[: len(silence)], "eight talkers": silence}
    return [(name, [Spoken("", name, sound, "", STEP)]) for name, sound in whole.items()]


def heard(count: int, every: int, workers: int, first: int) -> tuple[Table, list[Echo], list[Cost]]:
    """Stream everything, in processes side by side; the shares alone, at the end."""
    said = groups(count, every)
    jobs = []
    for place, names in PLAN.items():
        for name in (*names, *TALK, LOUD):
            some = said[name]
            jobs += [
                (name, place, some[at : at + CHUNK], first + turn + at)
                for turn in range(TURNS if name in TALK[::2] else 1)
                for at in range(0, len(some), CHUNK)
            ]
    table: dict[tuple[str, str], list[Heard]] = defaultdict(list)
    how = multiprocessing.get_context("spawn")
    began = time.monotonic()
    with ProcessPoolExecutor(workers, how, _start) as pool:
        own = pool.map(_own, [(echo, every) for echo in ECHOES])
        for number, (name, place, found) in enumerate(pool.map(_stream, jobs), 1):
            table[name, place] += found
            if number % 20 == 0:
                print(f"{number} of {len(jobs)}, {time.monotonic() - began:.0f} s", flush=True)
        echoes: list[Echo] = list(own)
    with ProcessPoolExecutor(1, how, _start) as pool:
        costs: list[Cost] = list(pool.map(_share, shares()))
    return table, echoes, costs


def obeyed_at(found: Sequence[Heard], threshold: float) -> int:
    """Of things said, in how many some look got over a threshold."""
    return sum(any(score > threshold for _, score in one.looks) for one in found)


def threshold(table: Table, place: str, rate: float) -> float:
    """The lowest at which talk of the choosing half is obeyed no more than `rate` times an hour."""
    found = table[TALK[0], place]
    allowed = int(rate * sum(one.seconds for one in found) / 3600)
    best = sorted((max((s for _, s in one.looks), default=-99.0) for one in found), reverse=True)
    return best[allowed]


def right_at(found: Sequence[Heard], level: float) -> tuple[int, int]:
    """Of answers, how many the first look over a level gets right, and wrong."""
    firsts = [next((key for key, score in one.looks if score > level), None) for one in found]
    right = sum(first == one.key for first, one in zip(firsts, found, strict=True))
    return right, sum(first is not None for first in firsts) - right


def share(right: int, of: int) -> str:
    """A proportion with its counts and bounds."""
    if not of:
        return "no recordings"
    low, high = wilson(right, of)
    return f"{right / of:.2f} ({right} of {of}, {low:.2f}-{high:.2f})"


def at(table: Table, place: str, rate: float, *names: str) -> str:
    """The cells of groups at a rate of false accepts, with what that rate is of held-out talk."""
    if not table[TALK[0], place]:
        return "no recordings of talk to set a threshold by"
    level = threshold(table, place, rate)
    other = table[TALK[2], place]
    hours = sum(one.seconds for one in other) / 3600
    false = obeyed_at(other, level)
    cells = []
    for name in names:
        right, wrong = right_at(table[name, place], level)
        cells.append(f"{name} {share(right, len(table[name, place]))}, wrong {wrong}")
    return (
        "; ".join(cells)
        + f"; held-out talk {false} in {hours:.2f} h (at most {most(false, hours):.0f}/h)"
    )


def report(table: Table, echoes: Sequence[Echo], costs: Sequence[Cost]) -> None:
    """The table."""

    def row(what: str, goal: str, got: str) -> None:
        print(f"| {what} | {goal} | {got} |")

    print("\n| figure | goal | got |\n|---|---|---|")
    digits = ("shared", "held-out")
    row("people, quiet, at <=1", ".99", at(table, QUIET, 1, *digits))
    row("people, headset, 20 dB hall, at <=1", ".97", at(table, HEADSET, 1, *digits))
    row("people, arm's length, 10 dB hall, at <=5", ".90", at(table, ARM, 5, *digits))
    row("the same at <=1", ".75", at(table, ARM, 1, *digits))
    row("people, 10 dB babble, at <=5", ".75", at(table, BABBLE, 5, *digits))
    row("two words, held-out voices, 10 dB, at <=1", ".97", at(table, ARM, 1, "two words"))
    row("people, reverberation and 10 dB, at <=5", ".70", at(table, ROOM, 5, *digits))
    for place, names in PLAN.items():
        for name in names:
            found = table[name, place]
            acted = sum(one.kind == "acted" for one in found)
            asked = sum(one.kind == "asked" for one in found)
            goal = ".98 with asking" if name == "danger" else ""
            what = "stop, pause, hurt, sore" if name == "danger" else name
            row(
                f"as used: {what}, {place}", goal,
                f"acted {share(acted, len(found))}, with asking {share(acted + asked, len(found))}",
            )  # fmt: skip
    for place in PLAN:
        found = table["lines, held-out", place]
        wrong = sum(one.kind == "wrong" for one in found)
        asked = sum(one.kind == "asked wrong" for one in found)
        row(
            f"as used: hall talk obeyed, {place}", "1 in 1,000",
            f"{wrong} of {len(found)}, {asked} asked about",
        )  # fmt: skip
        other = table["people's talk, held-out", place]
        hours = sum(one.seconds for one in other) / 3600
        wrong = sum(one.kind == "wrong" for one in other)
        row(
            f"as used: people's talk obeyed, {place}", "",
            f"{wrong} in {hours:.2f} h (at most {most(wrong, hours):.0f}/h)"
            if other else "no recordings",
        )  # fmt: skip
        loud = table[LOUD, place]
        wrong = sum(one.kind == "wrong" for one in loud)
        asked = sum(one.kind == "asked wrong" for one in loud)
        row(f"as used: {LOUD}, {place}", "", f"{wrong} of {len(loud)} obeyed, {asked} asked about")
    said = [one for place, names in PLAN.items() for name in names for one in table[name, place]]
    wrong = sum(one.kind == "wrong" for one in said)
    row("as used: wrong act", "0 in 1,500", f"{wrong} of {len(said)}")
    for place, goal in ((QUIET, ".35 s"), (ARM, ".50 s"), (BABBLE, ".50 s")):
        delays = [
            one.delay for name in PLAN[place] for one in table[name, place] if one.delay is not None
        ]
        row(
            f"end of speech to decision p50/p95, {place}", goal,
            f"{quantile(delays, 0.5):.2f} / {quantile(delays, 0.95):.2f} s of {len(delays)}, "
            "without the recogniser's own time",
        )  # fmt: skip
    for echo, (obeyed, cues, _), (stops, others, of) in echoes:
        row(
            f"own cues, echo {echo:.0f} dB", "0; stop .95",
            f"obeyed or asked {obeyed} of {cues}; stop through them {share(stops, of)}, "
            f"taken for others {others}",
        )  # fmt: skip
    goals = {"quiet": "6 %", "one talker": "12 %", "eight talkers": "25 %"}
    for name, part, memory in costs:
        row(
            f"share of a core, {name}",
            goals[name],
            f"{100 * part:.1f} %; this process {memory:.0f} MB",
        )


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--count", type=int, default=240, help="answers a group, by synthesisers")
    parser.add_argument(
        "--every", type=int, default=1, help="take one in so many recordings, lines and cues"
    )
    parser.add_argument("--seed", type=int, default=5, help="of the noise: another one repeats it")
    options = parser.parse_args()
    if material.speech_folder() is None:
        print(
            "COACH_SPEECH_DIR names no recordings: rows of people are empty, talk is written only"
        )
    report(*heard(options.count, options.every, options.workers, options.seed))


if __name__ == "__main__":
    main()
