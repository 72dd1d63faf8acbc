"""Which recognisers there are, by the name that a setting gives."""

from pathlib import Path

from coach.errors import AudioError
from coach.hearing.port import Recogniser

NAMES = ("whisper", "vosk")

#: What the bench measured of each, from docs/hearing.md.
FIGURES = {
    "whisper": "English. In a simulated hall 20 dB below the voice it acted on 259 of 260 answers "
    "and asked 1 back; of short answers at 10 dB about 6 in 7 are heard. No recordings of people "
    "who say these answers were there.",
    "vosk": "any language that has a model. Not measured with these answers; phrases with words "
    "that its model lacks can't be heard.",
}


def load(name: str, folder: Path | None = None, takes: Path | None = None) -> Recogniser:
    """A recogniser, ready to score; AudioError with what to do where it can't be had.

    `takes` is the folder of what the climber taught, which only our own recogniser can use.
    """
    if name == "whisper":
        from coach.hearing.scorer import WhisperScorer

        scorer = WhisperScorer(folder)
        if takes is not None:
            scorer.learn(takes)
        return scorer
    if name == "vosk":
        from coach.hearing.vosk_engine import VoskRecogniser

        if folder is None:
            raise AudioError(
                "vosk needs the folder of a model", "Choose one: coach words model use NAME"
            )
        return VoskRecogniser(folder)
    raise AudioError(f"no recogniser is called {name!r}", f"There are: {', '.join(NAMES)}.")
