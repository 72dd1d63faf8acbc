"""What the leader says of time: on, more of it, once more; stand still, carry on, the end."""

from coach.group import moving
from coach.group.draft import Draft
from coach.group.easing import cold
from coach.group.leading import STANDING, THINK_LONG
from coach.group.state import Part
from coach.model.answers import Answer
from coach.model.messages import Message, message
from coach.session.state import Phase


def on(draft: Draft, answer: Answer) -> None:
    """'Next': timers run on, or what runs ends now."""
    g = draft.g
    if g.phase in (Phase.PAUSED, Phase.STOPPED, Phase.HURT):
        draft.took(answer, message("not-now", answer=answer.key))
        return
    if g.standing is not None:
        draft.run_on()
        draft.took(answer, message("group-on"))
    elif g.running is not None:
        if g.running.common.step.floor:
            cold(draft)
        draft.hush()
        moving.end_common(draft, "cut")
    else:
        _sooner(draft)


def _sooner(draft: Draft) -> None:
    """The next change of the rota comes now: turns that would end with it are cut."""
    g = draft.g
    now = draft.now - g.rota_at
    times = [seat.start for seat in g.pending] + [seat.end for seat in g.seated]
    at = min((time for time in times if time > now), default=now)
    cut = [seat for seat in g.seated if seat.end <= at]
    for seat in cut:
        moving.leave(draft, seat, "cut")
    draft.set(seated=tuple(seat for seat in g.seated if seat not in cut))
    moving.replan(draft)
    moving.change(draft)


def stay(draft: Draft, answer: Answer) -> None:
    """Everybody stays where they are until 'next'."""
    draft.stand()
    draft.took(answer, message("group-stay"))
    draft.say(message("group-stay"))


def more_time(draft: Draft, answer: Answer) -> None:
    """The next change comes later; nobody does more in that time."""
    minutes = answer.number or 1
    draft.delay(60.0 * minutes)
    what = message("group-more-time", minutes=minutes)
    draft.took(answer, what)
    draft.say(what)


def again(draft: Draft, answer: Answer) -> None:
    """The last change once more, or the last cue."""
    if draft.g.part is Part.ROTA and draft.g.move:
        moving.repeat(draft)
    else:
        assert draft.g.last_cue is not None, "the welcome was said"
        draft.say(draft.g.last_cue)


def pause(draft: Draft, answer: Answer) -> None:
    """Timers stand until 'carry on'."""
    draft.hush()
    stand_still(draft, Phase.PAUSED, message("paused"))


def stop(draft: Draft, answer: Answer) -> None:
    """Everything stands: carry on, or finish."""
    draft.hush()
    stand_still(draft, Phase.STOPPED, message("ask-carry-on"))


def stand_still(draft: Draft, phase: Phase, what: Message) -> None:
    """Timers stand, and the leader is asked how to go on."""
    draft.stand()
    draft.set(phase=phase)
    draft.say(what)
    draft.open_window(STANDING, 0, THINK_LONG)


def resume(draft: Draft, answer: Answer) -> None:
    """Timers run on."""
    g = draft.g
    if g.standing is None:
        draft.took(answer, message("not-now", answer=answer.key))
        return
    draft.run_on()
    begun = g.running is None or g.running.since is not None
    draft.set(phase=Phase.WORK)
    draft.took(answer, message("group-on"))
    draft.say(message("group-on"))
    draft.close_window()
    if not begun:
        moving.next_common(draft)
    elif g.part is Part.ROTA:
        moving.change(draft)


def finish(draft: Draft, answer: Answer) -> None:
    """The end, now."""
    draft.hush()
    moving.finish(draft, "hurt" if draft.g.phase is Phase.HURT else "ended")
