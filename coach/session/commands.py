"""What an answer does that no question asked for: one table by meaning."""

from collections.abc import Callable

from coach.model.answers import Answer, Meaning
from coach.model.facts import SignTold
from coach.model.messages import message
from coach.model.plan import StepKind
from coach.planning.timeline import of_day, seconds_of
from coach.session import asking as questions
from coach.session import checkin, ending, interrupts, moving, noting
from coach.session.draft import Draft
from coach.session.replanning import ask_now, plan
from coach.session.state import Asking, Phase


def _again(draft: Draft, who: int, answer: Answer) -> None:
    if draft.s.last_cue is not None:
        draft.say(draft.s.last_cue)


def _planned(draft: Draft, who: int, answer: Answer) -> None:
    """Easier, harder, short of time, longer: planning decides."""
    plan(draft, who, answer)


def _feel(draft: Draft, who: int, answer: Answer) -> None:
    """'Fingers sore' at any time; 'sore' alone asks where, at once unless somebody climbs."""
    if not draft.s.planned:
        if draft.s.day is not None:
            checkin.told(draft, who, answer)
        else:
            draft.set(did=questions.not_understood(answer))
        return
    running = draft.s.running
    climbing = running is not None and running.step.on_the_wall and draft.s.phase is Phase.WORK
    if not climbing:
        ask_now(draft)
    plan(draft, who, answer)


def _sign_told(draft: Draft, who: int, answer: Answer) -> None:
    draft.record(SignTold(draft.now, who, answer.sign or "yes", answer.part))
    plan(draft, who, answer)


def _hurt(draft: Draft, who: int, answer: Answer) -> None:
    interrupts.hurt(draft, who)
    hurt_part(draft, who, answer)


def hurt_part(draft: Draft, who: int, answer: Answer) -> None:
    """The timers are off: what hurts is taken out of the plan, or asked."""
    if draft.s.day is None:
        draft.ask_later(Asking("after-hurt", who))
    elif answer.part is not None:
        plan(draft, who, answer)
    else:
        draft.ask_later(Asking("which-part", who, step="hurt"))
    draft.go_on = True


def _whats_next(draft: Draft, who: int, answer: Answer) -> None:
    steps = [step for step in draft.s.steps if step.kind not in (StepKind.REST, StepKind.ASK)]
    if draft.s.running is not None:
        steps = steps[1:]
    if steps:
        movement = next((form.movement for form in steps[0].forms if form.movement), "")
        draft.tell(
            message("next", movement=movement, kind=steps[0].kind.value, block=steps[0].block.value)
        )
    else:
        draft.tell(message("nothing-next"))


def _how_long(draft: Draft, who: int, answer: Answer) -> None:
    seconds = seconds_of(draft.s.steps, draft.now, of_day(draft.day))
    if draft.s.options.open_end:
        draft.tell(message("no-end"))
    else:
        draft.tell(message("how-long", minutes=max(round(seconds / 60.0), 1)))


def _why(draft: Draft, who: int, answer: Answer) -> None:
    if draft.s.fired:
        fired = draft.s.fired[-1]
        draft.tell(fired.because)
        draft.say(message("how-sure", sure=fired.sure))
    else:
        draft.tell(message("no-why"))


def _pause(draft: Draft, who: int, answer: Answer) -> None:
    interrupts.pause(draft)


def _stop(draft: Draft, who: int, answer: Answer) -> None:
    interrupts.stop(draft, who)


def _resume(draft: Draft, who: int, answer: Answer) -> None:
    if draft.s.phase in (Phase.PAUSED, Phase.STOPPED, Phase.HURT):
        interrupts.resume(draft)
    else:
        draft.set(did=questions.not_understood(answer))


COMMANDS: dict[Meaning, Callable[[Draft, int, Answer], None]] = {
    Meaning.DONE: moving.done,
    Meaning.STARTING: moving.starting,
    Meaning.DOWN: moving.done,
    Meaning.TOPPED: moving.done,
    Meaning.ENDED_START: moving.done,
    Meaning.ENDED_MIDDLE: moving.done,
    Meaning.ENDED_TOP: moving.done,
    Meaning.MOVE: moving.done,
    Meaning.CAUSE: moving.cause,
    Meaning.OTHER_BOULDER: moving.other_boulder,
    Meaning.MOVE_DONE: moving.move_done,
    Meaning.LAST_GO: moving.last_go,
    Meaning.ENOUGH: moving.last_go,
    Meaning.COUNT: moving.count,
    Meaning.SKIP: moving.skip,
    Meaning.AGAIN: _again,
    Meaning.BACK: moving.back,
    Meaning.MORE_TIME: moving.more_time,
    Meaning.READY: moving.ready,
    Meaning.EASIER: _planned,
    Meaning.HARDER: _planned,
    Meaning.SHORT_OF_TIME: _planned,
    Meaning.LONGER: _planned,
    Meaning.FEEL: _feel,
    Meaning.SIGN: _sign_told,
    Meaning.HURT: _hurt,
    Meaning.WHATS_NEXT: _whats_next,
    Meaning.HOW_LONG: _how_long,
    Meaning.WHY: _why,
    Meaning.PAUSE: _pause,
    Meaning.STOP: _stop,
    Meaning.RESUME: _resume,
    Meaning.FINISH: ending.finish,
    Meaning.LEAVING: ending.leaving,
    Meaning.KEEP: noting.keep,
    Meaning.FILMED: noting.filmed,
}
assert set(COMMANDS) == {meaning for meaning in Meaning if not meaning.nature.asked}
