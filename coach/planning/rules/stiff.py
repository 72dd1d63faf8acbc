"""Stiff: more gentle movement there, and nothing harder until it has been asked again."""

from dataclasses import replace

from coach.model.answers import Meaning
from coach.model.body import CapReason, Feel, Part
from coach.model.demands import Does
from coach.model.movement import Family, Movement, Unit
from coach.model.plan import Step
from coach.model.routine import BlockKind
from coach.planning import forms, offers
from coach.planning.allowance import GENTLE
from coach.planning.gates import GATES
from coach.planning.rules.rule import Rule, Sure
from coach.planning.situation import PLAN, PlanDraft, Situation

#: Where gentle movement for a part is looked for.
_FAMILIES = (Family.MAT, Family.HANDS, Family.SHOULDERS, Family.PULSE)
#: What moves a part that no movement is meant for by itself.
_MOVES: dict[Part, frozenset[Does]] = {
    Part.ELBOWS: frozenset({Does.SWINGS_ARMS}),
    Part.NECK: frozenset({Does.BENDS_BACK}),
    Part.CHEST: frozenset({Does.SWINGS_ARMS, Does.TURNS_BACK}),
}
#: Sets of gentle movement that stiffness adds.
_SETS = 2
#: How often a stiff part is moved in one session.
TIMES = 2


def _stiff(s: Situation) -> bool:
    return (
        s.answer.meaning is Meaning.FEEL
        and s.answer.feel is Feel.STIFF
        and s.answer.part is not None
    )


def times(s: Situation, part: Part) -> int:
    """How often this person was moved for this stiff part today."""
    return sum(s.told(f"moved:{part}:{number}") for number in range(1, TIMES + 1))


def _again(s: Situation) -> bool:
    """Whether it was moved often enough, or nothing that may be done today moves it."""
    part = s.answer.part
    return _stiff(s) and part is not None and (times(s, part) >= TIMES or not gentle_for(part, s))


def _first(s: Situation) -> bool:
    return _stiff(s) and not _again(s)


def _gentler(s: Situation, draft: PlanDraft) -> None:
    part = s.answer.part
    assert part is not None
    draft.part = part
    draft.report(part, Feel.STIFF)
    draft.cap(part, GENTLE, CapReason.SORE, "stiff")


def _told_before(s: Situation) -> bool:
    return s.question == PLAN and bool(_unmoved(s))


def _unmoved(s: Situation) -> list[Part]:
    stiff = [r.part for r in s.day.reports if r.who == s.who and r.feel is Feel.STIFF]
    return [part for part in stiff if not times(s, part) and gentle_for(part, s)]


def _move_first(s: Situation, draft: PlanDraft) -> None:
    """What was stiff before the first step is moved before anything asks how the body is."""
    first = next((x.name for x in s.steps if x.question in GATES), "")
    for part in _unmoved(s):
        draft.part = part
        draft.insert(_movement(s, draft, part), before=first)


def gentle_for(part: Part, s: Situation) -> list[Movement]:
    """Gentle movements that move a part and that this person may do now, least load first."""
    today = forms.of(s.day, s.library)
    found = [
        m
        for m in s.library.movements.values()
        if m.family in _FAMILIES
        and (part in m.aims or not m.does.isdisjoint(_MOVES.get(part, frozenset())))
        and m.hang is None
        and m.unit not in (Unit.BOULDERS, Unit.GOES)
        and max(m.load.values()) <= 1
        and not m.static_stretch
        and today.allowed(m, s.person)
    ]
    return sorted(found, key=lambda m: (_FAMILIES.index(m.family), len(m.aims), m.name))


def _more_movement(s: Situation, draft: PlanDraft) -> None:
    part = s.answer.part
    assert part is not None
    draft.part = part
    draft.report(part, Feel.STIFF)
    if not s.steps and s.question not in GATES:
        # nothing is planned yet: the plan begins with it
        return
    added = _movement(s, draft, part)
    if s.question in GATES:
        added.append(draft.ask_step(s.question, BlockKind.MAT))
    draft.insert(added)


def _movement(s: Situation, draft: PlanDraft, part: Part) -> list[Step]:
    """One to two minutes of gentle movement for a part; it is counted, and no minutes cut it."""
    draft.tell(f"moved:{part}:{times(s, part) + 1}")
    today = forms.of(s.day, s.library)
    added: list[Step] = []
    for number, movement in enumerate(gentle_for(part, s)[:_SETS], start=1):
        name = draft.number(f"mat.{part}-{number}")
        step = today.lay(name, movement, movement.amount, BlockKind.MAT, (s.who,))
        added += offers.sided((step,), movement.sides) if step is not None else ()
    return [replace(step, core=True) for step in added]


def _stiff_somewhere(s: Situation) -> bool:
    return (
        s.answer.meaning is Meaning.FEEL and s.answer.feel is Feel.STIFF and s.answer.part is None
    )


def _ask_where(s: Situation, draft: PlanDraft) -> None:
    draft.wait_for("feel:stiff")
    draft.ask = "which-part"


RULES = (
    Rule(
        name="stiff-again",
        fires="a part is stiff after it was moved twice, or nothing moves it",
        does="no more of that: the gentler form for it from here",
        when=_again,
        then=_gentler,
        say="stiff-again",
        values=("part",),
        sure=Sure.DESIGN_CHOICE,
        source="Twice a minute or two is what there is time for; what stays stiff gets less load",
    ),
    Rule(
        name="stiff-before",
        fires="a part was told stiff before the session",
        does="a minute or two of gentle movement for it, before the body is asked about",
        when=_told_before,
        then=_move_first,
        say="stiff",
        values=("part",),
        sure=Sure.COMMON_PRACTICE,
        source="More gentle movement where it is stiff (common practice)",
    ),
    Rule(
        name="stiff",
        fires="a part is stiff",
        does="two sets of gentle movement for it; a gate's question is asked again",
        when=_first,
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
