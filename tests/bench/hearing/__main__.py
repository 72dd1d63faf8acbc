"""How well answers are heard: `python -m tests.bench.hearing`.

Prints one table for each question: answers by condition, recall of the answers that must not be
missed, what is heard in talk that is none, how long a decision takes, and what it costs.
Without recordings of people (COACH_SPEECH_DIR) the lines that need them say so and are left out.
"""

import argparse
import os
import random
import tomllib
from collections import Counter
from collections.abc import Sequence
from functools import cache
from itertools import product
from pathlib import Path

from coach.audio.echo import EchoCanceller
from coach.hearing.recogniser_port import Recogniser
from coach.hearing.recognisers import load
from coach.model.answers import ANYTIME
from coach.record.evidence import wilson
from tests.bench.hearing import material, own_voice
from tests.bench.hearing.figures import most, quantile
from tests.bench.hearing.material import CHOOSING, HELD_OUT, Floats, Voice
from tests.bench.hearing.trials import (
    CONDITIONS,
    STEP,
    Condition,
    Outcome,
    Result,
    Spoken,
    stream,
    window_of,
)

WORDS = Path(__file__).parents[3] / "voices" / "words" / "en.toml"
NUMBERS = "one two three four five six seven eight nine".split()
COUNTS = tuple(f"count:{n}" for n in range(1, 10))
DANGER = ("stop", "pause", "hurt", "feel:fingers:sore", "feel:sore")


@cache
def phrases() -> dict[str, tuple[str, ...]]:
    """The English pack's answers."""
    with WORDS.open("rb") as file:
        return {key: tuple(some) for key, some in tomllib.load(file)["answers"].items()}


