"""Which scores are acted on, asked back and ignored: one table for each recogniser.

Which way an answer can move the load decides how cheap it is to give. Missing a 'sore', 'hurt'
or 'stop' is the dangerous error: those are asked about at scores where others are ignored.
Raising the load, ending and skipping need more certainty than going on.
"""

from dataclasses import dataclass

from coach.model.answers import ANYTIME, Answer, Meaning
from coach.model.nature import Tendency
from coach.session.events import Sureness


@dataclass(frozen=True, slots=True)
class Band:
    """From `act` on an answer is sure, from `ask` on unsure, below it was not said."""

    act: float
    ask: float
    margin: float
    """How far the next other answer must be behind for it to be sure."""


@dataclass(frozen=True, slots=True)
class Bands:
    """The bands of one recogniser at one noise."""

    danger: Band
    """Answers that count at any time."""
    lowering: Band
    neutral: Band
    raising: Band
    short: float = 0.0
    """How much more a single word needs to be sure: short words are met by chance."""

    def of(self, answer: Answer) -> Band:
        """The band of an answer."""
        if answer.key in ANYTIME or answer.meaning in (Meaning.FEEL, Meaning.SIGN):
            return self.raising if answer.tendency is Tendency.RAISING else self.danger
        by_tendency = {
            Tendency.LOWERING: self.lowering,
            Tendency.NEUTRAL: self.neutral,
            Tendency.RAISING: self.raising,
        }
        return by_tendency[answer.tendency]


def judge(band: Band, score: float, next_score: float, short: float = 0.0) -> Sureness | None:
    """How surely the best answer was said; None where it is to be ignored.

    `short` is what a single word needs over `act`.
    """
    if score < band.ask:
        return None
    if score >= band.act + short and score - next_score >= band.margin:
        return Sureness.SURE
    return Sureness.UNSURE


#: Recogniser -> (signal over noise in dB from which it holds, bands), quietest first.
_TABLE: dict[str, tuple[tuple[float, Bands], ...]] = {
    # scores are logits with the scorer's part: what was said is mostly over 0, talk under -5
    "whisper": (
        (
            30.0,
            Bands(
                danger=Band(0.0, -4.5, 1.0),
                lowering=Band(0.0, -4.0, 2.0),
                neutral=Band(-1.0, -4.0, 2.0),
                raising=Band(0.5, -3.5, 2.5),
                short=0.5,
            ),
        ),
        (
            18.0,
            Bands(
                danger=Band(-0.5, -4.5, 1.0),
                lowering=Band(0.0, -4.0, 2.0),
                neutral=Band(-1.0, -4.0, 2.0),
                raising=Band(2.0, -3.5, 2.5),
                short=0.5,
            ),
        ),
        (
            8.0,
            Bands(
                danger=Band(0.0, -4.5, 1.0),
                lowering=Band(0.0, -4.0, 2.5),
                neutral=Band(-1.0, -4.0, 3.0),
                raising=Band(1.5, -3.5, 3.0),
                short=0.5,
            ),
        ),
        # hardly over the room: talk from afar and what is left of our own voice more often than not
        (
            -99.0,
            Bands(
                danger=Band(3.0, 2.0, 2.0),
                lowering=Band(3.0, 2.0, 2.0),
                neutral=Band(3.0, 2.0, 2.0),
                raising=Band(4.0, 2.5, 3.0),
                short=0.5,
            ),
        ),
    ),
    # scores are sums of the logs of each word's confidence
    "vosk": (
        (
            -99.0,
            Bands(
                danger=Band(-0.5, -1.5, 0.0),
                lowering=Band(-0.3, -1.0, 0.0),
                neutral=Band(-0.3, -1.0, 0.0),
                raising=Band(-0.1, -0.5, 0.0),
            ),
        ),
    ),
}


def bands(recogniser: str, signal_over_noise: float) -> Bands:
    """The bands of a recogniser for speech that is so many dB over the room."""
    table = _TABLE[recogniser]
    for from_db, found in table:
        if signal_over_noise >= from_db:
            return found
    return table[-1][1]
