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
from coach.hearing.recogniser_port import Spoken as Said
from coach.hearing.scorer import WhisperScorer
from coach.hearing.takes import MOST_GATHERED, centre_of, take_of
from coach.hearing.taught import Take, Taught
from coach.hearing.teaching import takes_in
from coach.language import Language
from coach.model.answers import ANYTIME
from coach.record.evidence import wilson
from tests.bench.hearing import material
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

#: Answers that people give here.
COUNTS = tuple(f"count:{n}" for n in range(1, 10))
SPEAKERS = ("speaker_a", "speaker_b", "speaker_c")
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


def in_a_hall(sound: Floats, number: int) -> list[Said]:
    """What is said in the hall at 10 dB, with the length that a clear cut would have."""
    noise = material.hall(len(sound) / RATE + 2.0, 60 + number)
    track = np.pad(sound, RATE)
    level = np.float32(10 ** ((material.SPEECH_DB - 10.0) / 20))
    heard = (track + noise[: len(track)] * level).astype(np.float32)
    return [Said(heard[RATE // 2 : -RATE // 2], RATE // 2, RATE // 2 + len(sound))]


def taught_by(
    scorer: WhisperScorer,
    sounds: dict[str, Sequence[Floats]],
    gathered: dict[str, Sequence[Floats]] | None = None,
) -> Taught:
    """What takes of phrases teach, and those that were gathered in a hall beside them."""
    centre, made = centre_of(scorer.encode), dict[str, list[Take]]()
    for phrase, some in sounds.items():
        said = [one for sound in some for one in in_quiet(sound)]
        for number, sound in enumerate((gathered or {}).get(phrase, ())):
            said += in_a_hall(sound, number)
        made[phrase] = [take_of(scorer.encode, centre, one) for one in said]
    return Taught(made, centre)


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


Takes = dict[str, Sequence[Floats]]


def people(speaker: str) -> tuple[Takes, Takes, list[Spoken]]:
    """A person's digits: the first three takes, two more, and all that training never heard."""
    folder = material.speech_folder()
    assert folder is not None
    takes, more, later = Takes(), Takes(), list[Spoken]()
    for key, word in zip(
        COUNTS, "one two three four five six seven eight nine".split(), strict=True
    ):
        paths = sorted(folder.glob(f"numbers/{word}/{speaker}_*.flac"))
        takes[word] = [material.recording(path) for path in paths[:3]]
        more[word] = [material.recording(path) for path in paths[3 : 3 + MOST_GATHERED]]
        later += [
            Spoken(key, word, material.recording(path), speaker, COUNTS)
            for path in paths
            if int(path.stem.rpartition("_")[2]) >= material.SHARED
        ]
    return takes, more, later


def line(name: str, result: Result) -> str:
    """One row of the table."""
    kinds = [result.count(kind) for kind in ("acted", "asked", "asked wrong", "wrong", "ignored")]
    total = sum(kinds)
    low, high = wilson(kinds[0] + kinds[1], total)
    row = " ".join(f"{kind:7}" for kind in kinds)
    return f"{name:52} {total:4} {row}   {low:.2f}-{high:.2f}"


def phrases_of(language: Language) -> dict[str, tuple[str, ...]]:
    """Every answer's phrases."""
    return dict(language.answers)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description="What teaching gives.")
    parser.add_argument("--sentences", type=int, default=40, help="for each voice and condition")
    parser.add_argument("--voices", type=int, default=len(VOICES))
    parser.add_argument("--places", nargs="*", default=[one.name for one in AT])
    parser.add_argument("--speakers", nargs="*", default=SPEAKERS)
    told = parser.parse_args()
    places = [one for one in AT if one.name in told.places]
    scorer = WhisperScorer()
    print(f"{'':52} {'said':>4} acted   asked   asked w wrong   ignored heard, 95 %")
    for condition in places if told.voices else ():
        _german(scorer, condition, VOICES[: told.voices], told.sentences)
    if material.speech_folder() is not None:
        for condition in places:
            _people(scorer, condition, told.speakers)


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


def _people(scorer: WhisperScorer, condition: Condition, speakers: Sequence[str]) -> None:
    answers = phrases_of(load_language("en", MOVEMENTS))
    for speaker in speakers:
        known = "known" if speaker in material.LEARNT_FROM else "a stranger"
        takes, more, later = people(speaker)
        talk = [
            Spoken("", path.stem, material.recording(path), "", COUNTS)
            for path in material.others("held-out")[::4]
        ]
        lessons = {"untaught": None, "taught": taught_by(scorer, takes)}
        lessons["taught and gathered"] = taught_by(scorer, takes, more)
        for label, lesson in lessons.items():
            scorer.taught = lesson
            for what, said in (("", later), (", talk obeyed", talk)):
                result = stream(scorer, answers, condition, said)
                name = f"{speaker}, {known}, {condition.name}, {label}{what}"
                print(line(name, result), flush=True)
        scorer.taught = None


if __name__ == "__main__":
    main()
