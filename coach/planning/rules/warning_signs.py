"""Warning signs: what they name is not loaded again today; a clinician decides about later.

Sources stand with the signs in `coach.model.signs`. Pain of growing bones counts as a sign (ages
and parts by Caine D et al. 2021, Sports Med; Morrison AB, Schoeffl VR 2007, Br J Sports Med
41:852-861; wrist, elbow and shoulder by medical notes seen in copies): under 18, and where nobody
told an age.
"""

from dataclasses import replace

from coach.model.answers import Meaning
from coach.model.body import COMPLAINTS, CapReason, Feel, Part
from coach.model.person import AgeBand
from coach.model.signs import AfterSign, Sign, known, meant, strange
from coach.planning.rules.rule import Rule, Sure
from coach.planning.situation import UNTOLD_PART, PlanDraft, Situation

#: Where bones grow and climbing loads them.
GROWING = frozenset({Part.FINGERS, Part.WRISTS, Part.ELBOWS, Part.SHOULDERS})


def part_of(s: Situation) -> Part | None:
    """The part a sign is about: named, else its own, else the one last told of; None if untold."""
    own = known(s.answer.sign).part
    told = [r.part for r in s.day.reports if r.who == s.who and r.complains]
    return s.answer.part or own or (told[-1] if told else None)


def _sign(s: Situation) -> Sign:
    return meant(s.answer.sign, part_of(s))


def _told(s: Situation, after: AfterSign) -> bool:
    return s.answer.meaning is Meaning.SIGN and _sign(s).after is after


def _keep(s: Situation, draft: PlanDraft) -> None:
    """Keep the sign, and leave out the hard tries of whoever told it."""
    sign = (s.who, s.answer.sign or "yes")
    if sign not in draft.day.signs:
        draft.day = replace(draft.day, signs=(*draft.day.signs, sign))
    draft.no_tries()
    draft.ask = "carry-on"


def _strange(s: Situation) -> bool:
    return s.answer.meaning is Meaning.SIGN and strange(s.answer.sign) and part_of(s) is not None


def _as_hurting(s: Situation, draft: PlanDraft) -> None:
    draft.part = part_of(s)
    assert draft.part is not None
    draft.report(draft.part, Feel.HURTING)
    draft.cap(draft.part, 0, CapReason.SORE, "pain")
    draft.no_tries()
    draft.ask = "sign"


def _of_a_part(s: Situation) -> bool:
    known_sign = _told(s, AfterSign.PART) and not strange(s.answer.sign)
    return known_sign and part_of(s) is not None


def _stop_loading(s: Situation, draft: PlanDraft) -> None:
    draft.part = part_of(s)
    assert draft.part is not None
    draft.cap(draft.part, 0, CapReason.SIGN, "warning-sign")
    if draft.part is Part.FINGERS:
        draft.cap(Part.SKIN, 1, CapReason.SIGN, "warning-sign")
    _keep(s, draft)


def _somewhere(s: Situation) -> bool:
    asked = s.question == UNTOLD_PART
    return _told(s, AfterSign.PART) and part_of(s) is None and not asked


def _strange_somewhere(s: Situation) -> bool:
    return strange(s.answer.sign) and _somewhere(s)


def _ask_where(s: Situation, draft: PlanDraft) -> None:
    draft.wait_for(s.answer.key)
    draft.no_tries()
    if s.running is not None and s.running.hangs:
        draft.cap(Part.FINGERS, 0, CapReason.SORE, "pain")
    draft.ask = "which-part"


def _emergency(s: Situation) -> bool:
    return _told(s, AfterSign.EMERGENCY) and _sign(s).published


def _first_aid(s: Situation) -> bool:
    return _told(s, AfterSign.EMERGENCY) and not _sign(s).published


def _head(s: Situation) -> bool:
    return _told(s, AfterSign.HEAD)


def _over(s: Situation) -> bool:
    return _told(s, AfterSign.OVER)


