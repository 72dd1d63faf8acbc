"""Which recognisers there are, by the name that a setting gives."""

from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from coach.distribution import add
from coach.errors import AudioError
from coach.hearing import weights
from coach.hearing.vosk_models import is_model

if TYPE_CHECKING:
    from coach.hearing.recogniser_port import Recogniser

NAMES = ("whisper", "vosk")

#: What the bench measured of each, from docs/hearing.md.
FIGURES = {
    "whisper": "English. Of a person nobody trained on it acted on 97 of 108 digits in a hall "
    "20 dB below the voice and heard 104 with asking back; of neural voices on 595 of 600 answers. "
    "No recordings of people who say these answers were there.",
    "vosk": "any language that has a model. Not measured with these answers; phrases with words "
    "that its model lacks can't be heard.",
}


#: What each can't be without, and the extra of ours that brings it.
_PACKAGES = {"whisper": ("ctranslate2", "tokenizers"), "vosk": ("vosk",)}
_EXTRA = {"whisper": "hearing", "vosk": "vosk"}


def check(name: str, folder: Path | None = None) -> None:
    """AudioError, with what to do, where a glance tells that `load` would fail; loads nothing."""
    if name not in NAMES:
        raise AudioError(f"no recogniser is called {name!r}", f"There are: {', '.join(NAMES)}.")
    missing = [one for one in _PACKAGES[name] if find_spec(one) is None]
    if missing:
        raise AudioError(
            f"no ear: the package {missing[0]} is not installed",
            f"{add(_EXTRA[name])} adds it.",
        )
    if name == "whisper":
        weights.found(folder)
    elif folder is None:
        raise AudioError(
            "vosk needs the folder of a model", "Choose one: coach words model use NAME"
        )
    elif not is_model(folder):
        raise AudioError(
            f"{folder}: no vosk model there (it has neither conf/ nor final.mdl)",
            "Give the unpacked folder of a model with a dynamic graph (HCLr.fst and Gr.fst).",
        )


def load(name: str, folder: Path | None = None, takes: Path | None = None) -> "Recogniser":
    """A recogniser, ready to score; AudioError with what to do where it can't be had.

    `takes` is the folder of what the climber taught, which only our own recogniser can use.
    """
    check(name, folder)
    if name == "whisper":
        from coach.hearing.scorer import WhisperScorer

        scorer = WhisperScorer(folder)
        if takes is not None:
            scorer.learn(takes)
        return scorer
    from coach.hearing.vosk_engine import VoskRecogniser

    assert folder is not None
    return VoskRecogniser(folder)
