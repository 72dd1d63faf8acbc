"""The chart: what each event does in each phase. Two rules hold this file together.

Everything that decides *whether* an event is taken stands here, for every phase and every event.
What it then does stands in the module named. A pair that can't happen is REFUSED: `step` raises
and changes nothing. A pair that may happen but means nothing is IGNORED.

`docs/states.md` is generated from this table.
"""

from collections.abc import Callable
from typing import Any

from coach.session import answering, checkin, interrupts, noting, replanning, resting, working
from coach.session import asking as questions
from coach.session.draft import Draft
from coach.session.effects import End
from coach.session.events import (
    Answered,
    ClockJumped,
    DeviceLost,
    DeviceReturned,
    Event,
    KeyClaimed,
    NoteKept,
    Reopened,
    SoundEnded,
    SoundStarted,
    SpeechBegan,
    SpeechEnded,
    Started,
    TimePassed,
)
from coach.session.state import After, Phase

Handler = Callable[[Draft, Any], None]

#: Longest that a question waits for speech to end.
LONGEST_SPEECH = 4.0


class RefusedError(Exception):
    """An event that can't happen in this phase; the session is unchanged."""


def refuse(draft: Draft, event: Event) -> None:
    """Raise: this can't happen here."""
    raise RefusedError(f"{type(event).__name__} can't happen while the session is {draft.s.phase}.")


def ignore(draft: Draft, event: Event) -> None:
    """It may happen, and means nothing here."""


def start(draft: Draft, event: Started) -> None:
    """The session begins."""
    checkin.begin(draft)


def speech_began(draft: Draft, event: SpeechBegan) -> None:
    """A question waits for it to end."""
    draft.set(speech=event.onset)


def speech_ended(draft: Draft, event: SpeechEnded) -> None:
    """It was no answer."""
    draft.set(speech=None)


def sound_ended(draft: Draft, event: SoundEnded) -> None:
    """A cue has been said; cut cues and tones lead nowhere."""
    saying = draft.s.saying
    if saying is not None and saying.sound == event.sound:
        _after(draft)


def _after(draft: Draft) -> None:
    after = draft.said()
    if after is After.BEGIN and draft.s.phase is Phase.LEAD_IN and draft.s.running is not None:
        interrupts.begin_work(draft)
    elif after is After.WINDOW:
        questions.window_opens(draft)
    elif after is After.END:
        draft.effects.append(End())


def time_passed(draft: Draft, event: TimePassed) -> None:
    """A time has come: an overdue cue, a closing window, the step, the rest."""
    s = draft.s
    if s.recording is not None and s.recording.overdue <= s.at:
        noting.lost(draft)
    elif s.saying is not None and s.saying.overdue <= s.at:
        _after(draft)
    elif s.asking is not None and s.asking.closes is not None:
        if closing_time(draft) <= s.at:
            draft.set(speech=None)
            answering.unanswered(draft)
    elif s.phase is Phase.WORK:
        if working.work_due(draft):
            replanning.give_up(draft)
    elif s.phase is Phase.REST:
        resting.rest_due(draft)


def closing_time(draft: Draft) -> float:
    """When the window of the question closes; later while somebody speaks."""
    s = draft.s
    assert s.asking is not None
    assert s.asking.closes is not None
    if s.speech is not None and s.speech <= s.asking.closes:
        return max(s.asking.closes, s.speech + LONGEST_SPEECH)
    return s.asking.closes


_EVENTS: tuple[type[Event], ...] = (
    Started,
    Answered,
    SpeechBegan,
    SpeechEnded,
    TimePassed,
    SoundStarted,
    SoundEnded,
    NoteKept,
    DeviceLost,
    DeviceReturned,
    ClockJumped,
    Reopened,
    KeyClaimed,
)

_RUNNING: dict[type[Event], Handler] = {
    Started: refuse,
    Answered: answering.answered,
    SpeechBegan: speech_began,
    SpeechEnded: speech_ended,
    TimePassed: time_passed,
    SoundStarted: ignore,
    SoundEnded: sound_ended,
    NoteKept: noting.kept,
    DeviceLost: interrupts.device_lost,
    DeviceReturned: interrupts.device_returned,
    ClockJumped: interrupts.clock_jumped,
    Reopened: interrupts.reopened,
    KeyClaimed: answering.claimed,
}

TABLE: dict[Phase, dict[type[Event], Handler]] = {
    Phase.NEW: dict.fromkeys(_EVENTS, refuse) | {Started: start},
    Phase.CHECK_IN: _RUNNING,
    Phase.LEAD_IN: _RUNNING,
    Phase.WORK: _RUNNING,
    Phase.REST: _RUNNING,
    Phase.ASK: _RUNNING,
    Phase.PAUSED: _RUNNING,
    Phase.STOPPED: _RUNNING,
    Phase.HURT: _RUNNING,
    Phase.DEBRIEF: _RUNNING,
    Phase.OVER: dict.fromkeys(_EVENTS, ignore)
    | {Started: refuse, Reopened: refuse, SoundEnded: sound_ended, TimePassed: time_passed},
}
