"""Warning signs: what they name is not loaded again today; a clinician decides about later.

Sources stand with the signs in `coach.planning.signs`. Any finger pain under 18 counts as one:
growing bones (Morrison AB, Schoeffl VR 2007, Br J Sports Med 41:852-861).
"""

from dataclasses import replace

from coach.model.answers import Meaning
from coach.model.body import CapReason, Feel, Part
from coach.model.person import AgeBand
from coach.planning.rules.rule import Rule, Sure
from coach.planning.signs import After, known
from coach.planning.situation import Draft, Situation


def part_of(s: Situation) -> Part:
    """The part a sign is about: named, else its own, else the one last told of, else fingers."""
    own = known(s.answer.sign).part
    told = [r.part for r in s.day.reports if r.who == s.who and r.feel in (Feel.SORE, Feel.HURTING)]
    return s.answer.part or own or (told[-1] if told else Part.FINGERS)


def _told(s: Situation, after: After) -> bool:
    return s.answer.meaning is Meaning.SIGN and known(s.answer.sign).after is after


def _keep(s: Situation, draft: Draft) -> None:
    """Keep the sign, and leave out the hard tries of whoever told it."""
    sign = (s.who, s.answer.sign or "yes")
    if sign not in draft.day.signs:
        draft.day = replace(draft.day, signs=(*draft.day.signs, sign))
    draft.no_tries()
    draft.ask = "carry-on"


def _of_a_part(s: Situation) -> bool:
    return _told(s, After.PART)


def _stop_loading(s: Situation, draft: Draft) -> None:
    draft.part = part_of(s)
    draft.cap(draft.part, 0, CapReason.SIGN, "warning-sign")
    if draft.part is Part.FINGERS:
        draft.cap(Part.SKIN, 1, CapReason.SIGN, "warning-sign")
    _keep(s, draft)


def _emergency(s: Situation) -> bool:
    return _told(s, After.EMERGENCY) and known(s.answer.sign).published


def _first_aid(s: Situation) -> bool:
    return _told(s, After.EMERGENCY) and not known(s.answer.sign).published


def _over(s: Situation) -> bool:
    return _told(s, After.OVER)


def _nothing_more(s: Situation, draft: Draft) -> None:
    for part in Part:
        draft.cap(part, 0, CapReason.SIGN, "sign-of-the-whole")
    _keep(s, draft)


def _young_fingers(s: Situation) -> bool:
    return (
        s.answer.meaning is Meaning.FEEL
        and s.answer.part is Part.FINGERS
        and s.answer.feel in (Feel.SORE, Feel.HURTING)
        and s.person.age is not AgeBand.ADULT
    )


def _young_stop(s: Situation, draft: Draft) -> None:
    assert s.answer.feel is not None
    draft.report(Part.FINGERS, s.answer.feel)
    draft.cap(Part.FINGERS, 0, CapReason.SIGN, "young-fingers")
    draft.no_tries()
    draft.ask = "carry-on"


RULES = (
    Rule(
        name="emergency-sign",
        fires="a sign of the published list after a fall is told",
        does="no load on anything today; says to get help",
        when=_emergency,
        then=_nothing_more,
        say="emergency-sign",
        values=(),
        sure=Sure.PUBLISHED,
        source="Concussion Recognition Tool: Echemendia RJ et al. (2023) Br J Sports Med 57:689",
    ),
    Rule(
        name="emergency-first-aid",
        fires="chest pain, fainting, confusion or a leg that bears no weight is told",
        does="no load on anything today; says to get help",
        when=_first_aid,
        then=_nothing_more,
        say="emergency-sign",
        values=(),
        sure=Sure.COMMON_PRACTICE,
        source="General first aid (common practice), from memory, unconfirmed",
    ),
    Rule(
        name="ill",
        fires="a fever is told",
        does="no load on anything today",
        when=_over,
        then=_nothing_more,
        say="ill",
        values=(),
        sure=Sure.DESIGN_CHOICE,
        source="No load with a fever: general advice, from memory, unconfirmed",
    ),
    Rule(
        name="warning-sign",
        fires="a sign of a part is told: a pop, swelling, numbness, a finger that won't bend",
        does="no load on that part until a clinician cleared it; no hard tries",
        when=_of_a_part,
        then=_stop_loading,
        say="warning-sign",
        values=("part",),
        sure=Sure.COMMON_PRACTICE,
        source="Pop, palm-side pain: Schoeffl as reported in 2016; the other signs: general first "
        "aid (common practice)",
    ),
    Rule(
        name="young-fingers",
        fires="fingers of somebody under 18, or of no told age, are sore or hurting",
        does="no load on the fingers until a clinician cleared it; no hard tries",
        when=_young_fingers,
        then=_young_stop,
        say="young-fingers",
        values=(),
        sure=Sure.PUBLISHED,
        source="Morrison AB, Schoeffl VR (2007) Br J Sports Med 41:852-861; Jones G et al. "
        "(2022) Curr Sports Med Rep 21(12):436-442",
        alone=True,
    ),
)
