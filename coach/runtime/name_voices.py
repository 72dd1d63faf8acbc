"""At roll-call: which names of a group the ear can't tell, tried once with the voices there are.

One voice says too little: the coach's own is heard nearly always, others are not. So espeak-ng says
each name in several accents beside it, where it is installed. What came of it is kept beside the
rendered sentences, as long as names, voices and ear are the same.
"""

import hashlib
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack, suppress
from dataclasses import replace
from pathlib import Path

import numpy as np
import numpy.typing as npt

from coach.audio.sound_device import Samples
from coach.distribution import program
from coach.errors import AudioError
from coach.files.paths import Paths
from coach.hearing import name_trial
from coach.hearing.child import ChildEngine
from coach.hearing.rate import Downsampler
from coach.hearing.recognisers import check
from coach.model.person import Person
from coach.model.voice_profile import VoiceProfile
from coach.setup.settling import Setup
from coach.speech.engines import Engine, engine, suiting

#: The engine of the accents: its voices that say the names, each with its words a minute (our
#: choice).
ACCENTED = "espeak-ng"
ACCENTS = (
    ("en-gb", 150),
    ("en-us+f3", 165),
    ("en-gb-x-rp+m3", 160),
    ("en-029+f2", 150),
    ("en-us-nyc+m7", 170),
)
#: The only language and recogniser that it was chosen for.
_LANGUAGE, _EAR = "en", "whisper"

Panel = list[tuple[Engine, VoiceProfile]]


def missed(
    setup: Setup, people: Sequence[Person], paths: Paths, tell: Callable[[str], None]
) -> frozenset[int]:
    """Whose names the ear can't tell; nobody's where it can't be tried here.

    It takes about a second for each, which is told before.
    """
    names = {person.who: " ".join(person.name.lower().split()) for person in people if person.name}
    ear = setup.settings.recogniser or _EAR
    if not names or (setup.language.code, ear) != (_LANGUAGE, _EAR):
        return frozenset()
    try:
        check(ear)
        with ExitStack() as stack:
            panel = list(_panel(setup, paths, stack))
            kept = paths.names / f"{_key(names, panel)}.json"
            known = _kept(kept)
            if known is None:
                tell("The names are tried on the ear, once: about a second each.")
                known = _tried(names, panel, setup.language.answers, stack)
                _keep(kept, known)
            return known
    except (AudioError, ImportError):
        return frozenset()  # it is told where the session opens its sound


def _panel(setup: Setup, paths: Paths, stack: ExitStack) -> Iterator[tuple[Engine, VoiceProfile]]:
    """The coach's own voice, then the accents, as far as they are installed."""
    own = _first(suiting(setup.voice), paths.log, stack)
    if own is not None:
        yield own, setup.voice
    accents = own if own and own.name == ACCENTED else _first((ACCENTED,), paths.log, stack)
    if accents is not None:
        profile = replace(setup.voice, engine=ACCENTED, pitch=50)
        for voice, pace in ACCENTS:
            yield accents, replace(profile, voice=voice, words_per_minute=pace)


def _first(names: Sequence[str], log: Path, stack: ExitStack) -> Engine | None:
    """The first engine of these that is there."""
    for name in names:
        with suppress(AudioError, ImportError):
            found = engine(name, log)
            stack.callback(found.close)
            return found
    return None


def _tried(
    names: Mapping[int, str],
    panel: Panel,
    answers: Mapping[str, Sequence[str]],
    stack: ExitStack,
) -> frozenset[int]:
    said = {
        who: [_at_the_ear(one.render(name, profile)) for one, profile in panel]
        for who, name in names.items()
    }
    phrases = {who: (answers[f"person:{who}"][0], name) for who, name in names.items()}
    recogniser = ChildEngine(_EAR)
    stack.callback(recogniser.stop)
    return name_trial.missed(recogniser, said, phrases)


def _at_the_ear(samples: Samples) -> npt.NDArray[np.float32]:
    """The sound at the recogniser's rate, as loud as speech near a microphone."""
    sound = Downsampler().feed(np.pad(samples, (0, 96)))
    return np.asarray(sound * np.float32(0.3 / max(float(np.abs(sound).max()), 1e-6)), np.float32)


def _key(names: Mapping[int, str], panel: Panel) -> str:
    voices = [(one.name, one.version, who.voice, who.words_per_minute) for one, who in panel]
    told = json.dumps([program(), sorted(names.items()), voices], ensure_ascii=False)
    return hashlib.sha256(told.encode()).hexdigest()[:32]


def _kept(path: Path) -> frozenset[int] | None:
    """What came of it before; None where it was never tried, or the file is not whole."""
    try:
        return frozenset(int(who) for who in json.loads(path.read_text("ascii")))
    except (OSError, ValueError, TypeError):
        return None


def _keep(path: Path, missed_names: frozenset[int]) -> None:
    with suppress(OSError):  # it is tried again the next time
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(json.dumps(sorted(missed_names)), "ascii")
