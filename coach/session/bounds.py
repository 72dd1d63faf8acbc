"""How often one thing is said for one cause: a question twice, anything else three times.

A cause is what came from outside last - an answer, a key, a device, sleep - together with the step
and the rest that the session has come to. By time alone steps only get fewer, so no sentence can go
round. Every cue passes here on its way out; one that has been said often enough is left out, and
what was to follow it follows.
"""

from dataclasses import replace

from coach.model.messages import Message
from coach.session.dialogue import Cause, Speech
from coach.session.events import (
    Answered,
    ClockJumped,
    DeviceLost,
    DeviceReturned,
    Event,
    KeyClaimed,
    NoteKept,
    Reopened,
    TakeHeard,
)
from coach.session.state import Phase, Session

#: How often a question and any other cue are said for one cause; and what to do while somebody is
#: hurt, which is said once a minute for ten minutes.
QUESTION, CUE, ADVICE = 2, 3, 14
_ADVICE = ("advice-", "hurt-stay")
#: What comes from outside, by which something may be said anew.
_OUTSIDE = (
    Answered,
    ClockJumped,
    DeviceLost,
    DeviceReturned,
    KeyClaimed,
    NoteKept,
    Reopened,
    TakeHeard,
)


def most(what: Message, *, hurt: bool = False) -> int:
    """How often it may be said for one cause; of somebody who is hurt a question is asked on."""
    if what.key.startswith(_ADVICE):
        return ADVICE
    return QUESTION if what.key.startswith("ask-") and not hurt else CUE


def came(s: Session, event: Event) -> Speech:
    """What came from outside, while the session runs, is a cause of its own."""
    if s.phase is Phase.OVER or not isinstance(event, _OUTSIDE):
        return s.speech
    return replace(s.speech, outside=s.speech.outside + 1)


def counted(s: Session, what: Message) -> Speech:
    """The speech with this cue counted for the cause of now."""
    resting = s.rests.resting
    cause = Cause(
        s.speech.outside, len(s.course.past), resting.since if resting is not None else -1.0
    )
    before = dict(s.speech.told) if s.speech.cause == cause else {}
    told = before | {what: before.get(what, 0) + 1}
    return replace(s.speech, cause=cause, told=tuple(told.items()))


def over(s: Session, what: Message) -> bool:
    """Whether it has been said often enough for the cause of now."""
    return dict(s.speech.told)[what] > most(what, hurt=s.how == "hurt")
