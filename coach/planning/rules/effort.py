"""Easier and harder: what the climber asks of the step at hand."""

from dataclasses import replace

from coach.model.answers import Meaning
from coach.model.movement import Movement
from coach.model.plan import Form, Step, StepKind
from coach.model.routine import BlockKind
from coach.planning import fitting, forms
from coach.planning.rules.rule import Rule, Sure
from coach.planning.rules.skipping import cut_warm_up
from coach.planning.situation import PlanDraft, Situation


def _mine(s: Situation) -> Form | None:
    return s.running.form(s.who) if s.running is not None else None


def _easier_form(s: Situation) -> Movement | None:
    """The next easier form of the running step that this person may do."""
    form = _mine(s)
    movement = s.library.movements.get(form.movement) if form is not None else None
    if movement is None:
        return None
    for name in (movement.easier, *movement.also_easier):
        found = forms.of(s.day, s.library).ease(name, s.who) if name is not None else None
        if found is not None:
            return found
    return None


def _harder_form(s: Situation) -> Movement | None:
    """The next harder form that is within every cap, gate and age; never of a hard try."""
    form = _mine(s)
    movement = s.library.movements.get(form.movement) if form is not None else None
    assert s.running is not None
    if movement is None or movement.harder is None:
        return None
    found = s.library.movements.get(movement.harder)
    if (
        found is None
        or s.running.kind is StepKind.TRY
        or found.unit is not movement.unit
        or max(found.load.values(), default=0) > 2
        or not forms.of(s.day, s.library).allowed(found, s.person)
    ):
        return None
    return found


def _asked(s: Situation, meaning: Meaning) -> bool:
    return s.answer.meaning is meaning and s.running is not None


def _easier(s: Situation) -> bool:
    return _asked(s, Meaning.EASIER) and _easier_form(s) is not None


def _easier_middle(s: Situation) -> bool:
    """Whether the boulders that are made easier are those that hard tries wait for."""
    step = s.running
    climbs = step is not None and step.kind is StepKind.CLIMB and step.block is BlockKind.MIDDLE
    return climbs and _easier(s)


def _ease_the_day(s: Situation, draft: PlanDraft) -> None:
    _ease(s, draft)
    draft.no_tries()


def _swap(step: Step, s: Situation, movement: Movement) -> Step:
    """The step with another intended movement for this person."""
    meant = tuple(
        Form(f.who, movement.name, movement.load, movement.aims) if f.who == s.who else f
        for f in step.intended
    )
    return replace(step, intended=meant)


def _same(s: Situation, step: Step) -> bool:
    """Whether a step has the same form of this person in the same block."""
    mine, form, running = _mine(s), step.form(s.who), s.running
    assert mine is not None
    assert running is not None
    return form is not None and form.movement == mine.movement and step.block is running.block


def _ease(s: Situation, draft: PlanDraft) -> None:
    movement = _easier_form(s)
    assert movement is not None
    draft.to = movement.name
    draft.steps = [_swap(x, s, movement) if _same(s, x) else x for x in draft.steps]


def _nothing_easier(s: Situation) -> bool:
    mine = _mine(s) is not None and not _resting(s)
    return mine and _asked(s, Meaning.EASIER) and _easier_form(s) is None


def _easiest(s: Situation) -> bool:
    if not _nothing_easier(s):
        return False
    assert s.running is not None
    return fitting.is_gentle(s.running)


def _no_easier(s: Situation) -> bool:
    return _nothing_easier(s) and not _easiest(s)


def _leave_out(s: Situation, draft: PlanDraft) -> None:
    step = s.running
    assert step is not None
    if step.floor:
        cut_warm_up(draft, step)
    if len(step.forms) <= 1:
        draft.drop(step.name)
        return
    # for the others it stays as it is now, even where it was meant to be longer
    forms_of, intended = (
        tuple(Form(f.who, "", {}) if f.who == s.who else f for f in those)
        for those in (step.forms, step.intended)
    )
    draft.steps[0] = replace(step, forms=forms_of, intended=intended)


def _harder(s: Situation) -> bool:
    return _asked(s, Meaning.HARDER) and _harder_form(s) is not None


def _harden(s: Situation, draft: PlanDraft) -> None:
    movement = _harder_form(s)
    assert movement is not None
    draft.to = movement.name
    draft.steps = [_swap(x, s, movement) if _same(s, x) else x for x in draft.steps]


def _no_harder(s: Situation) -> bool:
    return _asked(s, Meaning.HARDER) and _harder_form(s) is None


def _keep(s: Situation, draft: PlanDraft) -> None:
    return None


def _resting(s: Situation) -> bool:
    assert s.running is not None
    return s.running.kind in (StepKind.REST, StepKind.ASK)


RULES = (
    Rule(
        name="easier-middle",
        fires="easier, of the middle boulders",
        does="easier boulders for the rest of the block, and no hard tries after them",
        when=_easier_middle,
        then=_ease_the_day,
        say="easier-middle",
        values=("to",),
        sure=Sure.COMMON_PRACTICE,
        source="Never fewer than five middle boulders before hard tries (common practice)",
        alone=True,
    ),
    Rule(
        name="easier",
        fires="easier, and there is an easier form",
        does="takes it for the rest of the block",
        when=_easier,
        then=_ease,
        say="easier",
        values=("to",),
        sure=Sure.COMMON_PRACTICE,
        source="Every movement has easier forms of equal standing (common practice)",
    ),
    Rule(
        name="easiest",
        fires="easier, of what is gentle already",
        does="leaves it",
        when=_easiest,
        then=_keep,
        say="easiest",
        values=("step",),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
    Rule(
        name="easier-left-out",
        fires="easier, and no easier form may be done",
        does="leaves the step out",
        when=_no_easier,
        then=_leave_out,
        say="easier-left-out",
        values=("step",),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
    Rule(
        name="harder",
        fires="harder, and a harder form is within every cap, gate and age",
        does="takes it for the rest of the block",
        when=_harder,
        then=_harden,
        say="harder",
        values=("to",),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
    Rule(
        name="harder-refused",
        fires="harder, and none may be done",
        does="leaves it",
        when=_no_harder,
        then=_keep,
        say="harder-refused",
        values=("step",),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
)
