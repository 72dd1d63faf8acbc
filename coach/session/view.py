"""What a screen draws: a value built from the session, never the session itself."""

from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple, Self

from coach.model.messages import Message
from coach.model.plan import Step
from coach.session.dialogue import Window
from coach.session.state import EAR, Phase


class Ear(StrEnum):
    """Whether answers count now."""

    #: a window is open: its answers count
    OPEN = "open"
    #: only stop, pause, hurt and fingers sore count
    SHUT = "shut"
    #: no microphone: keys only
    GONE = "gone"

    @classmethod
    def of(cls, lost: frozenset[str], window: Window | None) -> Self:
        """The ear, from what is lost and the window that is open."""
        if lost & EAR - {"ear"}:
            return cls.GONE
        return cls.SHUT if window is None or lost & EAR else cls.OPEN


class Word(StrEnum):
    """The one word that is read from the mat."""

    READY = "ready"
    STAY = "stay"
    MOVE = "move"
    BREATHE = "breathe"
    CLIMB = "climb"
    HANG = "hang"
    TRY = "try"
    REST = "rest"
    #: a note is being recorded
    NOTE = "note"
    ANSWER = "answer"
    PAUSED = "paused"
    STOPPED = "stopped"
    OVER = "over"


#: The word of each phase, whatever is done in it; work has words of its own.
WORDS = {
    Phase.NEW: Word.READY,
    Phase.CHECK_IN: Word.ANSWER,
    Phase.LEAD_IN: Word.READY,
    Phase.REST: Word.REST,
    Phase.ASK: Word.ANSWER,
    Phase.PAUSED: Word.PAUSED,
    Phase.STOPPED: Word.STOPPED,
    Phase.HURT: Word.STOPPED,
    Phase.DEBRIEF: Word.ANSWER,
    Phase.OVER: Word.OVER,
}


class Stretch(NamedTuple):
    """One step of the day's slope: how long, how heavy, and whether a gate stands before it.

    A tuple, since one is made for each step of the day at every look.
    """

    block: str
    seconds: float
    load: int
    """Highest load of any part of anybody, 0 to 3."""
    gate: str = ""
    """Question that stands at its start, such as 'go-ahead'; '' for none."""
    state: str = "ahead"
    """'past', 'now' or 'ahead'."""

    @classmethod
    def of(cls, step: Step, state: str, gate: str = "") -> Self:
        """The stretch of a step, its rest counted."""
        return cls(step.block.value, step.seconds + step.rest, step.heaviest, gate, state)


@dataclass(frozen=True, slots=True)
class View:
    """Everything a screen or a plain line needs to draw the session at one time."""

    word: Word
    ear: Ear
    counts_from: float | None
    """Timeline second that the shown time counts up from; None when it counts down or stands."""
    counts_to: float | None
    """Timeline second that the shown time counts down to."""
    stands_at: float | None
    """Seconds shown while paused."""
    step: Message
    """Title of the step."""
    cue: Message
    """Its cue, for near reading."""
    form: Message | None
    """What to look for; shown only."""
    answers: tuple[str, ...]
    """Answer keys that count now, the expected one first."""
    heard: Message | None
    """What was last heard or typed."""
    did: Message | None
    """What it did."""
    slope: tuple[Stretch, ...]
    ends_at: float | None
    """Timeline second at which the plan ends; None where it has no end."""
    turn: int = 0
    """Whose turn it is, where that matters."""
    next: int = 0
    """Who is next, where that matters."""
    recording: bool = False
    """A note is being recorded: the only time sound is kept."""
    weighs: int = 0
    """Who may tell a scale's reading of the edge check; 0 for nobody."""
    led: bool = False
    """Whether somebody leads: only their answers have a letter, and people are named by number."""
    idle: frozenset[str] = frozenset()
    """Answers with a letter of their own that mean nothing now: they are not offered."""
    window: int | None = None
    """Number of the window that is open: a key pressed on what is shown belongs to it."""
    asks: int = 0
    """Of several people, whom the open question is asked of; 0 for everybody or nobody."""