def answers(voices: Sequence[Voice], count: int, seed: int, two_words: bool) -> list[Spoken]:
    """Phrases by voices, each answer about equally often; the same for every condition."""
    rng = random.Random(seed)
    made: list[Spoken] = []
    table = phrases()
    keys = sorted(table)
    for number in range(count):
        key = keys[number % len(keys)]
        usable = [p for p in table[key] if not two_words or " " in p] or list(table[key])
        phrase, voice = rng.choice(usable), voices[number // len(keys) % len(voices)]
        sound = material.say(voice, phrase)
        made.append(Spoken(key, phrase, sound, voice.label, window_of(key)))
    return made


def danger(voices: Sequence[Voice], count: int, seed: int) -> list[Spoken]:
    """Only the answers that must not be missed."""
    rng = random.Random(seed)
    table = phrases()
    made: list[Spoken] = []
    for number in range(count):
        key, voice = DANGER[number % len(DANGER)], voices[number // len(DANGER) % len(voices)]
        phrase = rng.choice(table[key][:3])
        made.append(Spoken(key, phrase, material.say(voice, phrase), voice.label, STEP))
    return made


def people(count: int, seed: int, part: str = "held-out") -> list[Spoken]:
    """Digits by people of one part of `material.numbers`, with nine counts in the window."""
    paths = material.numbers(part)
    random.Random(seed).shuffle(paths)
    return [
        Spoken(
            f"count:{NUMBERS.index(path.parent.name) + 1}",
            path.parent.name,
            material.recording(path),
            path.stem.rpartition("_")[0],
            COUNTS,
        )
        for path in paths[:count]
    ]


def read() -> list[Spoken]:
    """Answers that people read out."""
    keys = {phrase: key for key, some in phrases().items() for phrase in some}
    return [
        Spoken(keys[phrase], phrase, material.recording(path), path.stem, window_of(keys[phrase]))
        for phrase, path in material.read()
        if phrase in keys
    ]


def nothing(sounds: Sequence[tuple[str, Floats]]) -> list[Spoken]:
    """Speech that is no answer, heard in windows that change."""
    windows = (STEP, window_of("resume"), window_of("feel:tired"), window_of("go"))
    return [
        Spoken("", name, sound, name, windows[number % len(windows)])
        for number, (name, sound) in enumerate(sounds)
    ]


def row(name: str, result: Result) -> str:
    """One line of the table of answers."""
    n = len(result.outcomes)
    acted, asked = result.count("acted"), result.count("asked")
    wrong, asked_wrong = result.count("wrong"), result.count("asked wrong")
    low, high = wilson(acted, n)
    delays = [o.delay for o in result.outcomes if o.kind == "acted" and o.delay is not None]
    return (
        f"{name:<34}{result.condition.name:<14}{n:>5}{acted:>7}{asked:>7}"
        f"{result.count('ignored'):>8}{wrong:>7}{asked_wrong:>8}"
        f"   {acted / n:.2f} ({low:.2f}-{high:.2f})  {(acted + asked) / n:.2f}"
        f"   {quantile(delays, 0.5):.2f}/{quantile(delays, 0.95):.2f}"
        f"   {100 * result.spent / result.seconds:.0f} %"
    )


def false_row(name: str, result: Result) -> str:
    """One line of the table of false accepts."""
    hours = result.seconds / 3600
    acted = sum(o.kind == "wrong" for o in result.outcomes)
    asked = sum(o.kind == "asked wrong" for o in result.outcomes)
    n = len(result.outcomes)
    return (
        f"{name:<34}{result.condition.name:<14}{n:>5}{acted:>7}{asked:>7}   {hours:.2f} h"
        f"   {acted / hours:.1f}/h (at most {most(acted, hours):.1f})"
        f"   {1000 * acted / n:.0f} and {1000 * asked / n:.0f} in 1,000"
    )


def main() -> None:
    """Run what was asked for and print it."""
    options = asked_for()
    recogniser = load("whisper")
    if options.plain:
        recogniser.acceptor = None  # type: ignore[attr-defined]
    wanted = options.conditions.split(",")
    conditions = [one for one in CONDITIONS if one.name in wanted or wanted == ["all"]]
    voices = HELD_OUT if options.part == "held-out" else CHOOSING
    parts = options.only.split(",")
    outcomes = []
    if set(parts) - {"false", "own"}:
        print(TITLES)
    for condition in conditions:
        outcomes += recall(recogniser, condition, voices, parts, options.count)
    if "false" in parts:
        false_accepts(recogniser, conditions, options.part, voices)
    if "own" in parts:
        own(recogniser)
    if options.confusions:
        confusions(outcomes)


def asked_for() -> argparse.Namespace:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=120, help="answers a condition")
    parser.add_argument("--part", choices=["choosing", "held-out"], default="held-out")
    parser.add_argument("--conditions", default="quiet,hall 20 dB,hall 10 dB")
    parser.add_argument("--only", default="answers,danger,people,false,own")
    parser.add_argument("--plain", action="store_true", help="the scorer without its acceptor")
    parser.add_argument("--confusions", action="store_true")
    return parser.parse_args()


TITLES = (
    f"{'said by':<34}{'where':<14}{'n':>5}{'acted':>7}{'asked':>7}{'ignored':>8}{'wrong':>7}"
    f"{'asked w':>8}  acted (95 %)      +asked  p50/p95 s  core"
)


def recall(
    recogniser: Recogniser,
    condition: Condition,
    voices: Sequence[Voice],
    parts: Sequence[str],
    count: int,
) -> list[Outcome]:
    """What becomes of answers in one condition."""
    outcomes: list[Outcome] = []
    groups: list[tuple[str, list[Spoken]]] = []
    if "answers" in parts:
        for engine in dict.fromkeys(voice.engine for voice in voices):
            of = [voice for voice in voices if voice.engine == engine]
            groups.append((f"{engine}, all answers", answers(of, count, 1, False)))
    if "danger" in parts:
        groups.append(("voices, must not be missed", danger(voices, count // 2, 2)))
    if "people" in parts:
        groups.append(("people, one to nine", people(count, 3)))
    for name, said in groups:
        if not said:
            print(f"{name:<34}left out: COACH_SPEECH_DIR names no recordings")
            continue
        result = stream(recogniser, phrases(), condition, said)
        outcomes += result.outcomes
        print(row(name, result), flush=True)
    return outcomes


def false_accepts(
    recogniser: Recogniser, conditions: Sequence[Condition], part: str, voices: Sequence[Voice]
) -> None:
    """What is heard in talk that holds no answer."""
    print(f"\n{'talk that is no answer':<34}{'where':<14}{'n':>5}{'acted':>7}{'asked':>7}")
    talk = [
        (line, material.say(voices[number % len(voices)], line))
        for number, line in enumerate(material.hall_talk(part))
    ]
    others = [(path.stem, material.recording(path)) for path in material.others(part)]
    groups = (("hall talk, written lines", talk), ("people, phrases and orders", others))
    for name, sounds in groups:
        if not sounds:
            print(f"{name:<34}left out: COACH_SPEECH_DIR names no recordings")
            continue
        for condition in (*conditions[:1], *conditions[-1:]):
            result = stream(recogniser, phrases(), condition, nothing(sounds))
            print(false_row(name, result), flush=True)
            for outcome in result.outcomes:
                if outcome.kind == "wrong" and os.environ.get("COACH_BENCH_SHOW"):
                    heard = ", ".join(a.answer.key for a in outcome.answers)
                    print(f"    {outcome.spoken.phrase!r} as {heard}")


def own(recogniser: Recogniser) -> None:
    """Our own cues at the microphone, and stop said through them."""
    texts = own_voice.cues(WORDS)
    print("\nour own cues, echo against speech   heard in them     stop through them (else)")
    for echo_db, cancelled in product((-40.0, -20.0, -10.0, 0.0), (False, True)):
        both = [EchoCanceller() if cancelled else None for _ in range(2)]
        heard, n, hours = own_voice.obeyed(recogniser, phrases(), texts, echo_db, both[0])
        right, wrong, of = own_voice.through(recogniser, phrases(), texts, echo_db, both[1])
        low, high = wilson(right, of)
        print(
            f"{echo_db:>6.0f} dB {'cancelled' if cancelled else '':<24}"
            f"{heard} of {n} ({60 * hours:.1f} min)"
            f"{'':<6}{right} of {of} ({low:.2f}-{high:.2f}), {wrong}",
            flush=True,
        )


def confusions(outcomes: Sequence[Outcome]) -> None:
    """What was heard instead, most often first, and the answers that are missed most."""
    heard = Counter(
        (outcome.spoken.key, answer.answer.key)
        for outcome in outcomes
        for answer in outcome.answers
        if answer.answer.key != outcome.spoken.key
    )
    print("\nsaid -> heard instead")
    for (said, instead), count in heard.most_common(25):
        print(f"  {said:<22} {instead:<22}{count:>4}")
    said_often = Counter(outcome.spoken.phrase for outcome in outcomes)
    missed = Counter(o.spoken.phrase for o in outcomes if o.kind not in ("acted", "asked"))
    print("missed phrases, worst first")
    worst = sorted(missed, key=lambda phrase: -missed[phrase] / said_often[phrase])
    for phrase in worst[:25]:
        print(f"  {phrase:<28}{missed[phrase]:>3} of {said_often[phrase]}")


assert set(DANGER) <= set(ANYTIME)

if __name__ == "__main__":
    main()
