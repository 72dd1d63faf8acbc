"""The step that runs: lead-in, work, its end. Times are absolute."""

from dataclasses import replace

from coach.model.answers import Answer, Meaning
from coach.model.messages import message
from coach.model.plan import Step, StepKind
from coach.model.questions import MOST
from coach.planning import timeline
from coach.planning import try_trend as judged
from coach.session import (
    asked_questions,
    coaching,
    goes,
    notes,
    patience,
    readings,
    try_outcomes,
    windows,
)
from coach.session.cues import cues, movement_of, work_answers
from coach.session.dialogue import After
from coach.session.draft import Draft
from coach.session.effects import LEAD, Tone
from coach.session.state import Phase
from coach.session.step_end import TIMED, end_step, end_try
from coach.session.timers import Running

#: Seconds after which a batch of boulders, a try or repetitions may be told done.
FIRST_DONE = {StepKind.CLIMB: 10.0, StepKind.TRY: 3.0}


def take_up(draft: Draft, step: Step) -> None:
    """Lead in the interrupted step again, as it is now.

    What was done of it stays done: goes, counts and seconds are never given back.
    """
    old = draft.course.running
    assert old is not None
    left = None if old.left is None else min(old.left, _length(draft, step))
    lead_in(draft, step)
    draft.course = replace(
        draft.course, running=replace(old, step=step, left=left, between=False, nudged=False)
    )


def lead_in(draft: Draft, step: Step) -> None:
    """Say the cue; the work begins when it has been said."""
    draft.enter(Phase.LEAD_IN)
    draft.course = replace(draft.course, running=Running(step))
    draft.questions = replace(draft.questions, asking=None)
    draft.rests = replace(draft.rests, resting=None)
    readings.step_begins(draft, step)
    if step.kind is StepKind.TRY:
        coaching.remember(draft, step.turn or 1)
        notes.play(draft, step.turn or 1)
        coaching.show_plan(draft, step.turn or 1)
    for cue in cues(draft, step):
        draft.say(cue)
    if movement_of(step):
        draft.course = replace(draft.course, afresh=False)
    _attach(draft, After.BEGIN)
    if not step.on_the_wall:
        # nothing has begun that could be done; any key says the cue once more
        begun = [key for key in answers_of(draft, step) if key not in ("done", "again")]
        draft.open_window(("again", *begun), step.turn)
    elif (missed := windows.missed(draft.s)) is not None:
        draft.open_window(asked_questions.answers_of(missed.asking), missed.asking.who)
    elif windows.unopened(draft.s):
        draft.open_window(windows.LATE_GO)


def answers_of(draft: Draft, step: Step) -> tuple[str, ...]:
    """The answers that count while a step runs, the expected one first."""
    if step.kind is not StepKind.TRY:
        return work_answers(step)
    ends, running = try_outcomes.end_answers(draft, step.turn or 1), draft.course.running
    started = running is not None and running.told_start
    # it only makes the time exact: where the ends need all the room, it gives way
    return ends if started or len(ends) == MOST else (*ends, "starting")


def start_try(draft: Draft) -> bool:
    """The try that runs begins only now, as its climber says; False where none runs."""
    running = draft.course.running
    if running is None or running.step.kind is not StepKind.TRY or draft.s.phase is not Phase.WORK:
        return False
    nudge = draft.now + _patience(draft, running.step)
    draft.course = replace(
        draft.course,
        running=replace(running, since=draft.now, opens=None, nudge=nudge, told_start=True),
    )
    draft.open_window(answers_of(draft, running.step), running.step.turn)
    return True


def _attach(draft: Draft, after: After) -> None:
    """Let the last cue of the queue be followed by something."""
    if draft.speech.queue:
        *head, last = draft.speech.queue
        draft.speech = replace(draft.speech, queue=(*head, replace(last, after=after)))
    else:
        assert draft.speech.saying is not None
        draft.speech = replace(draft.speech, saying=replace(draft.speech.saying, after=after))


