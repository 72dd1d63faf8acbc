"""The goes of a small dose: a rest, then another one or enough."""

from dataclasses import replace

from coach.model.messages import message
from coach.model.plan import Step, StepKind
from coach.planning import drills
from coach.session import asked_questions, rests
from coach.session.cues import movement_of
from coach.session.dialogue import After, Asking
from coach.session.draft import Draft
from coach.session.state import Phase
from coach.session.step_end import end_step


def end_go(draft: Draft) -> None:
    """One go of a dose is over: rest, then another or enough."""
    running = draft.course.running
    assert running is not None
    assert running.since is not None
    step = running.step
    spent = running.worked + draft.now - running.since
    running = replace(running, since=None, until=None, worked=spent, between=True)
    draft.course = replace(draft.course, running=running)
    if running.go >= _most(step):
        end_step(draft, "done")
    elif running.go < step.least or drills.is_drill(step):
        next_go(draft)
    else:
        offer_another(draft)


def _most(step: Step) -> int:
    """Goes of a dose; where several do it together no more than planned, for all get each one."""
    together = sum(1 for form in step.forms if form.movement) > 1
    if drills.is_drill(step):
        return max(step.amount, 1)
    return min(step.most, max(step.amount, step.least)) if together else step.most


def offer_another(draft: Draft) -> None:
    """Ask whether another go is wanted; silence is enough."""
    running = draft.course.running
    assert running is not None
    turn = running.step.turn or (draft.s.people[0] if len(draft.s.people) == 1 else 0)
    asked_questions.begin(draft, Asking("another", turn, step=running.step.name))


def between(draft: Draft) -> bool:
    """Whether a further go of a dose is rested for, or led in."""
    running = draft.course.running
    waits = draft.s.phase in (Phase.REST, Phase.LEAD_IN)
    begun = running is not None and running.step.kind is StepKind.DOSE and running.go > 1
    return waits and begun and running is not None and running.since is None


def enough(draft: Draft) -> None:
    """No further go of the dose: it ends with those that were done."""
    running = draft.course.running
    assert running is not None
    draft.hush()
    draft.rests = replace(draft.rests, resting=None)
    draft.course = replace(draft.course, running=replace(running, counted=running.go - 1))
    end_step(draft, "done")


def next_go(draft: Draft) -> None:
    """Rest as the movement says, then the next go of the dose."""
    running = draft.course.running
    assert running is not None
    movement = draft.s.library.movements.get(movement_of(running.step))
    rest = movement.rest if movement is not None else 0.0
    draft.course = replace(
        draft.course, running=replace(running, go=running.go + 1, between=False, left=None)
    )
    if rest > 0.0:
        rests.begin_rest(draft, rest, running.step.name, None)
    else:
        draft.say(message("next-go", side=running.step.side), After.BEGIN)
        draft.enter(Phase.LEAD_IN)
        draft.questions = replace(draft.questions, asking=None)
