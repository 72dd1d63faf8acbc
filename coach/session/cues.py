"""What a step is told in, and which answers count while it runs."""

from coach.errors import UsageError
from coach.model.messages import Message, message
from coach.model.plan import Step, StepKind
from coach.planning import drills, pyramid
from coach.session import coaching, current_boulder, drilling
from coach.session.draft import Draft

#: Counts that a batch of boulders is told by at most: the highest ones, said last.
COUNTS = 5
_BETWEEN = frozenset({StepKind.ASK, StepKind.REST})


def cues(draft: Draft, step: Step) -> list[Message]:
    """The cue of the step, then that of each person with another form."""
    forms = [form for form in step.forms if form.movement]
    shared = forms[0].movement if forms else ""
    several = len(draft.s.people) > 1
    if step.kind is StepKind.TRY:
        tries = dict(draft.tries.counts).get(step.turn or 1, 0)
        who = step.turn if several else 0
        turn = step.turn or 1
        left = sum(one.kind is StepKind.TRY and one.turn == turn for one in draft.course.steps)
        key = "try-last" if left == 1 and tries else "try"
        words = [*coaching.last_time(draft.s, step), message(key, number=tries + 1, who=who)]
        return words + _spotting(draft, turn) + coaching.before_the_go(draft.s, turn)
    of_drill = drilling.why(draft.s, step) if drills.is_drill(step) else []
    named = {"who": step.turn} if several and drills.is_drill(step) and not of_drill else {}
    if several and len(step.forms) == 1 and step.hangs:
        named = {"who": step.forms[0].who}  # one board: they take turns
    opening = _opening(draft, step)
    words = [message(opening, movement=shared, amount=step.amount, side=step.side, **named)]
    words += [
        message("cue-for", who=form.who, movement=form.movement)
        for form in forms
        if form.movement != shared
    ]
    words += [message("sit-out", who=form.who) for form in step.forms if not form.movement]
    if drills.is_drill(step):
        words = [*coaching.last_time(draft.s, step), *of_drill, *words]
    return words + _circuits(draft, step) + coaching.in_mind(draft.s, step)


def _spotting(draft: Draft, turn: int) -> list[Message]:
    """Before the first try of each on a boulder: who spots, whoever rests longest from now."""
    here = current_boulder.boulder_of(draft.s, turn).name
    tried = current_boulder.tried_today(draft.s, turn, here)
    others = [who for who in draft.s.people if who != turn]
    if tried or not others:
        return []
    ready = dict(draft.rests.ready_at)
    return [message("spot", who=max(others, key=lambda who: ready.get(who, 0.0)))]


def _circuits(draft: Draft, step: Step) -> list[Message]:
    """Where the boulders of a tier are, the first time; nothing where the place can't tell."""
    s = draft.s
    known = step.kind is StepKind.CLIMB and len(s.people) == 1
    if not known or any(one.block is step.block for one in s.course.past):
        return []
    try:
        found = pyramid.tiers(s.options.people[0], s.library.place)
    except UsageError:
        return []
    circuits = getattr(found, step.block.value, ())
    names = dict(zip(("first", "second"), circuits, strict=False))
    return [message("circuits-two" if len(names) > 1 else "circuits", **names)] if names else []


def _opening(draft: Draft, step: Step) -> str:
    """The whole cue the first time; the other side and further sets need fewer words."""
    last = next((one for one in reversed(draft.course.past) if one.kind not in _BETWEEN), None)
    if (
        draft.course.afresh
        or last is None
        or not movement_of(step)
        or movement_of(last) != movement_of(step)
    ):
        return "cue"
    if [form.who for form in step.forms] != [form.who for form in last.forms]:
        return "cue"
    if step.side == last.side:
        return "cue-again"
    movement = draft.s.library.movements.get(movement_of(step))
    whole = movement is not None and movement.names_hands
    return "cue-other-side" if step.side and last.side and not whole else "cue"


def work_answers(step: Step) -> tuple[str, ...]:
    """The answers that count while a step runs, the expected one first."""
    if step.kind is StepKind.CLIMB:
        counts = tuple(f"count:{n}" for n in range(step.amount, max(step.amount - COUNTS, 0), -1))
        return ("done", "skip", "easier", *counts)
    return ("done", "skip", "again", "back", "easier", "harder", "more-time", "why")


def movement_of(step: Step) -> str:
    """The movement of the first person who does one; '' for none."""
    return next((form.movement for form in step.forms if form.movement), "")
