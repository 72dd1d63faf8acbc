"""Answers to a "who is it?" by number and name: `python -m tests.bench.hearing.who [N]`.

Twelve people, the window of the question as the group opens it, voices that no training has heard,
in a quiet room and in a hall at 20 dB. What is not right is ignored (said once more, after the
question was asked again), asked back, or another person: that is told aloud and taken back by
"undo that".
"""

import sys
from collections import Counter
from itertools import cycle

from coach.files.library import load_library
from coach.files.words import load_language
from coach.group.phrases import heard_from, who_of
from coach.hearing.scorer import WhisperScorer
from tests.bench.hearing import material
from tests.bench.hearing.trials import Condition, Spoken, stream

#: People of the invented hall.
NAMES = dict(
    enumerate(
        "Runa Odalys Bertil Quentin Isolde Tamsin Leopold Marisol Anselm Philippa Corwin Dagny"
        .split(), 1,
    )
)  # fmt: skip
CONDITIONS = (Condition("quiet"), Condition("hall 20 dB", "hall", 20.0))


def spoken(count: int, *, named: bool) -> list[Spoken]:
    """So many answers, person after person, voice after voice."""
    window = (*who_of(NAMES), "no")
    language = heard_from(load_language("en", load_library("full").movements), NAMES)
    voices = [voice for voice in material.HELD_OUT if material.has(voice.engine)]
    made = []
    for number, voice in zip(range(count), cycle(voices), strict=False):
        key = f"person:{number % len(NAMES) + 1}"
        first, *others = language.answers[key]
        phrase = others[-1] if named else first
        made.append(Spoken(key, phrase, material.say(voice, phrase), voice.label, window))
    return made


def main() -> None:
    """Print the share of each outcome, by room and by number or name."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    scorer = WhisperScorer()
    language = heard_from(load_language("en", load_library("full").movements), NAMES)
    for condition in CONDITIONS:
        for named in (False, True):
            result = stream(scorer, language.answers, condition, spoken(count // 4, named=named))
            kinds = Counter(outcome.kind for outcome in result.outcomes)
            how = "by name" if named else "by number"
            told = ", ".join(f"{kind} {n}" for kind, n in kinds.most_common())
            print(f"{condition.name:12} {how:10} of {count // 4}: {told}", flush=True)


if __name__ == "__main__":
    main()
