"""Stiff: more gentle movement there, and nothing harder until it has been asked again."""

from coach.model.answers import Meaning
from coach.model.body import Feel, Part
from coach.model.movement import Family, Movement, Unit
from coach.model.plan import Step
from coach.model.routine import BlockKind
from coach.planning import forms, offers
from coach.planning.gates import GATES
from coach.planning.rules.rule import Rule, Sure
from coach.planning.situation import Draft, Situation

#: Where gentle movement for a part is looked for.
_FAMILIES = (Family.MAT, Family.HANDS, Family.SHOULDERS, Family.PULSE)
#: Sets of gentle movement that stiffness adds.
_SETS = 2


def _stiff(s: Situation) -> bool:
    return (
        s.answer.meaning is Meaning.FEEL
        and s.answer.feel is Feel.STIFF
        and s.answer.part is not None
    )


def gentle_for(part: Part, s: Situation) -> list[Movement]:
    """Gentle movements that move a part and that this person may do now, least load first."""
    today = forms.of(s.day, s.library)
    found = [
        m
        for m in s.library.movements.values()
        if m.family in _FAMILIES
        and part in m.aims
        and m.hang is None
        and m.unit not in (Unit.BOULDERS, Unit.GOES)
        and max(m.load.values()) <= 1
        and not m.static_stretch
        and today.allowed(m, s.person)
    ]
    return sorted(found, key=lambda m: (_FAMILIES.index(m.family), len(m.aims), m.name))


def _more_movement(s: Situation, draft: Draft) -> None:
    part = s.answer.part
    assert part is not None
    draft.part = part
    draft.report(part, Feel.STIFF)
    today = forms.of(s.day, s.library)
    added: list[Step] = []
    for number, movement in enumerate(gentle_for(part, s)[:_SETS], start=1):
        name = draft.number(f"mat.{part}-{number}")
        step = today.lay(name, movement, movement.amount, BlockKind.MAT, (s.who,))
        added += offers.sided((step,), movement.sides) if step is not None else ()
    if s.question in GATES:
        added.append(draft.ask_step(s.question, BlockKind.MAT))
    draft.insert(added)


def _stiff_somewhere(s: Situation) -> bool:
    return (
        s.answer.meaning is Meaning.FEEL and s.answer.feel is Feel.STIFF and s.answer.part is None
    )


def _ask_where(s: Situation, draft: Draft) -> None:
    draft.wait_for("feel:stiff")
    draft.ask = "which-part"


RULES = (
    Rule(
        name="stiff",
        fires="a part is stiff",
        does="two sets of gentle movement for it; a gate's question is asked again",
        when=_stiff,
        then=_more_movement,
        say="stiff",
        values=("part",),
        sure=Sure.COMMON_PRACTICE,
        source="Dynamic rather than static: Behm DG et al. (2016) Appl Physiol Nutr Metab "
        "41(1):1-11; more of it where it is stiff is common practice",
    ),
    Rule(
        name="stiff-somewhere",
        fires="something is stiff, it is not told where",
        does="asks where",
        when=_stiff_somewhere,
        then=_ask_where,
        say="stiff-where",
        values=(),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
)
