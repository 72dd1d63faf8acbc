"""Back after a break, by its reason: a clinician decides; what is left until then is gentle.

These rules fire once for each person when the plan is made.
"""

from coach.model.body import CapReason, Part
from coach.planning.break_limits import (
    ALL,
    BIRTH,
    ILL,
    ILLNESS,
    INJURY,
    SIGN_UNTOLD,
    SOMEWHERE,
    UNEXPLAINED,
    UNTOLD,
    WELL,
)
from coach.planning.rules.rule import Rule, Sure
from coach.planning.situation import PLAN, PlanDraft, Situation


def _told(s: Situation, *tags: str) -> bool:
    return s.question == PLAN and any(s.told(tag) for tag in tags)


def _holiday(s: Situation) -> bool:
    return _told(s, "break:holiday")


def _illness(s: Situation) -> bool:
    return _told(s, ILLNESS)


def _not_yet_well(s: Situation) -> bool:
    return _told(s, ILL)


def _sign_untold(s: Situation) -> bool:
    return _told(s, SIGN_UNTOLD)


def _well(s: Situation) -> list[Part]:
    """The parts that are loaded again for the first time."""
    if _told(s, WELL + ALL):
        return list(Part)
    return [part for part in Part if _told(s, WELL + part)]


def _well_again(s: Situation) -> bool:
    return bool(_well(s))


def _first_load(s: Situation, draft: PlanDraft) -> None:
    for part in _well(s):
        draft.part = part
        draft.cap(part, 1, CapReason.SORE, "well-again")
    draft.no_tries()
    draft.shorter = True


def _injury(s: Situation) -> bool:
    return _told(s, INJURY)


def _somewhere(s: Situation) -> bool:
    """Whether nobody told which part was injured."""
    return _injury(s) and any(c.who == s.who and c.rule == SOMEWHERE for c in s.day.caps)


def _birth(s: Situation) -> bool:
    return _told(s, BIRTH)


def _untold(s: Situation) -> bool:
    return _told(s, UNEXPLAINED)


def _no_tries(s: Situation, draft: PlanDraft) -> None:
    draft.no_tries()


def _gentle_day(s: Situation, draft: PlanDraft) -> None:
    for part in Part:
        draft.cap(part, 1, CapReason.SORE, "back-after-break")
    draft.no_tries()
    draft.shorter = True


RULES = (
    Rule(
        name=SOMEWHERE,
        fires="back after an injury, and nobody told of which part",
        does="no load on any part: it could be any",
        when=_somewhere,
        then=_no_tries,
        say="injury-somewhere",
        values=(),
        sure=Sure.DESIGN_CHOICE,
        source="What is unknown counts as risky",
    ),
    Rule(
        name=UNTOLD,
        fires="a sign of an earlier day that no clinician cleared, and nobody told of which part",
        does="no load on any part: it could be any",
        when=_sign_untold,
        then=_no_tries,
        say="sign-untold",
        values=(),
        sure=Sure.DESIGN_CHOICE,
        source="What is unknown counts as risky",
    ),
    Rule(
        name="not-yet-well",
        fires="after an illness, and not seven days without symptoms, or nobody tells",
        does="no load on any part",
        when=_not_yet_well,
        then=_no_tries,
        say="not-yet-well",
        values=(),
        sure=Sure.DESIGN_CHOICE,
        source="Salman D et al. (2021) BMJ 372:m4721: seven days without symptoms come first",
    ),
    Rule(
        name="well-again",
        fires="the first session after something was cleared, or is well again",
        does="gentle work only there, and no more of it in place of the hard tries that go",
        when=_well_again,
        then=_first_load,
        say="well-again",
        values=("part",),
        sure=Sure.DESIGN_CHOICE,
        source="One gentle session before the usual load; no source gives a number of them",
    ),
    Rule(
        name="back-after-injury",
        fires="back after an injury",
        does="no load on its part until a clinician cleared it, so no boulders; the rest gentle",
        when=_injury,
        then=_gentle_day,
        say="back-after-injury",
        values=(),
        sure=Sure.DESIGN_CHOICE,
        source="Return after an injury is a clinician's decision (Schoeffl VR, Schoeffl I 2006, J "
        "Hand Surg 31A(4):647-654)",
    ),
    Rule(
        name="back-after-birth",
        fires="back after giving birth, and nobody cleared it",
        does="gentle mobility only: no boulders, hangs, jumps, falls, hard pulls, planks, and no "
        "lying on the front",
        when=_birth,
        then=_gentle_day,
        say="back-after-birth",
        values=(),
        sure=Sure.DESIGN_CHOICE,
        source="Goom T, Donnelly G, Brockwell E (2019): no high impact before three months or with "
        "any symptom (expert guidance, running); bouldering with it, and until it is cleared, is "
        "our stricter choice",
    ),
    Rule(
        name="back-after-illness",
        fires="back after an illness, after seven days without symptoms",
        does="gentle mobility only, as after birth: no boulders, hangs, jumps or hard pulls",
        when=_illness,
        then=_gentle_day,
        say="back-after-illness",
        values=(),
        sure=Sure.DESIGN_CHOICE,
        source="Salman D et al. (2021) BMJ 372:m4721: seven days without symptoms, then two weeks "
        "of least effort; that mobility alone is least effort is our reading",
    ),
    Rule(
        name="back-after-break",
        fires="back after a break of untold reason",
        does="gentle mobility only, as after birth and illness: it may have been either",
        when=_untold,
        then=_gentle_day,
        say="back-after-break",
        values=(),
        sure=Sure.DESIGN_CHOICE,
        source="What is unknown counts as risky: after illness, injury and birth a clinician "
        "decides",
    ),
    Rule(
        name="back-after-holiday",
        fires="back after a holiday",
        does="no hard tries",
        when=_holiday,
        then=_no_tries,
        say="back-after-holiday",
        values=(),
        sure=Sure.COMMON_PRACTICE,
        source="First days back are easy ones (common practice)",
    ),
)
