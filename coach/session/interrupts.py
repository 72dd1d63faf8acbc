"""What breaks into a session: pause, stop, hurt, a clock that jumped, a crash, a lost device."""

from dataclasses import replace

from coach import planning
from coach.model.answers import Answer, Meaning
from coach.model.messages import message
from coach.model.plan import StepKind
from coach.session import asking as questions
from coach.session import flow, noting, replanning, working
from coach.session.draft import Draft
from coach.session.events import COMING, UNWANTED, ClockJumped, DeviceLost, DeviceReturned, Reopened
from coach.session.state import Asking, Phase

#: A session that was left longer than this is closed, not taken up again.
TOO_LONG = 3 * 3600.0
#: Devices that go or come within so many seconds are told of as one.
TOGETHER = 3.0
_STANDING = frozenset({Phase.PAUSED, Phase.STOPPED, Phase.HURT})


def _stand_still(draft: Draft) -> None:
    """Timers and sounds end; a question that was open is asked again later."""
    asking = draft.s.asking
    noting.end(draft)
    working.interrupt(draft)
    if asking is not None and asking.question not in questions.WAITS:
        again = replace(asking, times=0, closes=None)
        draft.set(pending=(again, *draft.s.pending))
    draft.set(asking=None, speech=None)
    if draft.s.paused_since is None:
        draft.set(paused_since=draft.now)


def pause(draft: Draft, words: str = "paused") -> None:
    """Stand still until 'resume'."""
    if draft.s.phase in _STANDING:
        return
    _stand_still(draft)
    draft.set(phase=Phase.PAUSED)
    draft.tell(message(words))
    draft.open_window(flow.PAUSE_ANSWERS)


def begin_work(draft: Draft) -> None:
    """The cue of a step has been said: it begins, unless nobody could call 'stop' in it.

    With the ear gone no hang and no hard try begins before a key has said so.
    """
    running, s = draft.s.running, draft.s
    assert running is not None
    step, allowed = running.step, s.allowed
    draft.set(allowed=False)
    if s.deaf and not allowed and (step.hangs or step.kind is StepKind.TRY):
        pause(draft, "key-first")
    else:
        working.begin_work(draft)


def stop(draft: Draft, who: int) -> None:
    """Stand still and ask: carry on or finish."""
    if draft.s.phase in (Phase.STOPPED, Phase.HURT):
        return
    _stand_still(draft)
    draft.set(phase=Phase.STOPPED)
    questions.begin(draft, Asking("carry-on", who))


def hurt(draft: Draft, who: int) -> None:
    """Timers end for good; what to do comes first."""
    _stand_still(draft)
    running = draft.s.running
    if running is not None:
        if running.step.floor:
            skip = Answer(Meaning.SKIP)
            s = draft.s
            change = planning.adapt(draft.day, s.steps, s.at, who, skip, "", s.library)
            draft.take(change, "hurt", quiet=True)
        working.leave(draft, "cut")
    draft.go_on = False
    draft.set(phase=Phase.HURT, running=None, pending=(), how="hurt")
    draft.tell(message("hurt-now"))


def end_pause(draft: Draft) -> None:
    """Count the pause."""
    since = draft.s.paused_since
    if since is not None:
        draft.set(paused=draft.s.paused + draft.now - since, paused_since=None)


def resume(draft: Draft) -> None:
    """Go on where it stood; after long idling the plan is looked at first."""
    end_pause(draft)
    draft.hush()
    draft.close_window()
    draft.set(phase=Phase.ASK, asking=None)
    replanning.after_idle(draft)
    draft.go_on = True


def clock_jumped(draft: Draft, event: ClockJumped) -> None:
    """The machine slept: a pause, and the time it took is gone from the session."""
    s = draft.s
    draft.set(idle_since=s.idle_since - event.seconds)
    if s.day is not None:
        draft.set(day=replace(draft.day, ends_at=draft.day.ends_at - event.seconds))
    if s.phase not in _STANDING:
        pause(draft)
        draft.set(did=message("slept", minutes=round(event.seconds / 60.0)))


def reopened(draft: Draft, event: Reopened) -> None:
    """Taken up after a crash: rests have run on, a timed step starts from its lead-in."""
    s = draft.s
    draft.close_window()
    draft.set(saying=None, queue=(), speech=None, lost=frozenset(), by_keys=False, recording=None)
    if s.paused_since is None:
        draft.set(paused=s.paused + event.seconds)
    if event.seconds > TOO_LONG:
        draft.set(how="closed")
        end_pause(draft)
        questions.close(draft, None)
        return
    running, asking = s.running, s.asking
    if running is not None:
        worked = running.worked
        if running.since is not None and running.until is None:
            worked += max(s.at - event.seconds - running.since, 0.01)
        draft.set(
            running=replace(
                running,
                since=None,
                until=None,
                left=None,
                worked=worked,
                opens=None,
                nudge=None,
            )
        )
    if asking is not None:
        draft.set(asking=None)
        draft.set(pending=(replace(asking, times=0, closes=None), *draft.s.pending))
    draft.say(message("picking-up"))
    if s.phase not in _STANDING and s.phase is not Phase.DEBRIEF:
        replanning.after_idle(draft)
    draft.go_on = True


def device_lost(draft: Draft, event: DeviceLost) -> None:
    """Keys carry on; it is told once."""
    if event.device not in draft.s.lost:
        draft.set(lost=draft.s.lost | {event.device}, allowed=False)
        if event.why == UNWANTED:
            draft.set(by_keys=True)
        elif event.why != COMING:
            _tell_of(draft, "device-lost", event.device)


def device_returned(draft: Draft, event: DeviceReturned) -> None:
    """It is back by itself; of an ear that was COMING nothing was told."""
    if event.device in draft.s.lost:
        draft.set(lost=draft.s.lost - {event.device}, by_keys=False)
        if event.device != "ear":
            _tell_of(draft, "device-back", event.device)


def _tell_of(draft: Draft, what: str, device: str) -> None:
    """Both parts of a headset go and come together: the first is told for both."""
    before, at = draft.s.told_of
    draft.set(told_of=(what, draft.now))
    if before != what or draft.now - at > TOGETHER:
        draft.tell(message(what, device=device))
