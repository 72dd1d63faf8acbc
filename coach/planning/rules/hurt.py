"""Somebody says they are hurt: nothing loads them any more today."""

from coach.model.answers import Meaning
from coach.model.body import CapReason, Feel, Part
from coach.planning.rules.rule import Rule, Sure
from coach.planning.situation import PlanDraft, Situation


def _hurt(s: Situation) -> bool:
    return s.answer.meaning is Meaning.HURT


def _no_load(s: Situation, draft: PlanDraft) -> None:
    draft.part = s.answer.part
    parts = (s.answer.part,) if s.answer.part is not None else tuple(Part)
    if s.answer.part is not None:
        # on the record, where it stands for the person until it is well again
        draft.report(s.answer.part, Feel.HURTING)
    for part in parts:
        draft.cap(part, 0, CapReason.SIGN, "hurt")
    draft.no_tries()
    draft.tell("hurt")
    draft.ask = "after-hurt"


RULES = (
    Rule(
        name="hurt",
        fires="somebody is hurt",
        does="no load on that part, or on any where none is named; no hard tries",
        when=_hurt,
        then=_no_load,
        say="hurt",
        say_over="hurt-over",
        values=("left", "parts"),
        sure=Sure.DESIGN_CHOICE,
        source="Stop and get it looked at: general first aid, not a climbing guideline",
        alone=True,
    ),
)
