"""Which recognisers there are, by the name that a setting gives."""

from pathlib import Path

from coach.errors import AudioError
from coach.hearing.port import Recogniser

NAMES = ("whisper", "vosk")


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
            raise AudioError("vosk needs the folder of a model", "Set it in the settings.")
        return VoskRecogniser(folder)
    raise AudioError(f"no recogniser is called {name!r}", f"There are: {', '.join(NAMES)}.")
