"""Events: frozen facts in the past tense, with the time they began on the session's timeline."""

from dataclasses import dataclass
from enum import StrEnum
from typing import ClassVar

from coach.model.answers import Answer
from coach.model.messages import Message


class Source(StrEnum):
    """Where an answer came from."""

    VOICE = "voice"
    KEY = "key"
    FILE = "file"


class Sureness(StrEnum):
    """How sure the hearing is; a key is always sure."""

    SURE = "sure"
    #: heard, but not surely: anything that ends, skips or raises is asked back
    UNSURE = "unsure"


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened."""

    outside: ClassVar[bool] = False
    """Whether it comes from outside: an answer, a key, a device, sleep. Time does not."""

    at: float
    """Seconds on the session's timeline when it became known."""


@dataclass(frozen=True, slots=True)
class Started(Event):
    """The session began."""


@dataclass(frozen=True, slots=True)
class Answered(Event):
    """A person answered, by voice or key."""

    outside: ClassVar[bool] = True

    answer: Answer
    who: int = 1
    onset: float = 0.0
    """When the speech (or the key) began: decides which window it belongs to."""
    window: int | None = None
    """The window that was open at the onset, as the hearing saw it; None for an ANYTIME answer."""
    source: Source = Source.KEY
    sureness: Sureness = Sureness.SURE
    score: float = 0.0
    """The recogniser's score, for the record only."""
    addressed: bool = False
    """Whether the address word came first."""
    also: tuple[Answer, ...] = ()
    """What else the same breath told of the try that the answer is about."""
    by: str = ""
    """The role of the page that it was pressed on, such as 'leader'; '' for voice and keys here."""


@dataclass(frozen=True, slots=True)
class SpeechBegan(Event):
    """Somebody began to speak while a window was open: a question waits for it to end."""

    onset: float


@dataclass(frozen=True, slots=True)
class SpeechEnded(Event):
    """The speech ended and was no answer."""

    onset: float


@dataclass(frozen=True, slots=True)
class TakeHeard(Event):
    """In a window that teaches its phrase was said, for the `takes`-th time."""

    outside: ClassVar[bool] = True

    answer: str
    """Key of the answer that the phrase means."""
    takes: int


@dataclass(frozen=True, slots=True)
class TimePassed(Event):
    """A time that a WakeAt asked for has come."""


@dataclass(frozen=True, slots=True)
class SoundStarted(Event):
    """A cue or tone started to leave the device; `at` is its first sample."""

    sound: int
    what: Message
    seconds: float = 0.0


@dataclass(frozen=True, slots=True)
class SoundEnded(Event):
    """A cue or tone ended, by itself or cut."""

    sound: int
    cut: bool = False


@dataclass(frozen=True, slots=True)
class NoteKept(Event):
    """The recording of a note ended."""

    outside: ClassVar[bool] = True

    name: str
    seconds: float
    """How much of it is in its file; 0 where nothing was kept."""
    why: str
    """'silence', 'full', 'ended', 'microphone', or 'disk': it could not be written."""


#: Why a device is not there where nobody wanted one: no loss, and nothing to tell.
UNWANTED = "no sound was wanted"

#: Why the ear is not there while what it hears with still loads: no loss either.
COMING = "it is getting ready"


#: What is lost where talk around is taken for answers too often to be asked about.
QUIET = "quiet"

#: The device that is lost while nothing can be saved: what happens is held, and the day goes on.
JOURNAL = "journal"


@dataclass(frozen=True, slots=True)
class DeviceLost(Event):
    """The microphone, the speaker or a child process went away; keys carry on."""

    outside: ClassVar[bool] = True

    device: str
    """'microphone', 'speaker', 'recogniser', 'synthesiser', JOURNAL; 'ear' only while COMING."""
    why: str


@dataclass(frozen=True, slots=True)
class DeviceReturned(Event):
    """It is back."""

    outside: ClassVar[bool] = True

    device: str


@dataclass(frozen=True, slots=True)
class ClockJumped(Event):
    """The machine slept, or the process was stopped: seconds on the wall that nobody played."""

    outside: ClassVar[bool] = True

    seconds: float


@dataclass(frozen=True, slots=True)
class Reopened(Event):
    """The session was taken up again after a crash: seconds on the wall since its last event."""

    outside: ClassVar[bool] = True

    seconds: float


@dataclass(frozen=True, slots=True)
class KeyClaimed(Event):
    """A person stated by key what no voice may state: 'cleared:fingers', 'reading:42.5'."""

    outside: ClassVar[bool] = True

    claim: str
    who: int = 1
