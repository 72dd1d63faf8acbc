"""Which engines there are, and which one a voice profile gets."""

from pathlib import Path
from typing import Protocol

from coach.errors import AudioError
from coach.speech.synthesiser_port import Synthesiser, VoiceProfile


class Engine(Synthesiser, Protocol):
    """A synthesiser that can be told apart in a cache and let go of."""

    @property
    def name(self) -> str:
        """As in a voice file's `engine`."""

    @property
    def version(self) -> str:
        """Changes whenever the same text may sound different."""

    def rest(self) -> None:
        """Let go of the memory that its processes hold, until the next sentence."""

    def close(self) -> None:
        """End its processes."""


ENGINES = ("hibari", "espeak-ng", "pyttsx3")


def suiting(profile: VoiceProfile) -> tuple[str, ...]:
    """The engines that can speak for a profile: its own, then the others in the order of ENGINES.

    hibari speaks English only, so it stands in for no profile of another language.
    """
    others = (name for name in ENGINES if name != profile.engine)
    foreign = profile.language != "en"
    return (profile.engine, *(name for name in others if not (foreign and name == "hibari")))


def engine(name: str, log: Path | None = None) -> Engine:
    """The engine called name; AudioError with what to install, or with the names there are.

    `log` takes what the engine prints.
    """
    if name == "hibari":
        from coach.speech.hibari import Hibari

        return Hibari(log)
    if name == "espeak-ng":
        from coach.speech.espeak import EspeakNg

        return EspeakNg()
    if name == "pyttsx3":
        from coach.speech.pyttsx import Pyttsx

        return Pyttsx(log)
    raise AudioError(
        f"No speech engine is called {name!r}.", f"Choose one of: {', '.join(ENGINES)}."
    )
