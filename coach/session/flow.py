"""What comes next: a waiting question, the interrupted step or rest, or the next step."""

from coach import planning
from coach.model.plan import Step, StepKind
from coach.planning import timeline
from coach.session import asking as questions
from coach.session import checkin, choosing, replanning, resting, trying, working
from coach.session.draft import Draft
from coach.session.state import Asking, Phase
from coach.session.working import drop

#: Seconds of rest that begin a rest of their own; a shorter one only puts off the start tone.
SHORTEST = 1.0
#: What can be said while the session stands still.
PAUSE_ANSWERS = ("resume", "finish", "leaving", "whats-next", "how-long", "why")


def go_on(draft: Draft) -> None:
    """What comes next: a waiting question, the interrupted step or rest, or the next step."""
    s = draft.s
    first = next((asking for asking in s.pending if _may_ask(draft, asking)), None)
    if first is not None:
        draft.set(pending=tuple(asking for asking in s.pending if asking != first))
        questions.begin(draft, first)
    elif s.phase is Phase.OVER:
        return
    elif s.paused_since is not None:
        stand(draft)
    elif not s.planned:
        checkin.ask_next(draft)
    elif s.resting is not None:
        resting.rest_on(draft)
    elif s.running is not None:
        carry_on(draft)
    else:
        begin_step(draft)


def stand(draft: Draft) -> None:
    """Go on standing still: the window that ends it is open."""
    s = draft.s
    if s.phase is Phase.PAUSED:
        draft.open_window(PAUSE_ANSWERS)
    else:
        name = "carry-on" if s.phase is Phase.STOPPED else "after-hurt"
        questions.begin(draft, Asking(name, s.people[0]))


def _may_ask(draft: Draft, asking: Asking) -> bool:
    """The result of a try waits for the breath to be back; everything else is asked at once.

    Where somebody else's try comes first, it waits for the rest after that. Nothing is asked into
    a note.
    """
    if draft.s.recording is not None:
        return False
    if asking.question not in trying.QUESTIONS:
        return True
    if draft.s.resting is not None:
        return draft.now >= resting.breath_back(draft)
    first = draft.s.steps[0] if draft.s.steps and draft.s.running is None else None
    others = first is not None and first.kind is StepKind.TRY and first.turn != asking.who
    return not (others or (first is not None and first.kind is StepKind.REST))


def begin_step(draft: Draft) -> None:
    """Begin the first of the steps that are left, or the debrief."""
    draft.close_window()
    keep_time(draft)
    if not draft.s.steps:
        questions.debrief(draft)
        return
    step = draft.s.steps[0]
    if step.kind is StepKind.ASK:
        for who in _asked(draft, step):
            draft.ask_later(Asking(step.question, who, step=step.name))
        drop(draft, step)
        draft.go_on = True
    elif step.kind is StepKind.REST:
        drop(draft, step)
        resting.begin_rest(draft, resting.suggested(draft, step), step.name, step)
    elif choice := choosing.open_choice(draft, step):
        questions.begin(draft, choice)
    elif step.kind is StepKind.TRY and _warm_again(draft):
        draft.go_on = True
    elif (wait := timeline.wait(draft.day, step, draft.now)) >= SHORTEST:
        resting.begin_rest(draft, wait, draft.s.past[-1].name, None)
    else:
        working.lead_in(draft, choosing.focused(draft, step))


def _warm_again(draft: Draft) -> bool:
    """After a long rest a re-warm may be offered before the try; whether it is."""
    before = draft.s.pending
    replanning.after_long_rest(draft)
    return draft.s.pending != before


def keep_time(draft: Draft) -> None:
    """After a block and after each try, let planning fit what is left to the time that is left."""
    s = draft.s
    if not s.past or not s.steps:
        return
    last = s.past[-1]
    if last.block is not s.steps[0].block or last.kind is StepKind.TRY:
        change = planning.keep_time(draft.day, s.steps, s.at, s.library)
        draft.take(change, "time")


def _asked(draft: Draft, step: Step) -> tuple[int, ...]:
    """Who is asked: those who take part in what the question is about, in order."""
    return tuple(form.who for form in step.forms) or draft.s.people


def carry_on(draft: Draft) -> None:
    """Take up the interrupted step, if the plan still begins with it."""
    s = draft.s
    assert s.running is not None
    if not s.steps or s.steps[0].name != s.running.step.name:
        draft.set(running=None)
        begin_step(draft)
    elif s.running.since is not None:
        draft.set(phase=Phase.WORK, asking=None)
    else:
        working.take_up(draft, s.steps[0])
