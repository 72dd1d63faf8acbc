"""The chart: what each event does in each phase, and which phases it may lead to.

`step` takes an event by this table alone. A pair that can't happen has no line here: `step` raises
and changes nothing. A phase that a line does not name can't be entered by it: `Draft.enter` raises.
`docs/states.md` is this table, written out.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from coach.model.messages import message
from coach.model.plan import StepKind
from coach.session import (
    admission,
    asked_questions,
    changes,
    checkin,
    devices,
    endings,
    lessons,
    notes,
    pauses,
    rests,
    steps,
)
from coach.session.dialogue import After
from coach.session.draft import Draft
from coach.session.effects import End, Tone
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
    TakeHeard,
    TimePassed,
)
from coach.session.state import Phase
from coach.session.waits import Awaited, awaited

Handler = Callable[[Draft, Any], None]


@dataclass(frozen=True, slots=True)
class Line:
    """What an event does in a phase."""

    handler: Handler
    to: frozenset[Phase] = frozenset()
    """The phases that it may lead to, beside the one that it came in."""


def ignore(draft: Draft, event: Event) -> None:
    """It may happen, and means nothing here."""


def start(draft: Draft, event: Started) -> None:
    """The session begins."""
    checkin.begin(draft)


def speech_began(draft: Draft, event: SpeechBegan) -> None:
    """A question waits for it to end."""
    draft.listening = replace(draft.listening, speech=event.onset)


def speech_ended(draft: Draft, event: SpeechEnded) -> None:
    """It was no answer; while a question is open its climber is told so, once each time."""
    draft.listening = replace(draft.listening, speech=None)
    asking, window = draft.questions.asking, draft.s.window
    if asking is None or asking.closes is None or asking.unclear or window is None:
        return
    if event.onset >= window.opens:
        draft.questions = replace(draft.questions, asking=replace(asking, unclear=True))
        draft.show(message("not-understood"))
        draft.tone(Tone.UNCLEAR)


def sound_ended(draft: Draft, event: SoundEnded) -> None:
    """A cue has been said; cut cues and tones lead nowhere."""
    saying = draft.speech.saying
    if saying is not None and saying.sound == event.sound:
        _cue_said(draft)


def _cue_said(draft: Draft) -> None:
    after = draft.said()
    begins = draft.s.phase is Phase.LEAD_IN and draft.course.running is not None
    if after is After.BEGIN and begins:
        pauses.begin_work(draft)
    elif after is After.WINDOW:
        asked_questions.window_opens(draft)
    elif after is After.END:
        draft.effects.append(End())


def _answer_untold(draft: Draft) -> None:
    draft.listening = replace(draft.listening, speech=None)
    admission.unanswered(draft)


def _step_due(draft: Draft) -> None:
    running = draft.course.running
    if not steps.due(draft):
        return
    if running is not None and running.step.kind is StepKind.TRY:
        # nobody is called onto a landing of which nobody said that it is clear
        pauses.stop(draft, running.step.turn, by_itself=True)
    else:
        changes.give_up(draft)


def _go_on(draft: Draft) -> None:
    draft.go_on = True


#: What is done when the time of what is awaited has come.
DUE: Mapping[Awaited, Callable[[Draft], None]] = {
    Awaited.NOTE: notes.lost,
    Awaited.CUE: _cue_said,
    Awaited.ANSWER: _answer_untold,
    Awaited.STEP: _step_due,
    Awaited.REST: rests.due,
    Awaited.STANDING: pauses.still,
    Awaited.TIME_UP: endings.time_up,
    Awaited.NOTHING: _go_on,
}


def time_passed(draft: Draft, event: TimePassed) -> None:
    """The time of what is awaited has come, or not yet."""
    wait = awaited(draft.s)
    if wait is not None and wait.until <= draft.now:
        DUE[wait.what](draft)


_STILL = frozenset({Phase.PAUSED, Phase.STOPPED, Phase.HURT})
#: Where a session comes by going on: the next step, rest or question, or the end of all steps; and
#: a rule of planning may want to know whether it goes on at all.
_ON = frozenset(
    # whoever was hurt is asked no last question: all steps done, it is over
    {
        *(Phase.LEAD_IN, Phase.REST, Phase.ASK, Phase.DEBRIEF),
        *(Phase.STOPPED, Phase.HURT, Phase.OVER),
    }
)
#: And before there is a plan.
_FIRST = _ON | {Phase.CHECK_IN}

#: What counts alike in every phase of a session that has begun and is not over.
_ALWAYS: dict[type[Event], Line] = {
    SpeechBegan: Line(speech_began),
    SpeechEnded: Line(speech_ended),
    SoundStarted: Line(ignore),
    DeviceLost: Line(devices.lost),
    DeviceReturned: Line(devices.returned),
    # said in a window that has closed since
    TakeHeard: Line(ignore),
}


def _row(
    said: frozenset[Phase],
    time: frozenset[Phase],
    sound: frozenset[Phase] = frozenset(),
    slept: frozenset[Phase] = frozenset({Phase.PAUSED}),
    again: frozenset[Phase] = frozenset(),
    noted: frozenset[Phase] = frozenset(),
) -> dict[type[Event], Line]:
    """A phase: where answers, time, the end of a cue, sleep, a crash, a note may lead from it."""
    return _ALWAYS | {
        Answered: Line(admission.answered, said),
        KeyClaimed: Line(admission.claimed, said & _ON),
        # silence to "who is it?" counts for everybody, and somebody may be hurt
        TimePassed: Line(time_passed, time | {Phase.HURT}),
        SoundEnded: Line(sound_ended, sound),
        NoteKept: Line(notes.kept, noted),
        ClockJumped: Line(pauses.clock_jumped, slept),
        Reopened: Line(pauses.reopened, again | {Phase.OVER}),
    }


_BEGINS = frozenset({Phase.WORK, Phase.PAUSED})
#: Where standing still comes to by time alone.
_SAVED = frozenset({Phase.OVER})

CHART: dict[Phase, dict[type[Event], Line]] = {
    Phase.NEW: {Started: Line(start, _FIRST)},
    Phase.CHECK_IN: _row(said=_FIRST | _STILL, time=_FIRST, again=_FIRST)
    | {TakeHeard: Line(lessons.heard, _FIRST)},
    Phase.LEAD_IN: _row(
        # a cue that nobody reports the end of is over by time
        said=_ON | _STILL,
        time=_BEGINS | _ON,
        sound=_BEGINS,
        again=_ON,
    ),
    Phase.WORK: _row(said=_ON | _STILL, time=_ON, again=_ON),
    Phase.REST: _row(said=_ON | _STILL, time=_ON, again=_ON, noted=_ON),
    Phase.ASK: _row(
        # a question may be asked beside work that goes on, and before there is a plan
        said=_FIRST | _STILL | {Phase.WORK},
        time=_FIRST | {Phase.WORK},
        again=_FIRST,
    ),
    Phase.PAUSED: _row(
        said=_FIRST | {Phase.WORK, Phase.STOPPED, Phase.HURT},
        time=_SAVED,
        slept=frozenset(),
    ),
    Phase.STOPPED: _row(
        said=_FIRST | {Phase.WORK, Phase.HURT},
        time=_SAVED,
        slept=frozenset(),
    ),
    Phase.HURT: _row(
        said=_FIRST | {Phase.WORK},
        time=_SAVED,
        slept=frozenset(),
    ),
    Phase.DEBRIEF: _row(said=_ON | _STILL | {Phase.OVER}, time=_SAVED, again=_ON),
    Phase.OVER: {
        TimePassed: Line(time_passed),
        SoundEnded: Line(sound_ended),
        **dict.fromkeys(
            (
                Answered,
                KeyClaimed,
                SpeechBegan,
                SpeechEnded,
                SoundStarted,
                TakeHeard,
                NoteKept,
                DeviceLost,
                DeviceReturned,
                ClockJumped,
            ),
            Line(ignore),
        ),
    },
}
