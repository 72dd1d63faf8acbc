"""What the scorer and the acceptor each add: `python -m tests.bench.hearing.ablation FOLDER`.

Windows are cut where the end-pointer would cut them and scored once; they are kept in FOLDER, so
that another acceptor or rule costs seconds. Each rule's threshold is the one at which so many
lines of talk of the choosing half are obeyed; what it gives is reported on the held-out half, on
voices of engines that nothing was trained on, and on people's digits, of which none chose anything.
Only answers that the acceptor was taught are counted: the others are the scorer's alone.
"""

import argparse
import math
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from coach.hearing import bands
from coach.hearing.acceptor import Acceptor, alone
from coach.hearing.scorer import WhisperScorer
from coach.model.answers import ANYTIME, parse
from coach.record.evidence import wilson
from coach.session.events import Sureness
from tests.bench.hearing import material, trials
from tests.bench.hearing.__main__ import answers, danger, nothing, people, phrases
from tests.bench.hearing.acceptors import acceptor_of
from tests.bench.hearing.material import CHOOSING, HELD_OUT, RATE, Floats
from tests.bench.hearing.trials import CONDITIONS, Condition, Spoken

#: Seconds before the onset and after the end that the end-pointer takes in, and a look at long
#: speech: how long it is and how often one is taken.
BEFORE, AFTER = 0.3, 0.2
LOOK, EVERY = 1.8, 0.9


@dataclass(frozen=True, slots=True)
class Window:
    """One look: what was said, what each active phrase got."""

    group: str
    item: int
    """Looks at one thing said share it."""
    key: str
    lp: dict[str, float]
    frames: Floats


