"""The second recogniser: vosk with a model folder that the user brings, for any language.

Grammar mode, one grammar for each utterance. A model knows a fixed set of words; phrases with
others can't be heard, and vosk itself only drops them in silence, so they are asked for and
reported when a language pack is loaded.
"""

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from coach.errors import AudioError
from coach.hearing.recogniser_port import HEARING_RATE, Scored, Spoken
from coach.hearing.vocabulary import words


@dataclass(frozen=True, slots=True)
class Unknown:
    """A phrase that the model can't hear, and the word it lacks."""

    key: str
    phrase: str
    word: str

    def says(self, file: Path | str) -> str:
        """One line for the user: file, answer, phrase and word."""
        return f"{file}: {self.key}: {self.phrase!r} has a word that the model lacks: {self.word!r}"


class VoskRecogniser:
    """Scores phrases by vosk's own confidence in their words."""

    name = "vosk"
    lacking = ""

    def __init__(self, folder: Path) -> None:
        """Load a model; AudioError with what to do where the folder or vosk is no good."""
        try:
            import vosk
        except (ImportError, OSError) as error:
            raise AudioError(f"vosk can't be loaded: {error}", "pip install vosk") from error
        vosk.SetLogLevel(-1)
        try:
            self._model = vosk.Model(str(folder))
        except Exception as error:
            raise AudioError(
                f"{folder}: vosk can't load this model: {error}", "Unpack it again, or use another."
            ) from error
        self._make = vosk.KaldiRecognizer

    def knows(self, word: str) -> bool:
        """Whether the model has a word."""
        return int(self._model.vosk_model_find_word(word)) >= 0

    def unknown(self, phrases: Mapping[str, Sequence[str]]) -> list[Unknown]:
        """Every phrase with a word that the model lacks, answer key -> phrases given."""
        return [
            Unknown(key, phrase, word)
            for key, some in phrases.items()
            for phrase in some
            for word in words(phrase).split()
            if not self.knows(word)
        ]

    def keep(self, phrase: str, spoken: Spoken, *, gathered: bool) -> None:
        """It can't learn a voice."""

    def score(
        self,
        sound: npt.NDArray[np.float32],
        phrases: Sequence[str],
        against: Sequence[str] = (),
        names: Sequence[str] = (),
    ) -> tuple[Scored, ...]:
        """At most one phrase, with the sum of the logs of its words' confidences (0 at best).

        A path that is no whole phrase is no result.
        """
        spoken = {words(phrase): phrase for phrase in (*phrases, *against)}
        usable = [text for text in spoken if all(self.knows(word) for word in text.split())]
        if not usable:
            return ()
        grammar = [*usable, "[unk]"] if self.knows("[unk]") else usable
        recogniser = self._make(self._model, HEARING_RATE, json.dumps(grammar, ensure_ascii=False))
        recogniser.SetWords(True)
        recogniser.AcceptWaveform((np.clip(sound, -1, 1) * 32767).astype("<i2").tobytes())
        result = json.loads(recogniser.FinalResult())
        phrase = spoken.get(result.get("text", ""))
        if phrase is None:
            return ()
        sureness = sum(math.log(max(word["conf"], 1e-3)) for word in result.get("result", ()))
        return (Scored(phrase, sureness),)
