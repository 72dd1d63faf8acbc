"""Pain: whatever hurts gets no load any more today; how much it hurts decides what else is said.

The published pain-monitoring model lets a slight pain work on (Silbernagel KG et al. 2007, Am J
Sports Med 35(6):897-906, tested on leg tendons; its zones from memory, unconfirmed). Ours is
stricter and a choice of ours: nobody here can tell a tendon that grumbles from one that has just
torn, so no pain is loaded. The limits of the words are the stricter of two published forms of that
model; a published scale of words calls up to 3.4 slight and up to 6.4 moderate (Boonstra AM et al.
2014, Pain 155:2545-2550, chronic pain).
"""

from coach.model.answers import Meaning
from coach.model.body import CapReason, Feel
from coach.planning.rules.rule import Rule, Sure
from coach.planning.situation import PlanDraft, Situation

#: Highest whole number of a slight and of a moderate pain.
SLIGHT = 2
MODERATE = 5


def _hurting(s: Situation) -> bool:
    return (
        s.answer.meaning is Meaning.FEEL
        and s.answer.feel is Feel.HURTING
        and s.answer.part is not None
    )


def _zone(s: Situation, least: int, most: int) -> bool:
    return _hurting(s) and s.answer.number is not None and least <= s.answer.number <= most


def _slight(s: Situation) -> bool:
    return _zone(s, 0, SLIGHT)


def _moderate(s: Situation) -> bool:
    return _zone(s, SLIGHT + 1, MODERATE)


def _severe(s: Situation) -> bool:
    return _hurting(s) and s.answer.number is not None and s.answer.number > MODERATE


def _untold(s: Situation) -> bool:
    return _hurting(s) and s.answer.number is None


def _spare_with(s: Situation, draft: PlanDraft, reason: CapReason) -> None:
    assert s.answer.part is not None
    draft.part = s.answer.part
    draft.report(s.answer.part, Feel.HURTING)
    draft.cap(s.answer.part, 0, reason, "pain")
    draft.no_tries()


def _spare(s: Situation, draft: PlanDraft) -> None:
    _spare_with(s, draft, CapReason.SORE)


def _spare_and_ask(s: Situation, draft: PlanDraft) -> None:
    _spare_with(s, draft, CapReason.SORE)
    draft.ask = "sign"


def _stop(s: Situation, draft: PlanDraft) -> None:
    _spare_with(s, draft, CapReason.SIGN)
    draft.ask = "carry-on"


_SOURCE = (
    "Stricter than the pain-monitoring model (Silbernagel KG et al. 2007, Am J Sports Med "
    "35(6):897-906), which was tested on leg tendons; words by Boonstra AM et al. 2014, Pain "
    "155:2545-2550"
)
#: What they say: the part, and what is left of the session.
_LEFT = ("part", "left", "parts", "alone")

RULES = (
    Rule(
        name="hurting",
        fires="a part hurts, how much is not told",
        does="no load on it; no hard tries; asks for signs",
        when=_untold,
        then=_spare_and_ask,
        say="hurting",
        say_over="hurting-over",
        values=_LEFT,
        sure=Sure.DESIGN_CHOICE,
        source=_SOURCE,
    ),
    Rule(
        name="pain-slight",
        fires="a slight pain (0 to 2 of 10)",
        does="no load on it today; no hard tries",
        when=_slight,
        then=_spare,
        say="hurting",
        say_over="hurting-over",
        values=_LEFT,
        sure=Sure.DESIGN_CHOICE,
        source=_SOURCE,
    ),
    Rule(
        name="pain-moderate",
        fires="a moderate pain (3 to 5 of 10)",
        does="no load on it today; no hard tries; asks for signs",
        when=_moderate,
        then=_spare_and_ask,
        say="hurting",
        say_over="hurting-over",
        values=_LEFT,
        sure=Sure.DESIGN_CHOICE,
        source=_SOURCE,
    ),
    Rule(
        name="pain-severe",
        fires="a severe pain (over 5 of 10)",
        does="no load on the part until a clinician cleared it; no hard tries",
        when=_severe,
        then=_stop,
        say="pain-severe",
        say_over="pain-severe",
        values=_LEFT,
        sure=Sure.DESIGN_CHOICE,
        source=_SOURCE,
    ),
)
