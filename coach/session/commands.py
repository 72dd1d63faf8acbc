"""What an answer does that no question asked for: one table by meaning."""

from collections.abc import Callable
from dataclasses import replace

from coach.model.answers import Answer, Meaning
from coach.model.body import within
from coach.model.facts import SignTold
from coach.model.messages import Message, message
from coach.model.plan import Form, Step, StepKind
from coach.model.routine import BlockKind
from coach.planning.forms import GENTLE
from coach.session import asking as questions
from coach.session import checkin, interrupts, noting, resting, trying, working
from coach.session.draft import Draft
from coach.session.replanning import ask_now, plan
from coach.session.state import Asking, Phase

#: Seconds that 'more time' adds to a rest.
MORE = 60.0


def _done(draft: Draft, who: int, answer: Answer) -> None:
    running = draft.s.running
    if trying.above(draft, who, answer):
        return
    if draft.s.phase is Phase.WORK and running is not None:
        if running.step.kind is StepKind.TRY:
            working.end_try(draft, answer)
        elif answer.meaning is Meaning.DONE:
            if working.falls_short(draft):
                plan(draft, who, Answer(Meaning.SKIP))
                draft.go_on = True
            else:
                working.end_step(draft, "done")
        else:
            _result(draft, who, answer)
    else:
        _result(draft, who, answer)


def _starting(draft: Draft, who: int, answer: Answer) -> None:
    """'Starting now': by voice it is optional, and only makes the time of the try exact."""
    if not working.start_try(draft):
        draft.set(did=questions.not_understood(answer))


def _result(draft: Draft, who: int, answer: Answer) -> None:
    """A result without a try that runs: of the one that waits for it, else it asks which."""
    if answer.meaning in (Meaning.DONE, Meaning.DOWN) or draft.s.phase is Phase.DEBRIEF:
        draft.set(did=questions.not_understood(answer))
    elif not trying.told(draft, who, answer):
        trying.refused(draft, who)
        draft.ask_later(Asking("which-boulder", who, about=answer))
        running = draft.s.running
        if running is None or not running.step.on_the_wall:
            ask_now(draft)


def _cause(draft: Draft, who: int, answer: Answer) -> None:
    """Why the last try ended, told unasked."""
    boulder = trying.boulder_of(draft, who).name
    trying.told(draft, who, answer)
    if trying.tries_on(draft, who, boulder) and answer.cause is not None:
        trying.caused(draft, who, boulder, answer.cause)
    else:
        draft.set(did=questions.not_understood(answer))


def _other_boulder(draft: Draft, who: int, answer: Answer) -> None:
    if trying.refused(draft, who):
        return
    if draft.s.phase is Phase.DEBRIEF:
        draft.set(did=questions.not_understood(answer))
    else:
        draft.ask_later(Asking("which-boulder", who, about=answer))
        ask_now(draft)


def _move_done(draft: Draft, who: int, answer: Answer) -> None:
    trying.move_done(draft, who)


def _last_go(draft: Draft, who: int, answer: Answer) -> None:
    """One more hard try of this person, or with 'enough' none; the others keep theirs."""
    left = any(one.kind is StepKind.TRY and one.turn == who for one in draft.s.steps)
    if left:
        plan(draft, who, answer)
    elif not trying.refused(draft, who):
        draft.set(did=questions.not_understood(answer))


def _count(draft: Draft, who: int, answer: Answer) -> None:
    """'That's three' tells how many so far; the last of the batch ends it."""
    running = draft.s.running
    if running is None or running.step.kind is not StepKind.CLIMB or answer.number is None:
        draft.set(did=questions.not_understood(answer))
        return
    draft.set(running=replace(running, counted=answer.number))
    left = running.step.amount - answer.number
    if left <= 0:
        working.end_step(draft, "done")
    else:
        draft.set(did=message("so-many-left", left=left))


