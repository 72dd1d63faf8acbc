"""What each phrase is taken for: `python -m tests.bench.hearing.confusions FOLDER`.

Every phrase of the pack by four voices of the choosing half in the hall at 10 dB, every line of
hall talk and every cue of ours, each scored against all phrases at once, which no window does.
Writes the matrix of answers (said by row, taken for by column) and a line for each phrase as CSV
into FOLDER, and prints what is worth changing: phrases that are mostly missed or taken for another
answer, and those that talk and cues are taken for.
"""

import argparse
import csv
import multiprocessing
import os
from collections import Counter, defaultdict
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from coach.hearing import bands
from coach.hearing.recognisers import load
from coach.hearing.scorer import WhisperScorer
from coach.model.answers import parse
from tests.bench.hearing import material, own_voice, trials
from tests.bench.hearing.__main__ import WORDS, phrases
from tests.bench.hearing.ablation import looks
from tests.bench.hearing.material import CHOOSING, RATE
from tests.bench.hearing.trials import CONDITIONS, Spoken

PLACE = next(one for one in CONDITIONS if one.name == "hall 10 dB")

#: Of the choosing half, so many voices say each phrase.
VOICES = 4

#: A phrase is worth changing if it is itself less often than this.
WEAK = 0.6

_scorer: list[WhisperScorer] = []


def said() -> list[tuple[str, Spoken]]:
    """Kind ('answer', 'talk' or 'cue') and what is said."""
    made: list[tuple[str, Spoken]] = []
    for key, some in phrases().items():
        for number, phrase in enumerate(some):
            for turn in range(VOICES):
                voice = CHOOSING[(number + turn * 2) % len(CHOOSING)]
                sound = material.say(voice, phrase)
                made.append(("answer", Spoken(key, phrase, sound, voice.label, ())))
    for number, line in enumerate(material.hall_talk("choosing")):
        sound = material.say(CHOOSING[number % len(CHOOSING)], line)
        made.append(("talk", Spoken("", line, sound, "", ())))
    cues = ((line, material.say(own_voice.CUE_VOICE, line)) for line in own_voice.cues(WORDS))
    return made + [("cue", Spoken("", line, sound, "", ())) for line, sound in cues]


def _start() -> None:
    scorer = load("whisper")
    assert isinstance(scorer, WhisperScorer)
    _scorer.append(scorer)


def _taken(job: tuple[int, str, Spoken]) -> tuple[str, str, str, str, float]:
    """Kind, answer and phrase said, phrase it was taken for and its score: the best look's."""
    number, kind, spoken = job
    noise = trials.noise_of(PLACE, 20.0, 5)
    every = [phrase for some in phrases().values() for phrase in some]
    best, score = "", -99.0
    for sound in looks(spoken, PLACE, noise, number * 3 * RATE):
        found = _scorer[0].score(sound, every)
        if found and found[0].score > score:
            best, score = found[0].phrase, found[0].score
    return kind, spoken.key, spoken.phrase, best, score


def report(found: Sequence[tuple[str, str, str, str, float]], folder: Path) -> None:
    """The files and what is printed."""
    keys = {phrase: key for key, some in phrases().items() for phrase in some}
    table = bands.bands("whisper", PLACE.snr_db)
    matrix: dict[str, Counter[str]] = defaultdict(Counter)
    by_phrase: dict[str, Counter[str]] = defaultdict(Counter)
    takes: dict[str, list[str]] = defaultdict(list)
    for kind, key, phrase, best, score in found:
        heard = keys.get(best, "")
        if not heard or score < table.of(parse(heard)).ask:
            heard = ""
        if kind == "answer":
            matrix[key][heard] += 1
            by_phrase[phrase][heard] += 1
        elif heard:
            takes[best].append(phrase)
    folder.mkdir(parents=True, exist_ok=True)
    columns = ["", *keys_of(matrix)]
    with (folder / "answers.csv").open("w", newline="") as file:
        written = csv.writer(file)
        written.writerow(["said", *("nothing" if key == "" else key for key in columns)])
        for key in keys_of(matrix):
            written.writerow([key, *(matrix[key][one] for one in columns)])
    with (folder / "phrases.csv").open("w", newline="") as file:
        written = csv.writer(file)
        written.writerow(
            ["answer", "phrase", "said", "itself", "nothing", "others", "talk and cues"]
        )
        for phrase, counts in by_phrase.items():
            n, own, none = sum(counts.values()), counts[keys[phrase]], counts[""]
            others = " ".join(f"{key}:{c}" for key, c in counts.most_common() if key)
            written.writerow([keys[phrase], phrase, n, own, none, others, len(takes[phrase])])
    n = sum(sum(counts.values()) for counts in matrix.values())
    right = sum(counts[key] for key, counts in matrix.items())
    none = sum(counts[""] for counts in matrix.values())
    print(f"{n} said: {right} themselves, {none} nothing, {n - right - none} another answer")
    print("\n| phrase | answer | itself | nothing | taken for |\n|---|---|---|---|---|")
    for phrase, counts in by_phrase.items():
        key, total = keys[phrase], sum(counts.values())
        if counts[key] < WEAK * total:
            others = ", ".join(f"{k} {c}" for k, c in counts.most_common() if k not in ("", key))
            print(f"| {phrase} | {key} | {counts[key]} of {total} | {counts['']} | {others} |")
    print("\n| phrase that talk or a cue is taken for | what was said |\n|---|---|")
    for phrase, some in sorted(takes.items(), key=lambda item: -len(item[1])):
        print(f"| {phrase} | {len(some)}: {'; '.join(some[:4])} |")


def keys_of(matrix: dict[str, Counter[str]]) -> list[str]:
    """The answers, in the pack's order."""
    return [key for key in phrases() if key in matrix]


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    options = parser.parse_args()
    jobs = [(number, kind, spoken) for number, (kind, spoken) in enumerate(said())]
    how = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(options.workers, how, _start) as pool:
        report(list(pool.map(_taken, jobs, chunksize=8)), options.folder)


if __name__ == "__main__":
    main()
