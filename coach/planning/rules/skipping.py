"""Skipping: a set that goes, and a part of the warm-up that costs the ceiling until made up."""

from dataclasses import replace

from coach.model.answers import Meaning
from coach.model.body import CapReason, Part
from coach.model.plan import Step, StepKind
from coach.model.routine import BlockKind
from coach.planning import fitting
from coach.planning.gates import GO_AHEAD
from coach.planning.rules.rule import Rule, Sure
from coach.planning.situation import PlanDraft, Situation


def _skipped(s: Situation) -> Step | None:
    """The step that is skipped, None for none; what is asked before load can't be skipped."""
    step = s.running if s.answer.meaning is Meaning.SKIP else None
    return step if step is not None and step.kind is not StepKind.ASK else None


def _floor(s: Situation) -> bool:
    step = _skipped(s)
    return step is not None and step.warms and not step.makes_up


def _short(s: Situation) -> bool:
    """Whether a batch of the least warm-up ends with fewer boulders than it has, more than none."""
    step = s.running
    few = step is not None and 0 < (s.answer.number or 0) < step.amount
    return few and step is not None and step.kind is StepKind.CLIMB and _floor(s)


def _made_up_skipped(s: Situation) -> bool:
    step = _skipped(s)
    return step is not None and bool(step.makes_up)


def _skip_floor(s: Situation, draft: PlanDraft) -> None:
    step = s.running
    assert step is not None
    draft.drop(step.name)
    cut_warm_up(draft, step)
    if any(x.question == GO_AHEAD for x in draft.steps):
        before = next(x.name for x in draft.steps if _makes_up_before(step, x))
        name = f"{step.whole}-make-up"
        missing = replace(step, name=name, piece="", placed=False, makes_up=step.whole)
        if _short(s):
            missing = fitting.fewer(missing, step.amount - (s.answer.number or 0))
        draft.insert([missing], before=before)


def _makes_up_before(step: Step, other: Step) -> bool:
    """Whether a skipped step comes again before another one.

    What warms the whole body comes before any boulder, the rest before the go-ahead.
    """
    pulse = step.block is BlockKind.PULSE and other.block is BlockKind.EASY
    return pulse or other.question == GO_AHEAD


def cut_warm_up(draft: PlanDraft, step: Step) -> None:
    """Keep what was cut, and cap everybody whose warm-up it was."""
    draft.day = replace(draft.day, skipped=(*draft.day.skipped, step.name))
    for form in step.forms:
        on_behalf(draft, form.who)


def on_behalf(draft: PlanDraft, who: int) -> None:
    """Cap somebody whose warm-up was cut."""
    speaker, draft.who = draft.who, who
    for part in Part:
        draft.cap(part, 2, CapReason.COLD, "skip-floor")
    draft.who = speaker


def _no_make_up(s: Situation, draft: PlanDraft) -> None:
    step = s.running
    assert step is not None
    draft.drop(step.name)
    for form in step.forms:
        speaker, draft.who = draft.who, form.who
        draft.no_tries()
        draft.who = speaker


def _plain(s: Situation) -> bool:
    return _skipped(s) is not None and not _floor(s) and not _made_up_skipped(s)


def _skip_step(s: Situation, draft: PlanDraft) -> None:
    step = s.running
    assert step is not None
    draft.drop(step.name)


RULES = (
    Rule(
        name="count-short",
        fires="a batch of the least warm-up ends with some of its boulders",
        does="those that are missing come before the go-ahead; nobody it was for gets the hardest "
        "load before",
        when=_short,
        then=_skip_floor,
        say="count-short",
        values=("missing", "tries"),
        sure=Sure.COMMON_PRACTICE,
        source="Ten easy and five middle boulders come before hard tries (common practice)",
        alone=True,
    ),
    Rule(
        name="skip-floor",
        fires="a part of the least warm-up is skipped",
        does="nobody it was for gets the hardest load until it is made up before the go-ahead",
        when=_floor,
        then=_skip_floor,
        say="skip-floor",
        values=("step", "tries"),
        sure=Sure.COMMON_PRACTICE,
        source="A warm-up helps most measures of performance (Fradkin AJ et al. 2010, J Strength "
        "Cond Res 24(1):140-148); that hard tries wait for all of it is common practice",
    ),
    Rule(
        name="skip-make-up",
        fires="the make-up is skipped as well",
        does="no hard tries",
        when=_made_up_skipped,
        then=_no_make_up,
        say="skip-make-up",
        values=("lost",),
        sure=Sure.COMMON_PRACTICE,
        source="Hard tries wait for the whole warm-up (common practice)",
    ),
    Rule(
        name="skip",
        fires="anything else is skipped",
        does="leaves it out",
        when=_plain,
        then=_skip_step,
        say="skip",
        values=("step",),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
)
