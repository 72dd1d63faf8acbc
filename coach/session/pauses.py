"""What breaks into a session: pause, stop, hurt, a machine that slept, a crash."""

from dataclasses import replace

from coach import planning
from coach.model.answers import Answer, Meaning
from coach.model.messages import Message, message
from coach.model.plan import StepKind
from coach.session import asked_questions, changes, course, endings, notes, step_end, steps
from coach.session.dialogue import Asking
from coach.session.draft import Draft
from coach.session.events import ClockJumped, Reopened
from coach.session.state import Phase
from coach.session.waits import STANDING, leaves_at

#: A machine that stood still for less is no pause: the session goes on, only later.
STALL = 30.0
#: After standing still for longer, what runs is told whole again, not by its other side alone.
FORGOTTEN = 30.0
#: A session that was left longer than this is closed, not taken up again.
TOO_LONG = 3 * 3600.0
_PAUSED = message("paused")
_STANDING = frozenset({Phase.PAUSED, Phase.STOPPED, Phase.HURT})


def _stand_still(draft: Draft) -> None:
    """Timers and sounds end; a question that was open is asked again later."""
    notes.end(draft)
    _moved_so_far(draft)
    steps.interrupt(draft)
    asked_questions.put_off(draft, first=True)
    draft.listening = replace(draft.listening, speech=None)
    if draft.standing.paused_since is None:
        draft.standing = replace(draft.standing, paused_since=draft.now)


def _moved_so_far(draft: Draft) -> None:
    """Who works in a step moves in it, for as long as it was meant to take."""
    running = draft.course.running
    if running is not None and running.since is not None and draft.s.phase is Phase.WORK:
        moved = min(draft.now, running.since + running.step.seconds)
        draft.course = replace(draft.course, idle_since=max(draft.course.idle_since, moved))


def pause(draft: Draft, words: Message = _PAUSED) -> None:
    """Stand still until 'resume'."""
    if draft.s.phase in _STANDING:
        draft.show(_PAUSED)
        return
    _stand_still(draft)
    draft.enter(Phase.PAUSED)
    draft.tell(words)
    draft.open_window(course.pause_answers(draft.s))


def begin_work(draft: Draft) -> None:
    """The cue of a step has been said: it begins, unless nobody could call 'stop' in it.

    With the ear gone no hang and no hard try begins before a key has said so.
    """
    running, s = draft.course.running, draft.s
    assert running is not None
    step, allowed = running.step, s.devices.allowed
    draft.devices = replace(draft.devices, allowed=False)
    if s.devices.deaf and not allowed and (step.hangs or step.kind is StepKind.TRY):
        pause(draft, message("key-first"))
    else:
        steps.begin_work(draft)


def stop(draft: Draft, who: int, *, by_itself: bool = False) -> None:
    """Stand still and ask: carry on or finish."""
    if draft.s.phase in (Phase.STOPPED, Phase.HURT):
        draft.show(_PAUSED)
        return
    _stand_still(draft)
    draft.standing = replace(draft.standing, by_itself=by_itself)
    draft.enter(Phase.STOPPED)
    asked_questions.begin(draft, Asking("carry-on", who))


def hurt(draft: Draft, who: int, *, known: bool = True) -> None:
    """Timers end for good; what to do comes first. `known` is whether it is clear who is hurt."""
    _stand_still(draft)
    running = draft.course.running
    if running is not None:
        if running.step.floor:
            skip = Answer(Meaning.SKIP)
            s = draft.s
            change = planning.adapt(draft.day, s.course.steps, s.at, who, skip, "", s.library)
            draft.take(change, "hurt", quiet=True)
        step_end.leave(draft, "cut")
    draft.go_on = False
    draft.enter(Phase.HURT)
    draft.how = "hurt"
    # the questions that follow have a course of their own; only the last of standing still holds
    last = len(STANDING) - 1
    draft.standing = replace(draft.standing, reminded=last, by_itself=False)
    draft.course = replace(draft.course, running=None)
    if known:
        _unknown_kinds(draft, who)
    asked_questions.keep_of_others(draft, who if known else 0)
    draft.tell(message("hurt-now"))


