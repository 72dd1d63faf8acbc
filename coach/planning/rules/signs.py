"""Warning signs: the part is not loaded again today, and a clinician decides about later.

Signs for fingers: pop or snap, sudden palm-side pain, swelling, bowstringing, numbness, a
finger that can't bend or straighten (Schoeffl 2003 and 2006; general first-aid text for the
rest). Any finger pain under 18 is one: growing bones (Morrison and Schoeffl 2007; Jones et
al. 2022). After a fall: the list of the Concussion Recognition Tool.
"""

from dataclasses import replace

from coach.model.answers import Meaning
from coach.model.body import CapReason, Feel, Part
from coach.model.person import AgeBand
from coach.planning.rules.rule import Rule, Sure
from coach.planning.situation import Draft, Situation


def part_of(s: Situation) -> Part:
    """The part a sign is about: named, else the one this person last told of, else fingers."""
    if s.answer.part is not None:
        return s.answer.part
    told = [r.part for r in s.day.reports if r.who == s.who and r.feel in (Feel.SORE, Feel.HURTING)]
    return told[-1] if told else Part.FINGERS


def _sign(s: Situation) -> bool:
    return s.answer.meaning is Meaning.SIGN


def _stop_loading(s: Situation, draft: Draft) -> None:
    part = part_of(s)
    draft.part = part
    draft.cap(part, 0, CapReason.SIGN, "warning-sign")
    if part is Part.FINGERS:
        draft.cap(Part.SKIN, 1, CapReason.SIGN, "warning-sign")
    draft.no_tries()
    sign = s.answer.sign or "yes"
    if (s.who, sign) not in draft.day.signs:
        draft.day = replace(draft.day, signs=(*draft.day.signs, (s.who, sign)))
    draft.ask = "carry-on"


def _young_fingers(s: Situation) -> bool:
    return (
        s.answer.meaning is Meaning.FEEL
        and s.answer.part is Part.FINGERS
        and s.answer.feel in (Feel.SORE, Feel.HURTING)
        and s.person.age is not AgeBand.ADULT
    )


def _hurting(s: Situation) -> bool:
    return (
        s.answer.meaning is Meaning.FEEL
        and s.answer.feel is Feel.HURTING
        and s.answer.part is not None
    )


def _spare(s: Situation, draft: Draft) -> None:
    assert s.answer.part is not None
    draft.part = s.answer.part
    draft.report(s.answer.part, Feel.HURTING)
    draft.cap(s.answer.part, 0, CapReason.SORE, "hurting")
    draft.no_tries()
    draft.ask = "sign"


def _young_stop(s: Situation, draft: Draft) -> None:
    assert s.answer.feel is not None
    draft.part = Part.FINGERS
    draft.report(Part.FINGERS, s.answer.feel)
    draft.cap(Part.FINGERS, 0, CapReason.SIGN, "young-fingers")
    draft.no_tries()
    draft.ask = "carry-on"


RULES = (
    Rule(
        name="warning-sign",
        when=_sign,
        then=_stop_loading,
        say="warning-sign",
        values=("part",),
        sure=Sure.PUBLISHED,
        source="Schoeffl V et al. (2003) Wilderness Environ Med 14(2):94-100; Concussion "
        "Recognition Tool (Echemendia RJ et al. 2023, Br J Sports Med 57:689)",
        alone=True,
    ),
    Rule(
        name="young-fingers",
        when=_young_fingers,
        then=_young_stop,
        say="young-fingers",
        values=(),
        sure=Sure.PUBLISHED,
        source="Morrison AB, Schoeffl VR (2007) Br J Sports Med 41:852-861; Jones G et al. "
        "(2022) Curr Sports Med Rep 21(12):436-442",
        alone=True,
    ),
    Rule(
        name="hurting",
        when=_hurting,
        then=_spare,
        say="hurting",
        values=("part",),
        sure=Sure.DESIGN_CHOICE,
        source="Stricter of two published pain zones: Silbernagel KG et al. (2007) Am J Sports "
        "Med 35(6):897-906; zone numbers from memory, unconfirmed",
        alone=True,
    ),
)
