"""What comes next: a waiting question, the interrupted step or rest, or the next step."""

from dataclasses import replace

from coach import planning
from coach.model.plan import Step, StepKind
from coach.model.questions import OF_TRIES
from coach.planning import timeline
from coach.session import (
    asked_questions,
    changes,
    checkin,
    current_boulder,
    drilling,
    endings,
    focuses,
    rests,
    step_end,
    steps,
)
from coach.session.dialogue import Asking
from coach.session.draft import Draft
from coach.session.state import Phase, Session
from coach.session.step_end import drop
from coach.session.waits import breath_back

#: Seconds of rest that begin a rest of their own; a shorter one only puts off the start tone.
SHORTEST = 1.0
#: What can be said while the session stands still, and what more of it once there is a plan.
_PAUSE_ANSWERS = ("resume", "finish", "leaving")
_OF_THE_PLAN = ("whats-next", "how-long", "why")


def go_on(draft: Draft) -> None:
    """What comes next: a waiting question, the interrupted step or rest, or the next step."""
    if draft.questions.asking is not None and not asked_questions.patient(draft.questions.asking):
        asked_questions.put_off(draft)  # what is open has no answer yet
    s = draft.s
    first = next((asking for asking in s.questions.pending if _may_ask(draft, asking)), None)
    if first is not None:
        left = tuple(asking for asking in s.questions.pending if asking != first)
        draft.questions = replace(draft.questions, pending=left)
        asked_questions.begin(draft, first)
    elif s.phase is Phase.OVER:
        return
    elif s.standing.paused_since is not None:
        stand(draft)
    elif not s.course.planned:
        checkin.ask_next(draft)
    elif s.rests.resting is not None:
        rests.rest_on(draft)
    elif s.course.running is not None:
        carry_on(draft)
    else:
        begin_step(draft)


def pause_answers(s: Session) -> tuple[str, ...]:
    """What counts while the session stands still."""
    return (*_PAUSE_ANSWERS, *_OF_THE_PLAN) if s.course.planned else _PAUSE_ANSWERS


def stand(draft: Draft) -> None:
    """Go on standing still: the window that ends it is open."""
    s = draft.s
    if s.phase is Phase.PAUSED:
        draft.open_window(pause_answers(s))
    else:
        name = "carry-on" if s.phase is Phase.STOPPED else "after-hurt"
        asked_questions.begin(draft, Asking(name, s.people[0]))


def _may_ask(draft: Draft, asking: Asking) -> bool:
    """The result of a try waits for the breath to be back; everything else is asked at once.

    Where somebody else's try comes first, it waits for the rest after that. Nothing is asked into
    a note.
    """
    if draft.notes.recording is not None:
        return False
    if asking.question not in OF_TRIES:
        return True
    if draft.rests.resting is not None:
        return draft.now >= breath_back(draft.rests.resting)
    first = draft.course.steps[0] if draft.course.steps and draft.course.running is None else None
    others = first is not None and first.turn not in (0, asking.who)
    return not (others or (first is not None and first.kind is StepKind.REST))


def begin_step(draft: Draft) -> None:
    """Begin the first of the steps that are left, or the debrief."""
    s = draft.s
    draft.close_window()
    keep_time(draft)
    step = drilling.past_kept(draft)
    if step is None:
        endings.debrief(draft)
        return
    if step.kind is StepKind.ASK:
        for who in _asked(draft, step):
            offered = current_boulder.at_go_ahead(s) if step.question == "go-ahead" else ()
            draft.ask_later(Asking(step.question, who, step=step.name, offered=offered))
        drop(draft, step)
        draft.go_on = True
    elif step.kind is StepKind.REST:
        drop(draft, step)
        rests.of_step(draft, step)
    elif choice := focuses.open_choice(draft, step):
        asked_questions.begin(draft, choice)
    elif step.kind is StepKind.TRY and _asked_before(draft, step):
        draft.go_on = True
    elif (wait := timeline.wait(draft.day, step, draft.now)) >= SHORTEST:
        rests.begin_rest(draft, wait, draft.course.past[-1].name, None)
    elif step.kind is StepKind.TRY:
        if (now := rests.called(draft, step)) is not None:
            steps.lead_in(draft, now)
    else:
        steps.lead_in(draft, focuses.focused(draft, step))


def _asked_before(draft: Draft, step: Step) -> bool:
    """Whether something is asked before a try: a go that nobody gave, or to warm up again."""
    before = draft.questions.pending
    if step.turn not in draft.day.go:
        offered = current_boulder.at_go_ahead(draft.s)
        draft.ask_later(Asking("go-ahead", step.turn, step=step.name, offered=offered))
    else:
        changes.after_long_rest(draft)
    return draft.questions.pending != before


def keep_time(draft: Draft) -> None:
    """After a block, a batch of boulders or a try, planning fits what is left to the time."""
    s = draft.s
    if not s.course.past or not s.course.steps:
        return
    last = s.course.past[-1]
    if last.block is not s.course.steps[0].block or last.kind in (StepKind.TRY, StepKind.CLIMB):
        change = planning.next_in_time(draft.day, s.course.steps, s.at, s.library)
        draft.take(change, "time")


def _asked(draft: Draft, step: Step) -> tuple[int, ...]:
    """Who is asked: those who take part in what the question is about, in order."""
    return tuple(form.who for form in step.forms) or draft.s.people


def carry_on(draft: Draft) -> None:
    """Take up the interrupted step, if the plan still begins with it."""
    s = draft.s
    assert s.course.running is not None
    if drilling.over(s.course.running):
        step_end.end_step(draft, "cut")
    elif not s.course.steps or s.course.steps[0].name != s.course.running.step.name:
        draft.course = replace(draft.course, running=None)
        begin_step(draft)
    elif s.course.running.since is not None:
        draft.enter(Phase.WORK)
        draft.questions = replace(draft.questions, asking=None)
    else:
        steps.take_up(draft, s.course.steps[0])
