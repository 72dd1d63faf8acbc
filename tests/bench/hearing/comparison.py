"""Weights on the same windows: `python -m tests.bench.hearing.comparison WEIGHTS...`.

Each of WEIGHTS takes the place of the last network. Every window is encoded once and judged by
the real scorer and bands with the shipped networks and with WEIGHTS; a difference is theirs.
What is said are the phrases that only WEIGHTS know, by an engine and neural voices that trained
nothing; all other answers and people's numbers, which must not get worse; talk, and our own cues.
"""

import argparse
import hashlib
import random
from collections import Counter
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

import numpy as np

from coach.hearing import acceptor, bands
from coach.hearing.acceptor import SHIPPED, Acceptor, Network
from coach.hearing.recogniser_port import Scored
from coach.hearing.scorer import WhisperScorer
from coach.model.answers import ANYTIME, parse
from coach.model.questions import QUESTIONS
from coach.record.evidence import wilson
from coach.session.events import Sureness
from tests.bench.hearing import material, own_voice, trials
from tests.bench.hearing.__main__ import WORDS, answers, danger, nothing, people, phrases
from tests.bench.hearing.fusion import KINDS, OVER
from tests.bench.hearing.looks import cut, talkers
from tests.bench.hearing.material import HELD_OUT, RATE, STRANGERS
from tests.bench.hearing.trials import CONDITIONS, Spoken, window_of


def read(path: Path) -> Network:
    """The network of a file, whatever it is."""
    return Network(path, hashlib.sha256(path.read_bytes()).hexdigest())


def new_answers(new: Sequence[str], voices: Sequence[material.Voice]) -> list[Spoken]:
    """Each new phrase of the pack by one of some voices."""
    keys = {phrase: key for key, some in phrases().items() for phrase in some}
    made = []
    for number, phrase in enumerate(one for one in new if one in keys):
        voice = voices[number % len(voices)]
        sound = material.say(voice, phrase)
        made.append(Spoken(keys[phrase], phrase, sound, voice.label, window_of(keys[phrase])))
    return made


def by_all(some: Sequence[str]) -> list[Spoken]:
    """Each of some phrases by every voice of rules that trained nothing."""
    return [one for voice in HELD_OUT for one in new_answers(some, [voice])]


def groups(new: Sequence[str], every: int) -> dict[str, Callable[[], list[Spoken]]]:
    """Who says what, by name; of all but the new phrases by flite one in `every`."""

    def lines() -> list[Spoken]:
        voices = [one for one in talkers("held-out") if one[1].engine != "neural"]
        return nothing([(line, material.say(voice, line)) for line, voice in voices[::every]])

    def talk() -> list[Spoken]:
        paths = material.others("held-out")[::every]
        return nothing([(path.stem, material.recording(path)) for path in paths])

    def cues() -> list[Spoken]:
        texts = own_voice.cues(WORDS, own_voice.kept_for_trials(WORDS))[::every]
        return nothing([(text, material.say(own_voice.CUE_VOICE, text)) for text in texts])

    return {
        "our own cues": cues,
        "new by flite": lambda: new_answers(new[:: max(1, every // 2)], HELD_OUT[:4]),
        "new by neural voices": lambda: new_answers(new[::every], STRANGERS),
        "all answers by flite": lambda: answers(HELD_OUT[:4], 400 // every, 12, False),
        "all answers by neural voices": lambda: answers(STRANGERS, 800 // every, 16, False),
        "must not be missed by neural voices": lambda: danger(STRANGERS, 200 // every, 2),
        "a person's numbers": lambda: people(999, 3)[::every],
        "lines of hall talk": lines,
        "people's talk": talk,
    }


def active(spoken: Spoken) -> list[str]:
    """The phrases that count while something is said, with all that its question takes."""
    table, keys = phrases(), [*ANYTIME, *spoken.window]
    for one in QUESTIONS.values():
        if set(spoken.window) <= set(one.answers):
            keys += one.also
            break
    return [phrase for key in dict.fromkeys(keys) for phrase in table.get(key, ())]


def kind_of(spoken: Spoken, scored: Sequence[Scored], place: str) -> str:
    """What the bands make of a look: one of KINDS."""
    if not scored:
        return "ignored"
    keys = {phrase: key for key, some in phrases().items() for phrase in some}
    best, key = scored[0], keys[scored[0].phrase]
    following = max((one.score for one in scored if keys[one.phrase] != key), default=-np.inf)
    table = bands.bands("whisper", OVER[place])
    short = 0.0 if " " in best.phrase else table.short
    sure = bands.judge(table.of(parse(key)), best.score, following, short)
    if sure is None:
        return "ignored"
    right = key == spoken.key
    if sure is Sureness.SURE:
        return "acted" if right else "wrong"
    return "asked" if right else "asked wrong"


def compared(
    scorer: WhisperScorer, acceptors: Sequence[Acceptor], said: Sequence[Spoken], place: str
) -> list[list[str]]:
    """Of each thing said, the worst that came of its looks by each acceptor."""
    condition = next(one for one in CONDITIONS if one.name == place)
    noise, made = trials.noise_of(condition, 60.0, 5), []
    for item, spoken in enumerate(said):
        some, worst = active(spoken), ["ignored"] * len(acceptors)
        for sound in cut(spoken, condition, noise, item * 3 * RATE):
            frames = scorer.encode(sound)
            for number, one in enumerate(acceptors):
                scorer.acceptor = one
                kind = kind_of(spoken, scorer.score_frames(frames, some, ()), place)
                worst[number] = max(worst[number], kind, key=KINDS.index)
        made.append(worst)
    return made


def row(kinds: Sequence[str]) -> str:
    """What came of one group."""
    found, n = Counter(kinds), len(kinds)
    right, asked = found["acted"], found["acted"] + found["asked"]
    low, high = wilson(asked, n)
    return (
        f"acted {right}, with asking {asked} of {n} ({low:.2f}-{high:.2f}), "
        f"wrong {found['wrong']}, asked about another {found['asked wrong']}"
    )


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("weights", type=Path, nargs="+")
    parser.add_argument("--every", type=int, default=1, help="one in so many of a large group")
    parser.add_argument("--places", default="quiet;hall 10 dB")
    parser.add_argument("--groups", nargs="*", default=(), help="only these")
    parser.add_argument("--phrases", nargs="*", default=(), help="only these, by voices of rules")
    parser.add_argument("--missed", action="store_true", help="print what was not heard")
    options = parser.parse_args()
    earlier, scorer = [Network(*one) for one in SHIPPED[:-1]], WhisperScorer()
    before, _ = acceptor.shipped()
    assert before is not None
    after = [Acceptor([*earlier, read(one)]) for one in options.weights]
    new = [phrase for phrase in after[0].phrases if phrase not in before.phrases]
    random.Random(7).shuffle(new)
    print(f"{len(new)} new phrases")
    made = groups(new, options.every)
    made |= {one: partial(by_all, [one]) for one in options.phrases}
    for name in options.phrases or options.groups or made:
        said = made[name]()
        for place in options.places.split(";"):
            found = compared(scorer, (before, *after), said, place)
            for at, which in enumerate(("before", *(one.stem for one in options.weights))):
                print(f"{name}, {place}, {which}: {row([one[at] for one in found])}", flush=True)
            if options.missed:
                for spoken, kinds in zip(said, found, strict=True):
                    if len({*kinds}) > 1 or "wrong" in kinds[-1]:
                        print(f"    {spoken.phrase!r} by {spoken.speaker}: {' -> '.join(kinds)}")


if __name__ == "__main__":
    main()
