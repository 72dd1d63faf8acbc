"""Effects: frozen requests in the imperative, carried out after the event is on disk."""

from dataclasses import dataclass
from enum import StrEnum

from coach.model.facts import Fact
from coach.model.messages import Message


class Tone(StrEnum):
    """The short sounds, each with one meaning."""

    #: a window opens: answer now
    OPEN = "open"
    #: work starts now
    START = "start"
    #: work ends now
    END = "end"
    #: heard and done
    HEARD = "heard"
    #: heard, and not taken now
    NOT_NOW = "not-now"
    #: heard while a question was open, and not understood
    UNCLEAR = "unclear"
    #: everybody changes places: carries across a hall
    WHISTLE = "whistle"
    #: one sync sound at the start of a session
    SYNC = "sync"


@dataclass(frozen=True, slots=True)
class Effect:
    """Something to do."""


@dataclass(frozen=True, slots=True)
class Say(Effect):
    """Say a message. `sound` names it in SoundStarted and SoundEnded."""

    sound: int
    what: Message
    at: float
    """Not before this time; LEAD or more after the event, so that a commit never delays it."""
    on_the_move: bool = False
    """Somebody hangs or climbs while it is said."""
    for_the_room: bool = False
    """Louder: somebody who is hurt did not answer, and others may hear it."""


@dataclass(frozen=True, slots=True)
class Play(Effect):
    """Play a tone at a time."""

    sound: int
    tone: Tone
    at: float


@dataclass(frozen=True, slots=True)
class PlayNote(Effect):
    """Play a note that was kept; `sound` names it in SoundStarted and SoundEnded."""

    sound: int
    name: str
    at: float


@dataclass(frozen=True, slots=True)
class KeepNote(Effect):
    """Keep what the microphone hears from `at` on, until silence or `most` seconds.

    The one thing that is ever kept of it. NoteKept tells the end.
    """

    name: str
    at: float
    most: float


@dataclass(frozen=True, slots=True)
class EndNote(Effect):
    """Keep no more: what there is of the note is kept. Nothing where none is being kept."""


@dataclass(frozen=True, slots=True)
class Cut(Effect):
    """Silence every cue that sounds or waits; with `keep`, all but that sound."""

    keep: int | None = None


@dataclass(frozen=True, slots=True)
class OpenWindow(Effect):
    """From `at` on these answers count; an earlier window closes."""

    window: int
    answers: tuple[str, ...]
    """2 to 8 answer keys."""
    at: float
    who: int = 0
    """Whose answer is asked for; 0 is anybody's."""
    beside: tuple[str, ...] = ()
    """Answer keys that count too, though the window does not ask for them."""
    teaches: str = ""
    """The answer whose first phrase is said in it to know the voice by: it is not obeyed."""


@dataclass(frozen=True, slots=True)
class CloseWindow(Effect):
    """The window takes no answer that begins after `at`."""

    window: int
    at: float


@dataclass(frozen=True, slots=True)
class WakeAt(Effect):
    """Send TimePassed at this time; one wake at a time, the latest request holds."""

    at: float


@dataclass(frozen=True, slots=True)
class Record(Effect):
    """Commit a fact, in the same transaction as the event that caused it."""

    fact: Fact


@dataclass(frozen=True, slots=True)
class End(Effect):
    """The session is over: stop the loop once the last sound has ended."""


#: Seconds ahead of the event that a sound is scheduled, and the first of a session: before that
#: nothing sounds and nobody counts, so that it may be late.
LEAD, FIRST_LEAD = 0.3, 0.05