def _skip(draft: Draft, who: int, answer: Answer) -> None:
    s = draft.s
    if not s.planned or not s.steps:
        draft.set(did=questions.not_understood(answer))
        return
    if s.asking is not None and s.asking.question in trying.QUESTIONS:
        # what is left out is the question: the try stays on the record, its result untold
        draft.close_window()
        draft.set(asking=None)
        trying.told(draft, s.asking.who, Answer(Meaning.SILENCE))
        draft.go_on = True
        return
    plan(draft, who, answer)
    if s.phase is Phase.REST:
        return
    draft.go_on = True


def _again(draft: Draft, who: int, answer: Answer) -> None:
    if draft.s.last_cue is not None:
        draft.say(draft.s.last_cue)


def _back(draft: Draft, who: int, answer: Answer) -> None:
    """Do the previous step once more, after the rest that runs, if the caps of now allow it.

    The others sit it out where it is more than gentle: they have not asked for it.
    """
    s = draft.s
    previous = next(
        (
            step
            for step in reversed(s.past)
            if step.kind not in (StepKind.ASK, StepKind.REST, StepKind.TRY)
        ),
        None,
    )
    again = _once_more(previous, who) if previous is not None else None
    if again is None or not all(
        within(form.load, draft.day.caps, form.who) for form in again.forms
    ):
        draft.tell(message("no-way-back"))
        return
    if s.resting is None:
        working.interrupt(draft)
    taken = {step.name for step in (*s.past, *s.steps)}
    name = f"{again.name}+"
    while name in taken:
        name += "+"
    asking = s.asking
    if asking is not None and asking.question in trying.QUESTIONS:
        draft.ask_later(replace(asking, times=0, closes=None))
    draft.set(running=None, steps=(replace(again, name=name), *s.steps), asking=None)
    draft.go_on = True


def _once_more(step: Step, who: int) -> Step | None:
    """The step for whoever asked, and for others where it is gentle; None where nobody is left."""
    out = {
        form.who
        for form in step.forms
        if form.who != who and any(load > GENTLE for load in form.load.values())
    }
    forms, intended = (
        tuple(Form(form.who, "", {}) if form.who in out else form for form in those)
        for those in (step.forms, step.intended)
    )
    if not any(form.movement for form in forms):
        return None
    return replace(step, floor=False, forms=forms, intended=intended)


def _more_time(draft: Draft, who: int, answer: Answer) -> None:
    resting, running = draft.s.resting, draft.s.running
    if resting is not None:
        draft.set(resting=trying.longer(resting, MORE))
    elif running is not None:
        draft.set(running=replace(running, more_rest=running.more_rest + MORE))
    else:
        draft.set(did=questions.not_understood(answer))
        return
    draft.set(did=message("longer-rest", seconds=round(MORE)))


def _ready(draft: Draft, who: int, answer: Answer) -> None:
    """Ends the rest of whoever says it. What it took from others they rest before their own try."""
    if draft.s.resting is None or draft.s.phase is not Phase.REST:
        draft.set(did=questions.not_understood(answer))
    elif resting.may_end(draft, who):
        draft.hush()
        resting.owe(draft)
        resting.end_rest(draft)
    else:
        draft.tell(message("others-rest"))


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
    moving = running is not None and running.step.on_the_wall and draft.s.phase is Phase.WORK
    if not moving:
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
    seconds = sum(step.seconds + step.rest for step in draft.s.steps)
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


def finish(draft: Draft, who: int, answer: Answer) -> None:
    """End well, now: what is left is dropped, the debrief stays."""
    s = draft.s
    if not s.planned:
        draft.hush()
        draft.set(how="ended")
        interrupts.end_pause(draft)
        questions.close(draft, None)
        return
    if s.phase is Phase.DEBRIEF:
        draft.hush()
        questions.close(draft, s.effort)
        return
    _end(draft, away=False)


