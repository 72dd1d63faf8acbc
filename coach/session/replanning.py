"""A change of plan put into force: what it says, asks, and makes of the step that runs."""

from dataclasses import replace

from coach import planning
from coach.model.answers import Answer, Meaning
from coach.model.day import Change
from coach.session import working
from coach.session.draft import Draft
from coach.session.state import Asking, Phase, Running


def plan(draft: Draft, who: int, answer: Answer, question: str = "") -> None:
    """Ask planning what the answer changes and put it into force."""
    s = draft.s
    change = planning.adapt(draft.day, s.steps, s.at, who, answer, question, s.library)
    running = s.running
    draft.take(change, answer.key, question)
    if change.ask and change.ask != question:
        draft.ask_later(Asking(change.ask, who, part=answer.part))
    if running is not None and (not change.steps or change.steps[0] != running.step):
        outcome = "skipped" if answer.meaning is Meaning.SKIP else "cut"
        _leave(draft, running, change, outcome)


def _leave(draft: Draft, running: Running, change: Change, outcome: str) -> None:
    """The running step is not the first of the plan any more: end it, or swap it in place."""
    swapped = change.steps and change.steps[0].name == running.step.name
    if swapped and draft.s.phase in (Phase.LEAD_IN, Phase.WORK):
        said = change.say
        working.interrupt(draft)
        if said is not None:
            draft.say(said)
        working.lead_in(draft, change.steps[0])
    elif swapped:
        draft.set(running=Running(change.steps[0]))
    else:
        said = change.say
        steps = change.steps
        draft.hush()
        draft.set(steps=(running.step, *steps))
        working.end_step(draft, outcome)
        draft.set(steps=steps)
        if said is not None:
            draft.say(said)


def ask_now(draft: Draft) -> None:
    """Let waiting questions be asked now; what runs stands still meanwhile."""
    asking = draft.s.asking
    working.interrupt(draft)
    if asking is not None:
        draft.set(asking=None, pending=(*draft.s.pending, replace(asking, times=0)))
    draft.go_on = True