def _nothing_more(s: Situation, draft: PlanDraft) -> None:
    for part in Part:
        draft.cap(part, 0, CapReason.SIGN, "sign-of-the-whole")
    _keep(s, draft)


def _whole_pain(s: Situation) -> bool:
    """A chest or a head that hurts, or that is sore and no muscle, is a sign of the whole."""
    about = s.answer.part in (Part.HEAD, Part.CHEST)
    return about and s.answer.meaning is Meaning.FEEL and s.answer.feel is Feel.HURTING


def _pain_of_the_whole(s: Situation, draft: PlanDraft) -> None:
    assert s.answer.part is not None
    draft.part = s.answer.part
    draft.report(s.answer.part, Feel.HURTING)
    for part in Part:
        draft.cap(part, 0, CapReason.SIGN, "sign-of-the-whole")
    sign = (s.who, "chest-pain" if s.answer.part is Part.CHEST else "headache")
    if sign not in draft.day.signs:
        draft.day = replace(draft.day, signs=(*draft.day.signs, sign))
    draft.no_tries()
    draft.ask = "carry-on"


def _growing_pain(s: Situation) -> bool:
    return (
        s.answer.meaning is Meaning.FEEL
        and s.answer.part in GROWING
        and s.answer.feel in COMPLAINTS
    )


def _young_fingers(s: Situation) -> bool:
    fingers = s.answer.part is Part.FINGERS
    return _growing_pain(s) and fingers and s.person.age in (AgeBand.UNDER_16, AgeBand.UNDER_18)


def _young_limb(s: Situation) -> bool:
    pain = s.answer.feel is Feel.HURTING and s.answer.part is not Part.FINGERS
    return _growing_pain(s) and pain and s.person.age in (AgeBand.UNDER_16, AgeBand.UNDER_18)


def _unknown_age(s: Situation) -> bool:
    counts = s.answer.part is Part.FINGERS or s.answer.feel is Feel.HURTING
    return _growing_pain(s) and counts and s.person.age is AgeBand.UNKNOWN


def _age_may_be(s: Situation, draft: PlanDraft) -> None:
    """The careful rule until somebody tells the age: no sign stands on the record for that."""
    assert s.answer.feel is not None
    assert s.answer.part is not None
    draft.part = s.answer.part
    draft.report(s.answer.part, s.answer.feel)
    draft.cap(s.answer.part, 0, CapReason.SORE, "young-pain")
    draft.no_tries()
    draft.ask = "sign"


def _young_stop(s: Situation, draft: PlanDraft) -> None:
    assert s.answer.feel is not None
    assert s.answer.part is not None
    draft.part = s.answer.part
    draft.report(s.answer.part, s.answer.feel)
    draft.cap(s.answer.part, 0, CapReason.SIGN, "young-pain")
    draft.no_tries()
    draft.ask = "carry-on"


_YOUNG = (
    "Morrison AB, Schoeffl VR (2007) Br J Sports Med 41:852-861; Jones G et al. (2022) Curr Sports "
    "Med Rep 21(12):436-442: pain at the back of the middle joint is looked at promptly; that any "
    "soreness of the fingers stops them until somebody has looked is our stricter choice"
)
_LIMBS = (
    "Caine D et al. (2021) Sports Med (4):741-772; that wrist, elbow and shoulder are unloaded "
    "until a doctor has looked is our stricter choice"
)

