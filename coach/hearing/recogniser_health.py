"""A recogniser with its health: what the listener scores with, in this process or another."""

from abc import ABC, abstractmethod
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from coach.hearing.recogniser_port import Recogniser, Scored, Spoken
from coach.session.events import Event


class WatchedRecogniser(ABC):
    """Scores, and says when it went away and came back."""

    @property
    @abstractmethod
    def name(self) -> str:
        """Name of the recogniser: which bands hold."""

    @abstractmethod
    def score(
        self,
        sound: npt.NDArray[np.float32],
        phrases: Sequence[str],
        against: Sequence[str] = (),
        names: Sequence[str] = (),
    ) -> tuple[Scored, ...]:
        """As `Recogniser.score`; empty while the recogniser is away."""

    @abstractmethod
    def keep(self, phrase: str, spoken: Spoken, *, gathered: bool) -> None:
        """Know the voice by this take of a phrase from now on, as `Recogniser.keep`."""

    @abstractmethod
    def changes(self, at: float) -> list[Event]:
        """DeviceLost or DeviceReturned since the last call, as of `at` seconds."""

    @abstractmethod
    def stop(self) -> None:
        """Let go of it; safe to call twice."""


class Here(WatchedRecogniser):
    """A recogniser in this process."""

    def __init__(self, recogniser: Recogniser) -> None:
        self._recogniser = recogniser

    @property
    def name(self) -> str:
        """Name of the recogniser."""
        return self._recogniser.name

    def score(
        self,
        sound: npt.NDArray[np.float32],
        phrases: Sequence[str],
        against: Sequence[str] = (),
        names: Sequence[str] = (),
    ) -> tuple[Scored, ...]:
        """The recogniser's own scores."""
        return self._recogniser.score(sound, phrases, against, *([names] if names else []))

    def keep(self, phrase: str, spoken: Spoken, *, gathered: bool) -> None:
        """The recogniser's own."""
        self._recogniser.keep(phrase, spoken, gathered=gathered)

    def changes(self, at: float) -> list[Event]:
        """Never any."""
        return []

    def stop(self) -> None:
        """Nothing to let go of."""