def leaving(draft: Draft, who: int, answer: Answer) -> None:
    """Called away: over within a minute, with what to do at home; the others go on with theirs."""
    s = draft.s
    if not s.planned or s.phase is Phase.DEBRIEF:
        finish(draft, who, answer)
    elif any(one.kind is StepKind.TRY and one.turn != who for one in s.steps):
        draft.tell(home(draft, who))
        plan(draft, who, Answer(Meaning.ENOUGH), quiet=True)
    else:
        _end(draft, away=True)


def home(draft: Draft, who: int) -> Message:
    """What to do at home: the first of what would have wound the session down."""
    left = (step.form(who) for step in draft.s.steps if step.block is BlockKind.COOL_DOWN)
    movement = next((form.movement for form in left if form is not None and form.movement), "")
    return message("leave-home", movement=movement) if movement else message("leave-home-rest")


def _next_time(draft: Draft) -> Message:
    """What waits for the next time: the boulder that was last tried and not topped."""
    last = draft.s.went[-1] if draft.s.went else None
    if last is None or not last.today or last.result == "topped":
        return message("leave-next")
    return message("leave-next-boulder", boulder=last.boulder)


def _end(draft: Draft, *, away: bool) -> None:
    """Drop what is left and go to the debrief; away, with words for home and for next time."""
    s = draft.s
    words = (home(draft, s.people[0]), _next_time(draft)) if away else ()
    interrupts.end_pause(draft)
    noting.end(draft)
    draft.hush()
    if s.running is not None:
        working.leave(draft, "cut")
    draft.set(
        how="hurt" if s.how == "hurt" else "ended",
        steps=(),
        running=None,
        resting=None,
        pending=(),
        asking=None,
    )
    draft.go_on = False
    questions.debrief(draft, words)


COMMANDS: dict[Meaning, Callable[[Draft, int, Answer], None]] = {
    Meaning.DONE: _done,
    Meaning.STARTING: _starting,
    Meaning.DOWN: _done,
    Meaning.TOPPED: _done,
    Meaning.ENDED_START: _done,
    Meaning.ENDED_MIDDLE: _done,
    Meaning.ENDED_TOP: _done,
    Meaning.MOVE: _done,
    Meaning.CAUSE: _cause,
    Meaning.OTHER_BOULDER: _other_boulder,
    Meaning.MOVE_DONE: _move_done,
    Meaning.LAST_GO: _last_go,
    Meaning.ENOUGH: _last_go,
    Meaning.COUNT: _count,
    Meaning.SKIP: _skip,
    Meaning.AGAIN: _again,
    Meaning.BACK: _back,
    Meaning.MORE_TIME: _more_time,
    Meaning.READY: _ready,
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
    Meaning.FINISH: finish,
    Meaning.LEAVING: leaving,
    Meaning.KEEP: noting.keep,
    Meaning.FILMED: noting.filmed,
}
#: What means nothing while the session stands still.
MOVES = frozenset(
    {
        Meaning.DONE,
        Meaning.STARTING,
        Meaning.DOWN,
        Meaning.TOPPED,
        Meaning.ENDED_START,
        Meaning.ENDED_MIDDLE,
        Meaning.ENDED_TOP,
        Meaning.MOVE,
        Meaning.CAUSE,
        Meaning.OTHER_BOULDER,
        Meaning.MOVE_DONE,
        Meaning.LAST_GO,
        Meaning.ENOUGH,
        Meaning.COUNT,
        Meaning.SKIP,
        Meaning.BACK,
        Meaning.READY,
        Meaning.KEEP,
        Meaning.MORE_TIME,
        Meaning.EASIER,
        Meaning.HARDER,
    }
)
#: What can be said before there is a plan.
EARLY = frozenset(
    {
        Meaning.AGAIN,
        Meaning.FEEL,
        Meaning.HURT,
        Meaning.PAUSE,
        Meaning.STOP,
        Meaning.RESUME,
        Meaning.FINISH,
        Meaning.LEAVING,
    }
)
