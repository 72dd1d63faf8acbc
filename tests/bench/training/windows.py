"""What the acceptor learns from: windows of sound, what is said in them, as encoder frames.

`python -m tests.bench.training.windows FOLDER --count N --part 0` writes one part; several parts,
each with a seed of its own, are trained on together. Sound is made by synthesisers (espeak-ng in
many voices; pico, festival's ked and piper's joe where they are installed). People are heard in
what is no answer, from the half of the recordings that is for training, and as two speakers who
say one to nine. No voice that thresholds are chosen on or that figures of held-out voices are
from speaks here.
"""

import argparse
import random
import re
import time
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import numpy.typing as npt
import soxr

from coach.files.movements import load_movements
from coach.files.words import load_language
from coach.hearing.features import SPAN
from coach.hearing.scorer import WhisperScorer
from coach.hearing.vocabulary import says, words
from coach.language.script import script
from coach.model.answers import ANYTIME
from tests.bench.hearing import material, neural
from tests.bench.hearing.material import (
    CHOOSING,
    HELD_OUT,
    RATE,
    STRANGERS_CHOOSING,
    Floats,
    Voice,
)
from tests.bench.hearing.own_voice import kept_for_trials
from tests.bench.hearing.trials import STEP

SOON = Path(__file__).with_name("soon.toml")
PACK = Path(__file__).parents[3] / "voices" / "words" / "en.toml"

ACCENTS = (
    "en-gb", "en-us", "en-gb-scotland", "en-gb-x-rp", "en-gb-x-gbclan", "en-gb-x-gbcwmd", "en-029",
    "en-us-nyc",
)  # fmt: skip

#: Variants of espeak-ng that sound like a person of some kind.
VARIANTS = (
    "adam Alex Alicia Andrea Andy Annie antonio belinda boris caleb david Denis Diogo ed edward "
    "edward2 Gene Gene2 gustave announcer Henrique Hugo iven iven2 iven3 iven4 Jacky john "
    "kaukovalta Lee Marco Mario max michel miguel Mike Mr Nguyen pablo paul pedro RicishayMax "
    "RicishayMax2 RicishayMax3 rob robert steph steph2 steph3 Storm Tweaky zac anika AnxiousAndy "
    "f5 grandpa klatt klatt2 klatt3 klatt4 m2 m4 m5 m6 norbert sandro shelby travis victor m8 f1 "
    "croak m1 grandma"
).split()

#: Ways that piper's joe speaks: its speed in hundredths, and how lively.
JOE = ((85, 1), (100, 0), (100, 1), (100, 2), (115, 1))

#: Ways that pico speaks: language, speed and pitch in hundredths.
PICO = tuple(
    Voice("pico", name, rate, pitch)
    for name in ("en-GB", "en-US")
    for rate, pitch in ((85, 75), (100, 60), (100, 90), (100, 115), (115, 80), (120, 130))
)

#: How often a phrase is said, for those of some answers: what must not be missed often, and of
#: the people of a group, who differ by a number only, each seldom.
OFTEN, SELDOM = 4, 1
USUALLY = 2

#: Answers that must not be missed: said often in training.
ALWAYS = ("danger", "stop", "pause", "hurt", "feel:fingers:sore", "feel:sore", "feel:hurting")

#: Sentences around a phrase that make it no answer.
AROUND = (
    "{} the blue one", "did you {}", "he said {} to me", "i think {} is the way", "was it {} again",
    "{} and then the big hold", "they always {}", "not {} yet", "{} if you want", "we had {} there",
    "so {} or what", "look {} over there", "it is like {} really", "she is {} with that",
    "could you {} for us", "{} was easy for him", "you know {} right", "try {} first",
)  # fmt: skip


