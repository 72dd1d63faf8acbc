"""The focus of easy boulders: offered once a session, to everybody; then it goes round."""

from dataclasses import replace

from coach.model.answers import Answer, Meaning
from coach.model.facts import FocusChosen
from coach.model.plan import Step
from coach.planning import drills, focus
from coach.session.dialogue import Asking
from coach.session.draft import Draft

_HEAD = Meaning.FOCUS.value + ":"


def open_choice(draft: Draft, step: Step) -> Asking | None:
    """The focuses to offer before a step; None where there is no choice, or it was made."""
    s = draft.s
    choosers = focus.choosers(step, s.library)
    if s.course.focuses or not choosers:
        return None
    who = choosers[0]
    practised = [name for person, name in s.options.practised if person == who]
    towards = drills.focuses(s.library, [boulder for _, boulder in s.tries.on])
    offered = focus.offer(draft.day, s.library, who, practised, s.options.favoured, towards)
    if len(offered) > 1:
        return Asking("focus", 0, step=step.name, offered=tuple(_HEAD + name for name in offered))
    draft.course = replace(draft.course, focuses=offered)
    return None


def chosen(draft: Draft, asking: Asking, answer: Answer) -> None:
    """The focus that was told, by name or place; else the first of those offered."""
    names = tuple(key.removeprefix(_HEAD) for key in asking.offered)
    first = answer.focus or names[(answer.number or 1) - 1]
    at = names.index(first)
    draft.course = replace(draft.course, focuses=names[at:] + names[:at])
    told = answer.meaning is not Meaning.SILENCE
    draft.record(FocusChosen(draft.now, asking.who, first, told))
    draft.go_on = True


def focused(draft: Draft, step: Step) -> Step:
    """The step with the focus whose turn it is; the next one's turn comes after."""
    s = draft.s
    if not s.course.focuses:
        return step
    taken = focus.focused(step, draft.day, s.library, s.course.focuses[0])
    if taken != step:
        draft.course = replace(
            draft.course,
            focuses=s.course.focuses[1:] + s.course.focuses[:1],
            steps=(taken, *s.course.steps[1:]),
        )
    return taken
