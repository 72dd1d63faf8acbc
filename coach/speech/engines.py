"""Which engines there are, and which one a voice profile gets."""

from pathlib import Path
from typing import Protocol

from coach.errors import AudioError
from coach.speech.port import Synthesiser


class Engine(Synthesiser, Protocol):
    """A synthesiser that can be told apart in a cache and let go of."""

    @property
    def name(self) -> str:
        """As in a voice file's `engine`."""

    @property
    def version(self) -> str:
        """Changes whenever the same text may sound different."""

    def close(self) -> None:
        """End its processes."""


ENGINES = ("espeak-ng", "pyttsx3")


def engine(name: str, log: Path | None = None) -> Engine:
    """The engine called name; AudioError with what to install, or with the names there are.

    `log` takes what the engine prints.
    """
    if name == "espeak-ng":
        from coach.speech.espeak import EspeakNg

        return EspeakNg()
    if name == "pyttsx3":
        from coach.speech.pyttsx import Pyttsx

        return Pyttsx(log)
    raise AudioError(
        f"No speech engine is called {name!r}.", f"Choose one of: {', '.join(ENGINES)}."
    )