#: Sentences of a hall that hold a phrase and are no answer: what is around it says so.
HOLDING = (
    "don't {} now", "don't {} there", "never {} up there", "he didn't {} at all",
    "why did they {} so soon", "we won't {} this time", "you can't {} on that one",
    "she told me {} yesterday", "i'd never say {} to him", "nobody said {} to us",
    "don't ever {} on me", "if they {} we go home", "when we {} it gets cold", "did he say {}",
    "is that {} or what", "the others {} all day", "they said {} last week",
    "you don't {} for that", "her {} was different", "it isn't {} you want", "who said {} then",
    "was there {} on it", "are you {} or not", "he always says {}", "if you {} you lose it",
    "i told him {} twice", "the kids {} again", "why {} when you can rest", "nobody {} here",
    "just don't {}", "please don't {} yet", "she'd rather {} than try", "what does {} mean",
    "that's what i call {}", "you should {} like your brother", "bring {} over here",
    "who wants to {} with me", "it was {} for everybody", "where did {} go",
    "put {} next to the mats", "look at {} for a second", "they can {} if they like",
    "how often do you {}", "{} is what she said", "since when is it {}", "my brother {} a lot",
)  # fmt: skip

#: Words that may come before an answer: what calls the coach, which is the climber's choice, and
#: what people say before they speak.
CALLS = (
    "coach", "coach", "coach", "hey coach", "trainer", "captain", "listen", "robin", "sunny",
    "professor", "basalt", "hello there", "okay", "um", "oh", "right", "ah",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Said:
    """Sound at 16 kHz with what it is: a phrase or none, and phrases that it may also be."""

    sound: Floats
    phrase: str = ""
    unclear: frozenset[str] = frozenset()


class Dice(random.Random):
    """Chance, and the half of the voices and of the talk that it draws from."""

    half = "training"


@cache
def phrases() -> dict[str, str]:
    """The pack's phrases -> their answers, and those of SOON -> why; all of them are taught.

    Those of SOON count as one answer each, but for what tells danger, which nobody confuses.
    """
    with PACK.open("rb") as file:
        answers = tomllib.load(file)["answers"]
    with SOON.open("rb") as file:
        later = tomllib.load(file)
    made = {phrase: key for key, some in answers.items() for phrase in some}
    for why, some in later.items():
        for phrase in (" ".join(one.split()) for one in some.split(",")):
            made.setdefault(phrase, why if why == "danger" else f"soon:{phrase}")
    return made


@cache
def cues() -> list[str]:
    """What the program itself says, but for what is kept for trials."""
    with PACK.open("rb") as file:
        said = tomllib.load(file)["say"]
    trains = [text for key, text in said.items() if key not in kept_for_trials(PACK)]
    plain = {re.sub(r"\{[^}]*\}", "two", text) for text in trains}
    return sorted(text for text in plain if len(words(text).split()) > 1)


@cache
def own_lines() -> list[str]:
    """What the program may say with all its values; a sentence in four is kept for trials."""
    language = load_language("en", load_movements())
    lines = list(script(language))
    tried = kept_for_trials(PACK)
    return sorted({line.text for line in lines if line.key not in tried})


@cache
def near() -> dict[str, list[str]]:
    """Words of the answers -> words that sound nearly like them."""
    with Path(__file__).with_name("near.toml").open("rb") as file:
        return {word: some.split() for word, some in tomllib.load(file).items()}


@cache
def common() -> list[str]:
    """Single words of talk that are no answers, and those that sound like one."""
    alike = [word for some in near().values() for word in some]
    text = " ".join((*material.hall_talk("training"), *cues(), *alike))
    return sorted({word for word in words(text).split() if word not in phrases()})


def any_voice(rng: Dice) -> Voice:
    """One of many voices, none of them held out; of the other half, one that chooses."""
    if rng.half == "choosing":
        return rng.choice(CHOOSING)
    taken = {voice.name.partition("+")[2].lower() for voice in (*CHOOSING, *HELD_OUT)}
    if rng.random() < 0.04 and material.has("festival"):
        return Voice("festival", "ked_diphone")
    if rng.random() < 0.15 and material.has("piper"):
        return Voice("piper", "joe", *rng.choice(JOE))
    if rng.random() < 0.25 and material.has("pico"):
        return rng.choice(PICO)
    variant = rng.choice([one for one in VARIANTS if one.lower() not in taken])
    accent = rng.choice(ACCENTS)
    return Voice(
        "espeak-ng", f"{accent}+{variant}", rng.choice((130, 150, 165, 180, 200)),
        rng.choice((25, 40, 50, 60, 75)),
    )  # fmt: skip


def within(text: str, but: str = "") -> frozenset[str]:
    """Phrases that a text holds, and all those of the same answer."""
    keys = phrases()
    held = {phrase for phrase in keys if says(words(text), phrase)}
    answers = {keys[phrase] for phrase in held} | ({keys[but]} if but in keys else set())
    return frozenset(phrase for phrase, key in keys.items() if key in answers) - {but}


@cache
def weighted() -> list[str]:
    """The phrases, each as often as it is to be said."""
    made: list[str] = []
    for phrase, key in phrases().items():
        seldom = SELDOM if key.startswith("person:") else USUALLY
        made += [phrase] * (OFTEN if key in ALWAYS else seldom)
    return made


@dataclass(frozen=True, slots=True)
class Line:
    """A text with the phrase that it is, if it is one, and those that it may be as well."""

    text: str
    phrase: str = ""
    unclear: frozenset[str] = frozenset()


def same_answer(phrase: str) -> frozenset[str]:
    """The other phrases of its answer."""
    key = phrases()[phrase]
    return frozenset({p for p, of in phrases().items() if of == key} - {phrase})


def a_phrase(rng: random.Random) -> Line:
    """A phrase; the other phrases of the same answer are unclear."""
    phrase = rng.choice(weighted())
    return Line(phrase, phrase, same_answer(phrase))


def a_call(rng: random.Random) -> Line:
    """An answer after a word that calls the coach."""
    phrase = rng.choice(list(phrases()))
    return Line(f"{rng.choice(CALLS)}, {phrase}", phrase, same_answer(phrase))


def a_near_miss(rng: random.Random) -> Line:
    """A phrase with a word changed, or with more words around it."""
    phrase = rng.choice(list(phrases()))
    text = phrase
    if rng.random() < 0.5:
        parts = phrase.split()
        at = rng.randrange(len(parts))
        alike = near().get(parts[at], [])
        parts[at] = rng.choice(alike if alike and rng.random() < 0.8 else common())
        text = " ".join(parts)
    if text in phrases() or rng.random() < 0.5:
        text = rng.choice(AROUND).format(phrase)
    return Line(text, "", frozenset(p for p in within(text) if phrases()[p] in ANYTIME))


def a_holding_line(rng: random.Random) -> Line:
    """A sentence of a hall with a phrase in it, mostly one that counts at any time or in a step."""
    keys = phrases()
    often = [phrase for phrase, key in keys.items() if key in (*ANYTIME, *STEP)]
    phrase = rng.choice(often if rng.random() < 0.6 else list(keys))
    return Line(rng.choice(HOLDING).format(phrase))


def some_talk(rng: random.Random) -> Line:
    """Hall talk or a cue of ours."""
    text = rng.choice(cues() if rng.random() < 0.2 else material.hall_talk("training"))
    return Line(text, "", within(text))


def a_cue(rng: random.Random) -> Line:
    """A sentence of ours."""
    text = rng.choice(own_lines())
    return Line(text, "", within(text))


def some_words(rng: random.Random) -> Line:
    """One or two common words."""
    return Line(" ".join(rng.choice(common()) for _ in range(rng.choice((1, 1, 2)))))


#: Paces of the coach's voice, in hundredths of its own: those of the profiles.
OWN_PACES = (82, 87, 97)

#: Lines that neural voices say beside every phrase: so many of each kind.
POOLS: dict[str, tuple[Callable[[random.Random], Line], int]] = {
    "call": (a_call, 400),
    "near": (a_near_miss, 2800),
    "holding": (a_holding_line, 2400),
    "talk": (some_talk, 1100),
    "own": (a_cue, 500),
    "word": (some_words, 800),
}

#: Neural voices that say each phrase; what must not be missed; people's numbers; a word alone,
#: which people say in more ways than a phrase; and one to nine.
EACH, MUST, NUMBERED, SHORT, DIGITS = 16, 40, 8, 30, 80

#: The part of all speech that neural voices say.
NEURAL = 0.6


@cache
def pools() -> dict[str, list[tuple[Line, Voice]]]:
    """Kind -> lines with their neural voices: the same on every machine, each rendered once."""
    rng = random.Random(2024)
    made: dict[str, list[tuple[Line, Voice]]] = {"phrase": []}
    for phrase, key in phrases().items():
        line = Line(phrase, phrase, same_answer(phrase))
        made["phrase"] += [(line, stranger(rng)) for _ in range(voices_for(phrase, key))]
    for kind, (line_of, count) in POOLS.items():
        made[kind] = [(line_of(rng), stranger(rng)) for _ in range(count)]
    return made


def voices_for(phrase: str, key: str) -> int:
    """How many neural voices say a phrase."""
    if key.startswith("person:"):
        return NUMBERED
    if key.startswith("count:") and " " not in phrase:
        return DIGITS
    if key in ALWAYS:
        return MUST
    return EACH if " " in phrase else SHORT


def stranger(rng: random.Random) -> Voice:
    """A neural voice, half of them a mix of two or three, at some pace."""
    names = rng.sample(neural.training(), rng.choice((1, 1, 2, 2, 3)))
    shares = [rng.uniform(0.4, 1.0) for _ in names]
    mix = ",".join(f"{n}:{s / sum(shares):.2f}" for n, s in zip(names, shares, strict=True))
    return Voice("neural", mix, rng.randint(82, 122))


@cache
def usable(kind: str) -> list[tuple[Line, Voice]]:
    """Those of a pool that were rendered and not put aside (`strangers`)."""
    found = []
    for line, voice in pools()[kind]:
        path = material.kept_at(voice, line.text)
        if path.exists() and not path.with_suffix(".bad").exists():
            found.append((line, voice))
    return found


def said(rng: Dice, kind: str, line_of: Callable[[random.Random], Line]) -> tuple[Line, Floats]:
    """A line of a kind by one of all voices that this half may use."""
    if rng.half == "choosing":
        if material.has("neural") and rng.random() < 0.5:
            line = line_of(rng)
            return line, material.say(rng.choice(STRANGERS_CHOOSING), line.text)
    elif material.has("neural") and rng.random() < NEURAL and usable(kind):
        line, voice = rng.choice(usable(kind))
        return line, material.say(voice, line.text)
    line = line_of(rng)
    return line, material.say(any_voice(rng), line.text)


def number(rng: Dice) -> Said:
    """One of one to nine by a person."""
    paths = material.numbers(rng.half)
    if not paths:
        return answer(rng)
    path = rng.choice(paths)
    phrase = path.parent.name
    return Said(material.recording(path), phrase, same_answer(phrase))


def answer(rng: Dice) -> Said:
    """A phrase said as an answer."""
    line, sound = said(rng, "phrase", a_phrase)
    return Said(sound, line.phrase, line.unclear)


def called(rng: Dice) -> Said:
    """An answer after a word that calls the coach."""
    line, sound = said(rng, "call", a_call)
    return Said(sound, line.phrase, line.unclear)


def near_miss(rng: Dice) -> Said:
    """A phrase with a word changed, or with more words around it."""
    line, sound = said(rng, "near", a_near_miss)
    return Said(sound, "", line.unclear)


def holding(rng: Dice) -> Said:
    """A sentence that holds a phrase and is no answer, not cut."""
    return Said(said(rng, "holding", a_holding_line)[1])


def cut(rng: Dice) -> Said:
    """A part of a phrase: unclear for whatever its words may be."""
    line, sound = said(rng, "phrase", a_phrase)
    while " " not in line.phrase:
        line, sound = said(rng, "phrase", a_phrase)
    part = round(len(sound) * rng.uniform(0.3, 0.6))
    return Said(sound[:part] if rng.random() < 0.5 else sound[-part:], "", within(line.phrase))


def talk(rng: Dice) -> Said:
    """Hall talk or a cue of ours, all of it or a piece."""
    line, sound = said(rng, "talk", some_talk)
    if rng.random() < 0.4 and len(sound) < 2.6 * RATE:
        return Said(sound, "", frozenset(p for p in line.unclear if phrases()[p] in ANYTIME))
    return Said(piece(rng, sound), "", line.unclear)


def own(rng: Dice) -> Said:
    """A cue of ours, by the coach's voice at some pace or by any other, all of it or a piece."""
    text = rng.choice(own_lines())
    ours = material.has("hibari") and rng.random() < 0.7
    voice = Voice("hibari", "heart", rng.choice(OWN_PACES)) if ours else any_voice(rng)
    sound = material.say(voice, text)
    if len(sound) > 2.2 * RATE or rng.random() < 0.5:
        sound = piece(rng, sound)
    return Said(sound, "", within(text))


def word(rng: Dice) -> Said:
    """One or two common words."""
    return Said(said(rng, "word", some_words)[1])


def person(rng: Dice) -> Said:
    """Somebody's phrase or order, all of it or a piece."""
    paths = material.others(rng.half)
    if not paths:
        return talk(rng)
    sound = material.recording(rng.choice(paths))
    return Said(sound if len(sound) < 2.2 * RATE and rng.random() < 0.6 else piece(rng, sound))


def nobody(rng: Dice) -> Said:
    """Noise alone."""
    return Said(np.zeros(round(rng.uniform(0.4, 1.6) * RATE), np.float32))


def piece(rng: Dice, sound: Floats) -> Floats:
    """0.5 to 2.2 s of a sound."""
    n = min(len(sound), round(rng.uniform(0.5, 2.2) * RATE))
    begin = rng.randint(0, len(sound) - n)
    return sound[begin : begin + n]


#: What is said, and how often.
KINDS = (
    (answer, 55), (number, 6), (called, 5), (near_miss, 12), (holding, 6), (cut, 5), (talk, 10),
    (own, 9), (word, 5), (person, 9), (nobody, 5),
)  # fmt: skip


@cache
def beds() -> dict[str, list[Floats]]:
    """Minutes of noise, RMS 1, from talkers and seeds of their own."""
    rng = np.random.default_rng(1017)
    people = material.others("training")
    talkers: list[Floats] = []
    dice = Dice(1017)
    for _ in range(24):
        if people:
            parts = [material.recording(people[i]) for i in rng.integers(0, len(people), 14)]
        else:
            parts = [material.say(any_voice(dice), t) for t in material.hall_talk("training")[:14]]
        talkers.append(np.concatenate(parts))
    made: dict[str, list[Floats]] = {"talkers": [], "babble": [], "hall": [], "recorded": []}
    n = 40 * RATE
    for number in range(6):
        for name, size in (("talkers", int(rng.integers(1, 4))), ("babble", 8)):
            total = np.zeros(n, np.float32)
            for one in rng.choice(24, size, replace=False):
                start = int(rng.integers(0, len(talkers[one])))
                looped = np.take(talkers[one], np.arange(start, start + n), mode="wrap")
                total += looped * np.float32(10 ** (-rng.uniform(0, 6) / 20))
            made[name].append(unit(total))
        made["hall"].append(unit(made["babble"][-1] + unit(music(n, number)) * 0.7 + falls(n, rng)))
    folder = material.speech_folder()
    for path in sorted((folder / "noise").glob("*.flac")) if folder else []:
        made["recorded"].append(unit(material.recording(path)))
    made["recorded"].append(unit(rng.standard_normal(n).astype(np.float32).cumsum() % 1.0 - 0.5))
    return made


def music(n: int, seed: int) -> Floats:
    """Chords on a beat, other ones than the bench's."""
    rng = np.random.default_rng(seed + 77)
    t = np.arange(n) / RATE
    total = np.zeros(n)
    beat = 60 / rng.uniform(85, 150)
    roots = rng.choice([98.0, 110.0, 123.5, 130.8, 146.8, 164.8], 4)
    chord = roots[(t // (4 * beat)).astype(int) % 4]
    for ratio in (1.0, 1.25, 1.5, 2.0, 3.0):
        total += np.sin(2 * np.pi * np.cumsum(chord * ratio) / RATE) / ratio
    total *= 0.6 + 0.4 * np.cos(2 * np.pi * t / beat)
    total += 3 * np.exp(-30 * (t % beat)) * np.sin(2 * np.pi * 55 * (t % beat))
    total += rng.normal(0, 0.8, n) * np.exp(-50 * (t % (beat / 2)))
    return total.astype(np.float32)


def falls(n: int, rng: np.random.Generator) -> Floats:
    """Bodies that fall."""
    total = np.zeros(n, np.float32)
    along = np.arange(RATE // 2) / RATE
    for start in rng.integers(0, n - RATE, n // (3 * RATE)):
        thud = np.exp(-14 * along) * np.sin(2 * np.pi * rng.uniform(50, 100) * along) * 5
        total[start : start + len(along)] += thud + np.exp(-30 * along) * rng.normal(
            0, 2, len(along)
        )
    return total


def unit(sound: npt.NDArray[np.floating]) -> Floats:
    """RMS 1."""
    return np.asarray(sound / np.sqrt(np.mean(np.square(sound, dtype=np.float64))), np.float32)


def changed(rng: Dice, sound: Floats) -> Floats:
    """At another speed, in another band, in a room."""
    if not np.any(sound):
        return sound
    speed = rng.uniform(0.86, 1.16)
    sound = np.asarray(soxr.resample(sound, RATE * speed, RATE), np.float32)
    if rng.random() < 0.5:
        sound = other_throat(sound, rng.uniform(0.84, 1.2))
    spectrum = np.fft.rfft(sound)
    f = np.fft.rfftfreq(len(sound), 1 / RATE)
    tilt = rng.uniform(-5, 5) * np.log2(np.maximum(f, 60) / 1000) / 3
    if rng.random() < 0.45:
        high, low = rng.uniform(2900, 6500), rng.uniform(60, 350)
        tilt = tilt - 40 * (f > high) - 30 * (f < low)
    sound = np.fft.irfft(spectrum * 10 ** (tilt / 20), len(sound)).astype(np.float32)
    if rng.random() < 0.5:
        response = material.room(
            round(rng.uniform(0.15, 1.1), 1), round(rng.uniform(-5, 12)), rng.randrange(6) + 50
        )
        n = len(sound) + min(len(response), round(0.3 * RATE)) - 1
        size = 1 << (len(sound) + len(response)).bit_length()
        wet = np.fft.irfft(np.fft.rfft(sound, size) * np.fft.rfft(response, size), size)
        sound = wet[:n].astype(np.float32)
    return material.levelled(through_a_device(rng, sound))


def through_a_device(rng: Dice, sound: Floats) -> Floats:
    """As a headset or a microphone that is turned up too far gives it, now and then."""
    sound = material.levelled(sound)
    if rng.random() < 0.1:
        most = np.float32(np.abs(sound).max() * rng.uniform(0.3, 0.8))
        sound = np.clip(sound, -most, most)
    if rng.random() < 0.14:
        sound = material.narrow(sound)
    return sound


def other_throat(sound: Floats, ratio: float) -> Floats:
    """The same voice from a throat so many times as short: its resonances move, its pitch stays.

    The spectrum's envelope is its logarithm without the fast part of the cepstrum.
    """
    size, hop = 512, 128
    shape = np.hanning(size + 1)[:-1]
    padded = np.pad(sound, (size, size + hop))
    starts = np.arange(0, len(padded) - size, hop)
    spectra = np.fft.rfft(padded[starts[:, None] + np.arange(size)] * shape)
    cepstra = np.fft.irfft(np.log(np.abs(spectra) + 1e-4))
    slow = size // 20
    cepstra[:, slow : size - slow] = 0.0
    envelope = np.fft.rfft(cepstra).real
    bins = np.arange(envelope.shape[1])
    moved = np.stack([np.interp(bins / ratio, bins, one) for one in envelope])
    pieces = np.fft.irfft(spectra * np.exp(moved - envelope)) * shape
    made = np.zeros(len(padded))
    for start, piece in zip(starts, pieces, strict=True):
        made[start : start + size] += piece
    return np.asarray(made[size : size + len(sound)] / 1.5, np.float32)


def window(rng: Dice, said: Said) -> Floats:
    """The sound as the end-pointer would cut it out of a room."""
    sound = changed(rng, said.sound)
    lead = rng.uniform(0.15, 0.55) if rng.random() < 0.75 else rng.uniform(0.5, 1.1)
    total = np.zeros(round((lead + rng.uniform(0.12, 0.35)) * RATE) + len(sound), np.float32)
    total[round(lead * RATE) : round(lead * RATE) + len(sound)] = sound
    total = total[-round(SPAN * RATE) :]
    floor = rng.uniform(-85, -62)
    total = total + np.random.default_rng(rng.randrange(1 << 30)).normal(
        0, 10 ** (floor / 20), len(total)
    ).astype(np.float32)
    if rng.random() < 0.78:
        name = rng.choice(("hall", "hall", "hall", "babble", "babble", "talkers", "recorded"))
        bed = rng.choice(beds()[name])
        begin = rng.randrange(0, max(1, len(bed) - len(total)))
        over = rng.uniform(4 if name == "talkers" else 0, 24)
        noise = bed[begin : begin + len(total)]
        total[: len(noise)] += noise * np.float32(10 ** ((material.SPEECH_DB - over) / 20))
    if rng.random() < 0.3:  # somebody else, further away
        bed = rng.choice(beds()["talkers"])
        begin = rng.randrange(0, max(1, len(bed) - len(total)))
        noise = bed[begin : begin + len(total)]
        total[: len(noise)] += noise * np.float32(
            10 ** ((material.SPEECH_DB - rng.uniform(10, 24)) / 20)
        )
    loud = np.float32(10 ** (rng.uniform(-12, 8) / 20))
    return np.asarray(np.clip(total * loud, -1, 1), np.float32)


def make(
    scorer: WhisperScorer, folder: Path, count: int, part: int, *, again: int = 1,
    half: str = "training",
) -> None:  # fmt: skip
    """Write one part: frames (n, 150, 384) as float16, phrase indices, unclear ones.

    Each thing said is put into `again` rooms.
    """
    rng = Dice(4000 + part)
    rng.half = half
    names = list(phrases())
    frames = np.lib.format.open_memmap(
        folder / f"frames{part}.npy", "w+", np.float16, (count, 150, 384)
    )
    wanted = np.full(count, -1, np.int16)
    unclear = np.zeros((count, len(names)), bool)
    kinds = [kind for kind, weight in KINDS for _ in range(weight)]
    began, at = time.monotonic(), 0
    while at < count:
        said = rng.choice(kinds)(rng)
        for _ in range(min(again, count - at)):
            frames[at] = scorer.encode(window(rng, said))
            if said.phrase:
                wanted[at] = names.index(said.phrase)
            unclear[at, [names.index(one) for one in said.unclear]] = True
            at += 1
        if at % 100 == 0 or at == count:
            np.savez(
                folder / f"labels{part}.npz", wanted=wanted[:at], unclear=unclear[:at],
                phrases=names,
            )  # fmt: skip
            print(f"part {part}: {at} of {count}, {time.monotonic() - began:.0f} s", flush=True)


def main(arguments: Sequence[str] | None = None) -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--count", type=int, default=6000)
    parser.add_argument("--part", type=int, default=0)
    parser.add_argument("--again", type=int, default=1)
    parser.add_argument("--half", choices=("training", "choosing"), default="training")
    options = parser.parse_args(arguments)
    options.folder.mkdir(parents=True, exist_ok=True)
    make(
        WhisperScorer(), options.folder, options.count, options.part,
        again=options.again, half=options.half,
    )  # fmt: skip


if __name__ == "__main__":
    main()