def _unknown_kinds(draft: Draft, who: int) -> None:
    """Of what kind a soreness is will not be asked any more: it counts as the joint."""
    questions = (draft.questions.asking, *draft.questions.pending)
    for one in questions:
        if one is not None and one.question == "tissue" and one.who == who:
            joint = replace(asked_questions.silence_of("tissue"), part=one.part)
            changes.plan(draft, who, joint, "tissue", quiet=True)


def still(draft: Draft) -> None:
    """It still stands: somebody is reminded; at last the session is saved, and ends."""
    reminded = draft.standing.reminded
    if draft.now >= leaves_at(draft.s):
        draft.hush()
        draft.say(message("left-standing"))
        draft.how = "hurt" if draft.s.how == "hurt" else "ended"
        draft.standing = draft.standing.over(draft.now)
        endings.close(draft, None)
        return
    draft.standing = replace(draft.standing, reminded=reminded + 1)
    draft.say(message("still-standing"))
    if draft.listening.window is None:
        draft.open_window(course.pause_answers(draft.s))


def resume(draft: Draft) -> None:
    """Go on where it stood; after long idling the plan is looked at first."""
    since = draft.standing.paused_since
    if draft.s.phase is Phase.HURT or (since is not None and draft.now - since > FORGOTTEN):
        draft.course = replace(draft.course, afresh=True)
    draft.standing = draft.standing.over(draft.now)
    draft.hush()
    draft.close_window()
    # whether to go on has just been answered
    pending = draft.questions.pending
    left = tuple(one for one in pending if one.question not in asked_questions.WAITS)
    draft.questions = replace(draft.questions, asking=None, pending=left)
    changes.after_idle(draft)
    draft.go_on = True


def cleared(draft: Draft, answer: Answer) -> None:
    """Whoever was on the landing is down: the try that everybody waited for is over."""
    resume(draft)
    draft.go_on = False
    step_end.told_of_try(draft, answer)


def clock_jumped(draft: Draft, event: ClockJumped) -> None:
    """The machine slept: a pause, and the time it took is gone from the session."""
    s = draft.s
    draft.slept = s.slept + event.seconds
    draft.course = replace(draft.course, idle_since=s.course.idle_since - event.seconds)
    if s.day is not None:
        draft.day = replace(draft.day, ends_at=draft.day.ends_at - event.seconds)
    if s.phase not in _STANDING and event.seconds >= STALL:
        pause(draft, message("slept", minutes=max(round(event.seconds / 60.0), 1)))


def reopened(draft: Draft, event: Reopened) -> None:
    """Taken up after a crash: rests have run on, a timed step starts from its lead-in."""
    s = draft.s
    draft.close_window()
    draft.speech = replace(draft.speech, saying=None, queue=())
    draft.listening = replace(draft.listening, speech=None)
    draft.devices = replace(draft.devices, lost=frozenset(), by_keys=False)
    draft.notes = replace(draft.notes, recording=None)
    if s.standing.paused_since is None:
        draft.standing = replace(draft.standing, paused=s.standing.paused + event.seconds)
    if event.seconds > TOO_LONG:
        draft.how = "closed"
        draft.standing = draft.standing.over(draft.now)
        endings.close(draft, None)
        return
    running = s.course.running
    if running is not None:
        worked = running.worked
        if running.since is not None and running.until is None:
            worked += max(s.at - event.seconds - running.since, 0.01)
        draft.course = replace(
            draft.course,
            running=replace(
                running,
                since=None,
                until=None,
                left=None,
                worked=worked,
                opens=None,
                nudge=None,
            ),
        )
    asked_questions.put_off(draft, first=True)
    draft.say(message("picking-up"))
    if s.phase not in _STANDING and s.phase is not Phase.DEBRIEF:
        changes.after_idle(draft)
    draft.go_on = True
