"""What a recogniser is to the rest of the program: it scores phrases, it never transcribes."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import numpy.typing as npt

#: Samples a second that recognisers work at.
HEARING_RATE = 16_000


@dataclass(frozen=True, slots=True)
class Scored:
    """One phrase and how well the sound fits it (higher is better)."""

    phrase: str
    score: float


@dataclass(frozen=True, slots=True)
class Spoken:
    """One thing said: sound at HEARING_RATE, and where in it the speech began and ended."""

    sound: npt.NDArray[np.float32]
    onset: int
    end: int


class Recogniser(Protocol):
    """Scores a few phrases against one utterance."""

    name: str
    lacking: str
    """What it works without and what to do about it; '' where it has everything."""

    def score(
        self,
        sound: npt.NDArray[np.float32],
        phrases: Sequence[str],
        against: Sequence[str] = (),
        names: Sequence[str] = (),
    ) -> tuple[Scored, ...]:
        """The phrases best first; empty where the sound fits none of them at all.

        `against` are phrases that mean nothing, such as words of our own voice: they are scored
        beside the others, and need not be where none of those is likely. `names` are those of the
        phrases that are people's names, where it is asked who it is.
        """

    def keep(self, phrase: str, spoken: Spoken, *, gathered: bool) -> None:
        """Know the voice by this take of a phrase from now on; no sound is kept.

        One that is `gathered` was said as an answer: it counts only where the phrase was taught.
        One that can't learn, or not on this disk, goes on as it is.
        """
