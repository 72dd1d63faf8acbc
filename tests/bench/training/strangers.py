"""Renders what neural voices say, in training and in trials.

`python -m tests.bench.training.strangers --part N --of M` makes one part of several side by side;
what is rendered is kept in the cache of `material`. Not every clip is good: of each phrase the
scorer has to hold its text for likelier, in quiet, than texts that sound nearly like it; else it is
put aside, and how many are is printed.
"""

import argparse
import time

from coach.hearing.scorer import WhisperScorer
from tests.bench.hearing import material
from tests.bench.hearing.looks import talkers
from tests.bench.hearing.material import CHOOSING, HELD_OUT, STRANGERS, STRANGERS_CHOOSING
from tests.bench.training.windows import near, phrases, pools


def alike(phrase: str) -> list[str]:
    """The phrase with one word changed for one that sounds nearly like it."""
    parts = phrase.split()
    made = []
    for at, one in enumerate(parts):
        made += [" ".join((*parts[:at], other, *parts[at + 1 :])) for other in near().get(one, [])]
    return made[:8]


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--part", type=int, default=0)
    parser.add_argument("--of", type=int, default=1)
    parser.add_argument("--trains", action="store_true", help="only what trains")
    options = parser.parse_args()
    scorer = WhisperScorer()
    began, made, aside = time.monotonic(), 0, []
    every = [(kind, *one) for kind, some in pools().items() for one in some]
    for kind, line, voice in every[options.part :: options.of]:
        sound = material.say(voice, line.text)
        made += 1
        if kind == "phrase" and (others := alike(line.phrase)):
            ranked = scorer.score_encoded(scorer.encode(sound), [line.phrase, *others])
            if not ranked or ranked[0].phrase != line.phrase:
                material.kept_at(voice, line.text).with_suffix(".bad").touch()
                aside.append(line.phrase)
    rest = [
        (voice, phrase)
        for voice in (*STRANGERS, *STRANGERS_CHOOSING, *CHOOSING, *HELD_OUT)
        for phrase in phrases()
    ]
    rest += [(voice, text) for part in ("choosing", "held-out") for text, voice in talkers(part)]
    for voice, text in () if options.trains else rest[options.part :: options.of]:
        material.say(voice, text)
    print(
        f"part {options.part}: {made} said in {time.monotonic() - began:.0f} s, "
        f"{len(aside)} put aside: {', '.join(aside)}",
        flush=True,
    )


if __name__ == "__main__":
    main()