def groups(count: int) -> dict[str, list[Spoken]]:
    """What is said, by name."""
    made = {
        "flite, held out": answers(HELD_OUT[:4], count, 12, False),
        "espeak-ng, held out": answers(HELD_OUT[4:], count, 13, False),
        "people, one to nine": people(count, 3),
        "must not be missed": danger(HELD_OUT, count + count // 5, 2),
        "espeak-ng, choosing": answers(CHOOSING, count, 14, False),
        "must not be missed, choosing": danger(CHOOSING, count + count // 5, 4),
    }
    for part, voices in (("choosing", CHOOSING), ("held-out", HELD_OUT)):
        lines = [
            (line, material.say(voices[number % len(voices)], line))
            for number, line in enumerate(material.hall_talk(part))
        ]
        others = [(path.stem, material.recording(path)) for path in material.others(part)]
        made[f"talk, {part}"] = nothing(lines) + nothing(others)
    return made


def looks(spoken: Spoken, condition: Condition, noise: Floats, at: int) -> Iterator[Floats]:
    """The windows that are cut out of one thing said."""
    track, begin, end = trials.track_of(spoken, condition)
    track = track + np.take(noise, np.arange(at, at + len(track)), mode="wrap")
    first, last = begin - round(BEFORE * RATE), end + round(AFTER * RATE)
    look = round(LOOK * RATE)
    if last - first <= look or spoken.key:
        yield track[first:last]
        return
    for stop in range(first + look, last, round(EVERY * RATE)):
        yield track[stop - look : stop]


def collect(
    scorer: WhisperScorer, condition: Condition, count: int
) -> tuple[list[Window], dict[str, float]]:
    """Every window of a condition, and the seconds of each group's speech."""
    noise = trials.noise_of(condition, 60.0, 5)
    table = phrases()
    windows: list[Window] = []
    seconds: dict[str, float] = {}
    for group, said in groups(count).items():
        at = 0
        for item, spoken in enumerate(said):
            keys = dict.fromkeys((*ANYTIME, *spoken.window))
            active = [phrase for key in keys for phrase in table[key]]
            for sound in looks(spoken, condition, noise, at):
                frames = scorer.encode(sound)
                lp = {one.phrase: one.score for one in scorer.score_encoded(frames, active)}
                windows.append(Window(group, item, spoken.key, lp, frames.astype(np.float16)))
            at += len(spoken.sound) + 2 * RATE
            seconds[group] = seconds.get(group, 0.0) + len(spoken.sound) / RATE
        print(f"{condition.name}: {group}, {len(windows)} windows", flush=True)
    return windows, seconds


def kept(folder: Path, condition: Condition, count: int) -> tuple[list[Window], dict[str, float]]:
    """The windows of a condition, from the folder if they are there."""
    path = folder / f"{condition.name.replace(' ', '-')}.npy"
    if not path.exists():
        found = collect(WhisperScorer(), condition, count)
        np.save(path, np.array([found], dtype=object), allow_pickle=True)
    found = np.load(path, allow_pickle=True)[0]
    return found[0], found[1]


Rule = Callable[[dict[str, float], dict[str, float]], tuple[str, float]]
"""Scorer's and acceptor's scores of a window's phrases -> the best phrase and its score."""


def _best(scores: dict[str, float]) -> tuple[str, float]:
    if not scores:
        return "", -math.inf
    phrase = max(scores, key=lambda one: scores[one])
    return phrase, scores[phrase]


def _alone(lp: dict[str, float], logit: dict[str, float]) -> tuple[str, float]:
    return _best(lp)


def _acceptor(lp: dict[str, float], logit: dict[str, float]) -> tuple[str, float]:
    return _best(logit)


def _picks(lp: dict[str, float], logit: dict[str, float]) -> tuple[str, float]:
    phrase, score = _best(lp)
    return phrase, logit[phrase] if score > -11.0 else -math.inf


def _sum(lp: dict[str, float], logit: dict[str, float]) -> tuple[str, float]:
    return _best({phrase: lp[phrase] + logit[phrase] for phrase in lp})


def _floored(lp: dict[str, float], logit: dict[str, float]) -> tuple[str, float]:
    return _best({phrase: max(lp[phrase], -8.0) + logit[phrase] for phrase in lp})


RULES: dict[str, Rule] = {
    "scorer alone": _alone,
    "acceptor alone, as used": _acceptor,
    "scorer picks, acceptor accepts": _picks,
    "sum": _sum,
    "sum with a floor": _floored,
}


def decided(
    windows: Sequence[Window], logits: Sequence[Floats], names: dict[str, int], rule: Rule
) -> list[tuple[Window, str, float]]:
    """Each window with the answer that a rule picks and its score."""
    keys = {phrase: key for key, some in phrases().items() for phrase in some}
    made = []
    for window, logit in zip(windows, logits, strict=True):
        known = {phrase: float(logit[names[phrase]]) for phrase in window.lp if phrase in names}
        lp = {phrase: window.lp[phrase] for phrase in known}
        phrase, score = rule(lp, known)
        made.append((window, keys.get(phrase, ""), score))
    return made


def report(folder: Path, condition: Condition, count: int, acceptor: Acceptor) -> None:
    """The table of one condition."""
    windows, seconds = kept(folder, condition, count)
    logits = [acceptor.logits(window.frames.astype(np.float32)) for window in windows]
    names = {phrase: number for number, phrase in enumerate(acceptor.phrases)}
    hours = {part: seconds[f"talk, {part}"] / 3600 for part in ("choosing", "held-out")}
    print(
        f"\n{condition.name}; talk: {hours['choosing']:.2f} h chose, {hours['held-out']:.2f} h "
        "reported\nright / wrong of each group; obeyed of held-out talk"
    )
    taught = {key for key, some in phrases().items() if set(some) & set(names)}
    told = [name for name in groups_of(windows) if "talk" not in name]
    for allowed in (0, 2, 5):
        print(f"-- threshold at {allowed} of the choosing half's talk obeyed")
        for name, rule in RULES.items():
            made = decided(windows, logits, names, rule)
            chose = items(made, "talk, choosing")
            threshold = sorted(chose, reverse=True)[allowed]
            false = sum(score > threshold for score in items(made, "talk, held-out"))
            cells = []
            for group in told:
                of = [one for one in made if one[0].group == group and one[0].key in taught]
                right = sum(s > threshold and key == w.key for w, key, s in of)
                wrong = sum(s > threshold and key != w.key for w, key, s in of)
                low, high = wilson(right, len(of))
                cells.append(
                    f"{group} {right / len(of):.2f} ({low:.2f}-{high:.2f}) / {wrong / len(of):.3f}"
                )
            print(f"{name:<31}{false:>3}  " + "; ".join(cells), flush=True)
    at_the_bands(windows, logits, acceptor, condition.snr_db if condition.noise else 40.0)


def at_the_bands(
    windows: Sequence[Window], logits: Sequence[Floats], acceptor: Acceptor, over: float
) -> None:
    """What the bands in use make of every window, all answers counted, with and without."""
    keys = {phrase: key for key, some in phrases().items() for phrase in some}
    table = bands.bands("whisper", over)
    print("-- at the bands in use, all answers: asked, acted, asked about another, wrong, of")
    for name, both in (("scorer alone", False), ("with the acceptor", True)):
        cells = []
        for group in groups_of(windows):
            kinds: dict[int, str] = {}
            for window, logit in zip(windows, logits, strict=True):
                if window.group != group:
                    continue
                scores = {p: alone(lp) for p, lp in window.lp.items()}
                if both:
                    unknown = acceptor.unknown(list(window.lp))
                    scores = {
                        one.phrase: one.score for one in acceptor.scored(logit, list(window.lp))
                    }
                    scores |= {p: alone(window.lp[p]) for p in unknown}
                kind = judged(scores, keys, table, window.key)
                if KINDS.index(kind) >= KINDS.index(kinds.get(window.item, "ignored")):
                    kinds[window.item] = kind
            found = Counter(kinds.values())
            cells.append(
                f"{group} " + " ".join(str(found[k]) for k in KINDS[1:]) + f" of {len(kinds)}"
            )
        print(f"{name:<20}" + "; ".join(cells), flush=True)


#: What may come of one look, the worst last.
KINDS = ("ignored", "asked", "acted", "asked wrong", "wrong")


def judged(scores: dict[str, float], keys: dict[str, str], table: bands.Bands, key: str) -> str:
    """One of KINDS."""
    if not scores:
        return "ignored"
    best = max(scores, key=lambda phrase: scores[phrase])
    others = (score for phrase, score in scores.items() if keys[phrase] != keys[best])
    band = table.of(parse(keys[best]))
    sure = bands.judge(band, scores[best], max(others, default=-math.inf))
    if sure is None:
        return "ignored"
    right = keys[best] == key
    if sure is Sureness.SURE:
        return "acted" if right else "wrong"
    return "asked" if right else "asked wrong"


def groups_of(windows: Sequence[Window]) -> list[str]:
    """The groups, in order."""
    return list(dict.fromkeys(window.group for window in windows))


def items(made: Sequence[tuple[Window, str, float]], group: str) -> list[float]:
    """The best score of each thing said in a group."""
    best: dict[int, float] = {}
    for window, _, score in made:
        if window.group == group:
            best[window.item] = max(score, best.get(window.item, -math.inf))
    return list(best.values())


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--count", type=int, default=140, help="answers a group")
    parser.add_argument("--conditions", default="hall 20 dB,hall 10 dB")
    parser.add_argument("--weights", type=Path, nargs="*", default=(), help="else ours")
    options = parser.parse_args()
    options.folder.mkdir(parents=True, exist_ok=True)
    chosen = [one for one in CONDITIONS if one.name in options.conditions.split(",")]
    acceptor = acceptor_of(tuple(options.weights))
    for condition in chosen:
        report(options.folder, condition, options.count, acceptor)


if __name__ == "__main__":
    main()
