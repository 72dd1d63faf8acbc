"""What the scorer and the acceptor tell of many looks: `python -m tests.bench.hearing.looks OUT`.

Windows are cut where the end-pointer would cut them and scored once, so that how the two are joined
(`fusion`) can be chosen and tried in seconds. Each line of OUT is a look as JSON: who spoke, where,
what was said, and of the phrases that the acceptor holds for likeliest its logit and the scorer's
log-probability. Groups whose name ends in "chooses" may set thresholds; the others only report.
"""

import argparse
import json
import multiprocessing
import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from coach.hearing.acceptor import Acceptor
from coach.hearing.scorer import WhisperScorer
from coach.model.answers import ANYTIME
from tests.bench.hearing import material, trials
from tests.bench.hearing.__main__ import answers, danger, nothing, people, phrases, read
from tests.bench.hearing.ablation import looks
from tests.bench.hearing.acceptors import acceptor_of
from tests.bench.hearing.material import (
    CHOOSING,
    HELD_OUT,
    RATE,
    STRANGERS,
    STRANGERS_CHOOSING,
    Voice,
)
from tests.bench.hearing.trials import CONDITIONS, Condition, Spoken

#: Of each look, so many phrases are kept.
KEPT = 8

#: Places that are looked at.
PLACES = (
    "quiet", "hall 20 dB", "hall 10 dB", "babble 10 dB", "room, 10 dB", "narrow band, hall 20 dB",
)  # fmt: skip

#: What one process does in one go; each has the hall's noise from another seed.
CHUNK = 12


def groups(count: int) -> dict[str, list[Spoken]]:
    """Who says what."""
    rules, neural = CHOOSING[:4], STRANGERS_CHOOSING
    made = {
        "rules, chooses": answers(rules, count, 14, False),
        "neural, chooses": answers(neural, 2 * count, 15, False),
        "must not be missed, chooses": danger(neural, count, 4),
        "people, chooses": people(999, 3, "shared"),
        "people": people(999, 3),
        "read out": read(),
        "neural": answers(STRANGERS, 3 * count, 16, False),
        "flite": answers(HELD_OUT[:4], count, 12, False),
        "espeak-ng": answers(HELD_OUT[4:], count, 13, False),
        "must not be missed": danger(STRANGERS, count, 2),
        "must not be missed, flite and espeak-ng": danger(HELD_OUT, count // 2, 2),
    }
    for part, name in (("choosing", ", chooses"), ("held-out", "")):
        lines = [(line, material.say(voice, line)) for line, voice in talkers(part)]
        others = [(path.stem, material.recording(path)) for path in material.others(part)]
        made[f"lines{name}"] = nothing(lines)
        made[f"people's talk{name}"] = nothing(others)
    return made


def talkers(part: str) -> list[tuple[str, Voice]]:
    """Each line of hall talk, with three voices of its half that say it."""
    rules, neural = (CHOOSING, STRANGERS_CHOOSING) if part == "choosing" else (HELD_OUT, STRANGERS)
    voices = (*rules, *neural)
    return [
        (line, voices[(number + 5 * turn) % len(voices)])
        for turn in range(3)
        for number, line in enumerate(material.hall_talk(part))
    ]


_scorer: list[tuple[WhisperScorer, Acceptor]] = []


def _start(weights: tuple[Path, ...]) -> None:
    _scorer.append((WhisperScorer(), acceptor_of(weights)))


Job = tuple[str, str, int, list[Spoken]]


def _looked(job: Job) -> list[str]:
    group, place, first, said = job
    scorer, acceptor = _scorer[0]
    condition = next(one for one in CONDITIONS if one.name == place)
    noise = trials.noise_of(condition, 60.0, 5 + first)
    table, known = phrases(), set(acceptor.phrases)
    keys = {phrase: key for key, some in table.items() for phrase in some}
    numbers = {phrase: number for number, phrase in enumerate(acceptor.phrases)}
    made = []
    for item, spoken in enumerate(said):
        active = [p for key in dict.fromkeys((*ANYTIME, *spoken.window)) for p in table[key]]
        for sound in cut(spoken, condition, noise, item * 3 * RATE):
            frames = scorer.encode(sound)
            logits = acceptor.logits(frames)
            told = {p: float(logits[numbers[p]]) for p in active if p in known}
            best = sorted(told, key=lambda p: -told[p])[:KEPT]
            exact = scorer.exact(frames, best)
            unknown = [p for p in active if p not in known]
            alone = {o.phrase: o.score for o in scorer.score_encoded(frames, unknown)}
            made.append(
                json.dumps(
                    {
                        "group": group, "place": place, "item": first + item, "key": spoken.key,
                        "text": spoken.phrase, "speaker": spoken.speaker,
                        "of": [[p, keys[p], round(told[p], 2), round(exact[p], 2)] for p in best],
                        "alone": [[p, keys[p], round(s, 2)] for p, s in alone.items()],
                        "seconds": round(len(spoken.sound) / RATE, 2),
                    }
                )
            )  # fmt: skip
    return made


def cut(
    spoken: Spoken, condition: Condition, noise: material.Floats, at: int
) -> Iterator[material.Floats]:
    """The windows that are cut out of one thing said, through what the place has for a headset."""
    for sound in looks(spoken, condition, noise, at):
        yield material.narrow(sound) if condition.narrow else sound


def jobs(count: int, places: Sequence[str]) -> list[Job]:
    """What there is to do."""
    said = groups(count)
    return [
        (name, place, at, some[at : at + CHUNK])
        for place in places
        for name, some in said.items()
        for at in range(0, len(some), CHUNK)
    ]


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("out", type=Path)
    parser.add_argument("--count", type=int, default=300, help="answers of a small group")
    parser.add_argument("--weights", type=Path, nargs="*", default=(), help="else ours")
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--places", default=";".join(PLACES))
    options = parser.parse_args()
    how = multiprocessing.get_context("spawn")
    with (
        options.out.open("w", encoding="utf-8") as file,
        ProcessPoolExecutor(options.workers, how, _start, (tuple(options.weights),)) as pool,
    ):
        for lines in pool.map(_looked, jobs(options.count, options.places.split(";"))):
            file.writelines(line + "\n" for line in lines)
    print(f"{options.out}: {options.out.stat().st_size} bytes")


if __name__ == "__main__":
    main()