RULES = (
    Rule(
        name="emergency-sign",
        fires="a sign of the head or the neck that a published list takes as an emergency is told",
        does="no load on anything today; says to get help",
        when=_emergency,
        then=_nothing_more,
        say="emergency-sign",
        values=(),
        sure=Sure.PUBLISHED,
        source="Echemendia RJ et al. (2023) Br J Sports Med 57(11):692-694, in transcription; "
        "CDC Heads Up (2015)",
    ),
    Rule(
        name="emergency-first-aid",
        fires="chest pain, fainting, heavy bleeding, a back that hurts after a fall or shows a "
        "sign, broken skin, or a leg that bears no weight is told",
        does="no load on anything today; says to get help",
        when=_first_aid,
        then=_nothing_more,
        say="emergency-sign",
        values=(),
        sure=Sure.COMMON_PRACTICE,
        source="General first aid as health services print it (common practice), seen in copies",
    ),
    Rule(
        name="head-sign",
        fires="a knock on the head, or a symptom after one, is told",
        does="no load on anything today; no climbing until somebody qualified has looked",
        when=_head,
        then=_nothing_more,
        say="head-sign",
        values=(),
        sure=Sure.PUBLISHED,
        source="Echemendia RJ et al. (2023) Br J Sports Med 57(11):692-694, seen in a "
        "transcription: one sign is enough, even if it goes away",
    ),
    Rule(
        name="whole-pain",
        fires="the head or the chest hurts",
        does="no load on anything today; says to get help",
        when=_whole_pain,
        then=_pain_of_the_whole,
        say="emergency-sign",
        values=(),
        sure=Sure.DESIGN_CHOICE,
        source="Any pain of the chest, at once, is stricter than what health services print",
        alone=True,
    ),
    Rule(
        name="ill",
        fires="a fever is told",
        does="no load on anything today",
        when=_over,
        then=_nothing_more,
        say="ill",
        values=(),
        sure=Sure.COMMON_PRACTICE,
        source="With a fever nobody trains (common practice); Schwellnus M et al. (2022) Br J "
        "Sports Med 56(19):1066-1088 is the review, its criteria not seen",
    ),
    Rule(
        name="unknown-sign",
        fires="a sign with a name that nobody here knows is told of a part",
        does="counts as hurting: no load on it; no hard tries; asks for signs",
        when=_strange,
        then=_as_hurting,
        say="unknown-sign",
        values=("sign", "part"),
        sure=Sure.DESIGN_CHOICE,
        source="What is unknown counts as risky",
        alone=True,
    ),
    Rule(
        name="unknown-sign-somewhere",
        fires="a sign with a name that nobody here knows is told, and not where",
        does="counts as hurting: no hard tries; asks where; without an answer nothing is loaded",
        when=_strange_somewhere,
        then=_ask_where,
        say="unknown-sign-somewhere",
        values=("sign",),
        sure=Sure.DESIGN_CHOICE,
        source="What is unknown counts as risky",
        alone=True,
    ),
    Rule(
        name="sign-somewhere",
        fires="a sign of a part is told, it is not told where",
        does="no hard tries; asks where; without an answer nothing is loaded any more",
        when=_somewhere,
        then=_ask_where,
        say="sore-where",
        values=(),
        sure=Sure.DESIGN_CHOICE,
        source="",
        alone=True,
    ),
    Rule(
        name="warning-sign",
        fires="a sign of a part is told: a pop, swelling, numbness, something that won't bend",
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
        fires="fingers of somebody under 18 are sore or hurting",
        does="no load on the fingers until a clinician cleared it; no hard tries",
        when=_young_fingers,
        then=_young_stop,
        say="young-fingers",
        values=("part",),
        sure=Sure.DESIGN_CHOICE,
        source=_YOUNG,
        alone=True,
    ),
    Rule(
        name="young-limb",
        fires="wrist, elbow or shoulder of somebody under 18 hurts",
        does="no load on it until a clinician cleared it; no hard tries",
        when=_young_limb,
        then=_young_stop,
        say="young-limb",
        values=("part",),
        sure=Sure.DESIGN_CHOICE,
        source=_LIMBS,
        alone=True,
    ),
    Rule(
        name="age-unknown-pain",
        fires="fingers are sore, or fingers, wrist, elbow or shoulder hurt, of somebody whose age "
        "nobody told",
        does="the careful rule of the young holds, and it says that this is why",
        when=_unknown_age,
        then=_age_may_be,
        say="age-unknown-pain",
        values=("part",),
        sure=Sure.DESIGN_CHOICE,
        source=_YOUNG,
        alone=True,
    ),
)