def begin_work(draft: Draft) -> None:
    """The cue has been said: the start tone, then the step runs from that very sample."""
    running = draft.course.running
    assert running is not None
    step = running.step
    start = max(draft.now + LEAD, timeline.ready(step, timeline.of_day(draft.day)))
    draft.tone(Tone.START, start)
    seconds = running.left if running.left is not None else _length(draft, step)
    until = start + seconds if step.kind in TIMED else None
    if until is not None:
        draft.tone(Tone.END, until)
    wait = FIRST_DONE.get(step.kind)
    draft.enter(Phase.WORK)
    if step.kind is StepKind.CLIMB and windows.unopened(draft.s):
        draft.open_window(windows.LATE_GO)  # until it may be told done
    elif step.on_the_wall or wait is not None:
        draft.close_window()
    else:
        draft.open_window(answers_of(draft, step), step.turn)
    draft.course = replace(
        draft.course,
        running=replace(
            running,
            since=start,
            until=until,
            left=None,
            between=False,
            opens=start + wait if wait is not None else None,
            nudge=None if until is not None else start + _patience(draft, step),
        ),
    )


def climb_on(draft: Draft) -> None:
    """A batch that was asked about goes on: whoever climbs has not left the wall."""
    running = draft.course.running
    assert running is not None
    draft.enter(Phase.WORK)
    nudge = draft.now + _patience(draft, running.step)
    draft.course = replace(
        draft.course, running=replace(running, since=draft.now, opens=None, nudge=nudge)
    )
    draft.open_window(answers_of(draft, running.step), running.step.turn)


def _patience(draft: Draft, step: Step) -> float:
    """Seconds after which it is asked whether a step is over: a try, after their own longest."""
    if _unheard(draft, step):
        return patience.asked_in_time(step, draft.day.ends_at - draft.now)
    return patience.asked_after(step, judged.longest(draft.tries.went, step.turn or 1))


def _unheard(draft: Draft, step: Step) -> bool:
    """Whether it is a batch after one of which nobody told the end: her minutes end it."""
    return step.kind is StepKind.CLIMB and draft.course.silent


def _length(draft: Draft, step: Step) -> float:
    """Seconds of the work, or of one go of a dose."""
    if step.kind is not StepKind.DOSE:
        return step.seconds
    movement = draft.s.library.movements.get(movement_of(step))
    return movement.seconds_each if movement is not None else step.seconds / max(step.most, 1)


def due(draft: Draft) -> bool:
    """A time of the running step has come; whether it is given up, as nobody told its end."""
    running = draft.course.running
    assert running is not None
    step, now = running.step, draft.now
    if running.until is not None and now >= running.until:
        if step.kind is StepKind.DOSE:
            goes.end_go(draft)
        else:
            end_step(draft, "done")
    elif running.opens is not None and now >= running.opens:
        draft.course = replace(draft.course, running=replace(running, opens=None))
        draft.tone(Tone.OPEN)
        draft.open_window(answers_of(draft, step), step.turn)
    elif running.nudge is not None and now >= running.nudge:
        return _untold(draft, running)
    return False


def _untold(draft: Draft, running: Running) -> bool:
    """Nobody told the end: it is asked once. Whether that has been done, and it is given up."""
    step = running.step
    if not running.nudged:
        wait = patience.left_after(step)
        if _unheard(draft, step):
            wait = patience.left_in_time(step, draft.day.ends_at - draft.now)
        later = draft.now + wait
        draft.course = replace(draft.course, running=replace(running, nudge=later, nudged=True))
        several = step.kind is StepKind.TRY and len(draft.s.people) > 1
        draft.say(message("nudge-landing" if several else "nudge"))
    elif step.kind is StepKind.TRY and len(draft.s.people) == 1:
        end_try(draft, Answer(Meaning.SILENCE))
    else:
        return True
    return False


def interrupt(draft: Draft) -> None:
    """Stand still: silence, no window, and what was timed keeps what is left of it."""
    draft.hush()
    draft.close_window()
    running = draft.course.running
    if running is None or running.since is None:
        return
    now = draft.now
    worked = running.worked + max(now - running.since, 0.0)
    left = max(running.until - now, 0.0) if running.until is not None else None
    if now < running.since and running.until is not None:
        left = running.until - running.since
    draft.course = replace(
        draft.course,
        running=replace(
            running, since=None, until=None, left=left, worked=worked, opens=None, nudge=None
        ),
    )
