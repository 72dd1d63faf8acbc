"""Pain: told in words it unloads the part; told as a number its zone decides how far.

The zones are a design choice: the stricter of two published forms, 0 to 2, 3 to 5, over 5 (model
of Silbernagel KG et al. 2007, Am J Sports Med 35(6):897-906; the numbers from memory, unconfirmed;
one secondary source prints 3 in the lowest zone). It was tested on leg tendons, not on fingers.
"""

from coach.model.answers import Meaning
from coach.model.body import CapReason, Feel
from coach.planning.rules.rule import Rule, Sure
from coach.planning.situation import Draft, Situation

#: Highest number of the two lower zones.
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


def _cap(s: Situation, draft: Draft, most: int, reason: CapReason) -> None:
    assert s.answer.part is not None
    draft.part = s.answer.part
    draft.report(s.answer.part, Feel.HURTING)
    draft.cap(s.answer.part, most, reason, "pain")


def _not_the_hardest(s: Situation, draft: Draft) -> None:
    _cap(s, draft, 2, CapReason.SORE)
    draft.no_tries()


def _gentle(s: Situation, draft: Draft) -> None:
    _cap(s, draft, 1, CapReason.SORE)
    draft.no_tries()


def _spare(s: Situation, draft: Draft) -> None:
    _cap(s, draft, 0, CapReason.SORE)
    draft.no_tries()
    draft.ask = "sign"


def _stop(s: Situation, draft: Draft) -> None:
    _cap(s, draft, 0, CapReason.SIGN)
    draft.no_tries()
    draft.ask = "carry-on"


_SOURCE = (
    "Stricter of two published forms of the pain-monitoring model: Silbernagel KG et al. (2007) Am "
    "J Sports Med 35(6):897-906; zone numbers from memory, unconfirmed"
)

RULES = (
    Rule(
        name="hurting",
        fires="a part hurts, how much is not told",
        does="no load on it; no hard tries; asks for signs",
        when=_untold,
        then=_spare,
        say="hurting",
        values=("part",),
        sure=Sure.DESIGN_CHOICE,
        source=_SOURCE,
    ),
    Rule(
        name="pain-slight",
        fires="a pain of 0 to 2 of 10",
        does="the part gets no hardest load; no hard tries",
        when=_slight,
        then=_not_the_hardest,
        say="pain-slight",
        values=("part",),
        sure=Sure.DESIGN_CHOICE,
        source=_SOURCE,
    ),
    Rule(
        name="pain-moderate",
        fires="a pain of 3 to 5 of 10",
        does="the part gets gentle work only; no hard tries",
        when=_moderate,
        then=_gentle,
        say="pain-moderate",
        values=("part",),
        sure=Sure.DESIGN_CHOICE,
        source=_SOURCE,
    ),
    Rule(
        name="pain-severe",
        fires="a pain over 5 of 10",
        does="no load on the part until a clinician cleared it; no hard tries",
        when=_severe,
        then=_stop,
        say="pain-severe",
        values=("part",),
        sure=Sure.DESIGN_CHOICE,
        source=_SOURCE,
    ),
)
