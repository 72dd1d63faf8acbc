"""Takes of the climber's own: what is said in a lesson, and answers that turned out to be meant.

The first session teaches a few phrases. From then on an answer in those words that was surely
heard, acted on and not taken back is a take as well: so her voice of today counts, and not only
that of the first day. It all goes to the recogniser, which keeps no sound.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from coach.hearing.recogniser_health import WatchedRecogniser
from coach.hearing.recogniser_port import Spoken
from coach.model.answers import Meaning, parse
from coach.session.events import TakeHeard

#: Seconds after which an answer that nobody took back counts as meant: our own choice.
MEANT = 20.0

#: Answers that may take back the one before.
BACK = frozenset({Meaning.NO, Meaning.BACK, Meaning.RESUME, Meaning.UNDO})


@dataclass(slots=True)
class OwnTakes:
    """Takes so far, and the answer that is still to turn out to be meant."""

    engine: WatchedRecogniser
    phrases: Mapping[str, Sequence[str]]
    _counts: dict[int, int] = field(default_factory=dict)
    _gathered: set[str] = field(default_factory=set)
    """Phrases of which there is a take of today: another would cost time and tell little."""
    _waiting: tuple[str, Spoken, float] | None = None

    def lesson(self, key: str, window: int, spoken: Spoken, at: float) -> TakeHeard:
        """A take of an answer's first phrase, in the window of its lesson."""
        self._counts[window] = self._counts.get(window, 0) + 1
        self.engine.keep(self.phrases[key][0], spoken, gathered=False)
        return TakeHeard(at, key, self._counts[window])

    def answered(self, key: str, phrase: str, spoken: Spoken | None, at: float) -> None:
        """A sure answer; without its sound it only takes back the one before, or lets it count."""
        if parse(key).meaning in BACK:
            self.doubt()
        self.pass_time(at)
        self._waiting = None
        if spoken is not None and phrase not in self._gathered:
            self._waiting = phrase, spoken, at

    def doubt(self) -> None:
        """What was heard last may not have been meant."""
        self._waiting = None

    def pass_time(self, at: float) -> None:
        """It is so late: what nobody took back was meant."""
        if self._waiting is not None and at - self._waiting[2] >= MEANT:
            phrase, spoken, _ = self._waiting
            self._waiting = None
            self._gathered.add(phrase)
            self.engine.keep(phrase, spoken, gathered=True)
