"""What teaching gives: `python -m tests.bench.hearing.teaching`, a few minutes.

A voice teaches answers with three takes in a quiet room; then it says each of them at another
pace and pitch, streamed through the whole chain. German by voices of espeak-ng: untaught, the
recogniser's weights hear nothing of it. Then the digits of people, where COACH_SPEECH_DIR names
recordings, each speaker taught by their first takes and tried on the later ones, of which none
trained anything. What is said that is no answer is German sentences by the same voice, which is
harsher than talk by others.
"""

import argparse
from collections.abc import Sequence

import numpy as np

from coach.files.movements import load_movements
from coach.files.words import load_language
from coach.hearing.port import Spoken as Said
from coach.hearing.scorer import WhisperScorer
from coach.hearing.takes import centre_of, take_of
from coach.hearing.taught import Taught
from coach.hearing.teaching import takes_in
from coach.language import Language
from coach.model.answers import ANYTIME
from tests.bench.hearing import material
from tests.bench.hearing.figures import wilson
from tests.bench.hearing.material import RATE, Floats, Voice
from tests.bench.hearing.trials import (
    CONDITIONS,
    STEP,
    Condition,
    Result,
    Spoken,
    stream,
    window_of,
)

MOVEMENTS = load_movements()
GERMAN = load_language("de", MOVEMENTS)
#: What is taught: what must not be missed, what is said most, and what a question asks.
ANSWERS = (
    *ANYTIME, *STEP, "yes", "no", "feel:fine", "feel:tired", "ready", "topped",
)  # fmt: skip
VOICES = ("de", "de+f3", "de+m4")
#: Pace and pitch of the takes, and of what is said later.
TAKES = ((150, 50), (160, 46), (172, 54))
LATER = ((140, 56), (180, 44))
AT = tuple(one for one in CONDITIONS if one.name in ("hall 20 dB", "hall 10 dB", "quiet"))


def in_quiet(sound: Floats) -> list[Said]:
    """What is said in a quiet room, cut out as the microphone's sound is."""
    rng = np.random.default_rng(1)
    track = np.concatenate([np.zeros(RATE, np.float32), sound])
    return takes_in((track + 1e-4 * rng.standard_normal(len(track))).astype(np.float32))


def taught_by(scorer: WhisperScorer, sounds: dict[str, Sequence[Floats]]) -> Taught:
    """What takes of phrases teach."""
    centre = centre_of(scorer.encode)
    return Taught(
        {
            phrase: [
                take_of(scorer.encode, centre, one) for sound in some for one in in_quiet(sound)
            ]
            for phrase, some in sounds.items()
        },
        centre,
    )


def german(name: str, answers: Sequence[str]) -> tuple[dict[str, Sequence[Floats]], list[Spoken]]:
    """A German voice: its takes of each answer's first phrase, and what it says later."""
    takes: dict[str, Sequence[Floats]] = {}
    later: list[Spoken] = []
    for number, key in enumerate(answers):
        phrase = GERMAN.phrase(key)
        takes[phrase] = [material.say(Voice("espeak-ng", name, *one), phrase) for one in TAKES]
        sound = material.say(Voice("espeak-ng", name, *LATER[number % len(LATER)]), phrase)
        later.append(Spoken(key, phrase, sound, name, window_of(key)))
    return takes, later


def sentences(name: str, count: int) -> list[Spoken]:
    """German sentences that are no answer, in a window."""
    forms = [movement.form["de"] for movement in MOVEMENTS.values()][:count]
    voice = Voice("espeak-ng", name, 160, 50)
    return [Spoken("", form, material.say(voice, form), name, STEP) for form in forms]


def people(speaker: str) -> tuple[dict[str, Sequence[Floats]], list[Spoken]]:
    """A person's digits: the first three takes, and all that training never heard."""
    folder = material.speech_folder()
    assert folder is not None
    window = tuple(f"count:{n}" for n in range(1, 10))
    takes: dict[str, Sequence[Floats]] = {}
    later: list[Spoken] = []
    for key, word in zip(
        window, "one two three four five six seven eight nine".split(), strict=True
    ):
        paths = sorted(folder.glob(f"numbers/{word}/{speaker}_*.flac"))
        takes[word] = [material.recording(path) for path in paths[:3]]
        later += [
            Spoken(key, word, material.recording(path), speaker, window)
            for path in paths
            if int(path.stem.rpartition("_")[2]) >= material.SHARED
        ]
    return takes, later


def line(name: str, result: Result) -> str:
    """One row of the table."""
    kinds = [result.count(kind) for kind in ("acted", "asked", "asked wrong", "wrong", "ignored")]
    total = sum(kinds)
    low, high = wilson(kinds[0] + kinds[1], total)
    row = " ".join(f"{kind:7}" for kind in kinds)
    return f"{name:44} {total:4} {row}   {low:.2f}-{high:.2f}"


def phrases_of(language: Language) -> dict[str, tuple[str, ...]]:
    """Every answer's phrases."""
    return dict(language.answers)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description="What teaching gives.")
    parser.add_argument("--sentences", type=int, default=40, help="for each voice and condition")
    parser.add_argument("--voices", type=int, default=len(VOICES))
    told = parser.parse_args()
    scorer = WhisperScorer()
    print(f"{'':44} {'said':>4} acted   asked   asked w wrong   ignored heard, 95 %")
    for condition in AT:
        _german(scorer, condition, VOICES[: told.voices], told.sentences)
    if material.speech_folder() is not None:
        for condition in AT:
            _people(scorer, condition)


def _german(scorer: WhisperScorer, condition: Condition, voices: Sequence[str], count: int) -> None:
    results = {name: Result(condition) for name in ("taught", "sentences, obeyed")}
    scorer.foreign = True
    for name in voices:
        takes, later = german(name, ANSWERS)
        lesson = taught_by(scorer, takes)
        scorer.taught = lesson
        for label, said in (
            ("taught", later),
            ("sentences, obeyed", sentences(name, count)),
        ):
            results[label].outcomes += stream(scorer, phrases_of(GERMAN), condition, said).outcomes
    scorer.taught, scorer.foreign = None, False
    for label, result in results.items():
        print(line(f"German, {condition.name}, {label}", result), flush=True)


def _people(scorer: WhisperScorer, condition: Condition) -> None:
    answers = load_language("en", MOVEMENTS)
    for speaker in ("speaker_a", "speaker_b", "speaker_c"):
        before, after = Result(condition), Result(condition)
        known = "known" if speaker in material.LEARNT_FROM else "a stranger"
        takes, later = people(speaker)
        before.outcomes += stream(scorer, phrases_of(answers), condition, later).outcomes
        scorer.taught = taught_by(scorer, takes)
        after.outcomes += stream(scorer, phrases_of(answers), condition, later).outcomes
        scorer.taught = None
        print(line(f"{speaker}, {known}, {condition.name}, untaught", before), flush=True)
        print(line(f"{speaker}, {known}, {condition.name}, taught", after), flush=True)


if __name__ == "__main__":
    main()
