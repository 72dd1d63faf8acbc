"""Sore and tired: the part gets gentle work at most; what kind of sore decides what follows."""

from coach.model.answers import Meaning
from coach.model.body import COMPLAINTS, CapReason, Feel, Part, Tissue
from coach.planning.allowance import GENTLE
from coach.planning.gates import FINGERS, FINGERS_NOW, GATES, GO_AHEAD
from coach.planning.rules.rule import Rule, Sure
from coach.planning.situation import UNTOLD_PART, PlanDraft, Situation

#: Caps of these rules may end by a repeated check after rest.
LIFTABLE = ("sore", "tired")
#: The question of a repeated check, after which nobody has just hung from an edge.
_LATER = {Part.FINGERS: FINGERS_NOW, Part.SHOULDERS: "gate-shoulders"}


def _feels(s: Situation, feel: Feel) -> bool:
    return s.answer.meaning is Meaning.FEEL and s.answer.feel is feel and s.answer.part is not None


def _sore(s: Situation) -> bool:
    return _feels(s, Feel.SORE) and s.answer.part is not Part.SKIN


def _worn_skin(s: Situation) -> bool:
    return _feels(s, Feel.SORE) and s.answer.part is Part.SKIN


def _larger_holds(s: Situation, draft: PlanDraft) -> None:
    draft.part = Part.SKIN
    draft.report(Part.SKIN, Feel.SORE, Tissue.SKIN)
    draft.cap(Part.SKIN, 1, CapReason.SORE, "sore-skin")


def _gentle_only(s: Situation, draft: PlanDraft) -> None:
    part = s.answer.part
    assert part is not None
    draft.part = part
    draft.report(part, Feel.SORE)
    draft.cap(part, 1, CapReason.SORE, "sore")
    _shut_gate_of(part, draft)
    draft.ask = "tissue"


def _shut_gate_of(part: Part, draft: PlanDraft) -> None:
    for gate in GATES.values():
        if gate.about is part and (draft.who, gate.question) in draft.day.gates:
            draft.shut(gate.question)


def _tired(s: Situation) -> bool:
    return _feels(s, Feel.TIRED)


def _not_the_hardest(s: Situation, draft: PlanDraft) -> None:
    part = s.answer.part
    assert part is not None
    draft.part = part
    draft.report(part, Feel.TIRED)
    draft.cap(part, 2, CapReason.SORE, "tired")


def _tired_all(s: Situation) -> bool:
    return (
        s.answer.meaning is Meaning.FEEL
        and s.answer.feel is Feel.TIRED
        and s.answer.part is None
        and s.question != "how-is-it"
    )


def _half_the_tries(s: Situation, draft: PlanDraft) -> None:
    tries = sum(1 for step in s.steps if step.turn == s.who)
    draft.fewer_tries(tries // 2)
    draft.tell("tired")


def sore_part(s: Situation) -> Part:
    """The part that was asked about; untold, the one told to be sore last, or the fingers."""
    if s.answer.part is not None:
        return s.answer.part
    told = [r.part for r in s.day.reports if r.who == s.who and r.feel is Feel.SORE]
    return told[-1] if told else Part.FINGERS


def _skin(s: Situation) -> bool:
    return s.answer.meaning is Meaning.TISSUE and s.answer.tissue is Tissue.SKIN


def _spare_skin(s: Situation, draft: PlanDraft) -> None:
    part = sore_part(s)
    draft.part = part
    draft.report(part, Feel.SORE, Tissue.SKIN)
    draft.cap(Part.SKIN, 1, CapReason.SORE, "sore-skin")


def _muscle(s: Situation) -> bool:
    return s.answer.meaning is Meaning.TISSUE and s.answer.tissue is Tissue.MUSCLE


def _check_later(s: Situation, draft: PlanDraft) -> None:
    part = sore_part(s)
    draft.part = part
    draft.report(part, Feel.SORE, Tissue.MUSCLE)
    draft.cap(part, 1, CapReason.SORE, "sore")
    gate = _LATER.get(part)
    if gate == FINGERS_NOW:
        draft.trade(FINGERS, FINGERS_NOW)
    if gate is not None and draft.steps:
        draft.check_again(gate)


def _joint(s: Situation) -> bool:
    return s.answer.meaning is Meaning.TISSUE and s.answer.tissue not in (
        Tissue.SKIN,
        Tissue.MUSCLE,
    )


def _spare_joint(s: Situation, draft: PlanDraft) -> None:
    part = sore_part(s)
    draft.part = part
    draft.report(part, Feel.SORE, Tissue.JOINT)
    draft.cap(part, 0, CapReason.SORE, "sore-joint")
    draft.no_tries()
    draft.ask = "sign"


def _somewhere(s: Situation) -> bool:
    return (
        s.answer.meaning is Meaning.FEEL
        and s.answer.feel in COMPLAINTS
        and s.answer.part is None
        and s.question != UNTOLD_PART
    )


def _untold(s: Situation) -> bool:
    return s.question == UNTOLD_PART and s.answer.feel is not Feel.STIFF


def _spare_everything(s: Situation, draft: PlanDraft) -> None:
    """Nobody told where: it could be anywhere. Sore leaves gentle work, all else nothing."""
    most = GENTLE if s.answer.feel is Feel.SORE else 0
    for part in Part:
        draft.cap(part, most, CapReason.SORE, "part-untold")
    draft.no_tries()


def _ask_where(s: Situation, draft: PlanDraft) -> None:
    assert s.answer.feel is not None
    draft.wait_for(s.answer.key)
    if s.running is not None and s.running.hangs:  # what hangs is spared until it is told
        draft.cap(Part.FINGERS, 1, CapReason.SORE, "sore")
        draft.part = Part.FINGERS
    if s.who in s.day.go:
        draft.shut(GO_AHEAD)
        first = next((x for x in draft.steps if x.turn == s.who), None)
        if first is not None:
            draft.insert([draft.ask_step(GO_AHEAD, first.block)], before=first.name)
    draft.ask = "which-part"


RULES = (
    Rule(
        name="part-untold",
        fires="it was asked where it is sore or hurts, and nobody answered",
        does="sore: gentle work only for every part; hurting or a sign: no load on any",
        when=_untold,
        then=_spare_everything,
        say="part-untold",
        values=("left",),
        sure=Sure.DESIGN_CHOICE,
        source="What is unknown counts as risky",
        alone=True,
    ),
    Rule(
        name="sore-somewhere",
        fires="something is sore or hurting, it is not told where",
        does="asks where; the go-ahead is asked again; on the board the fingers get gentle work",
        when=_somewhere,
        then=_ask_where,
        say="sore-where",
        values=(),
        sure=Sure.DESIGN_CHOICE,
        source="",
        alone=True,
    ),
    Rule(
        name="sore",
        fires="a part is sore",
        does="gentle work only for it; its gate shuts; asks skin, muscle or joint",
        when=_sore,
        then=_gentle_only,
        say="sore",
        values=("part", "lost", "minutes"),
        sure=Sure.COMMON_PRACTICE,
        source="Poor fingers, skin or head: more easy volume, less edge, no hard tries "
        "(common practice)",
    ),
    Rule(
        name="worn-skin",
        fires="the skin is sore",
        does="larger holds, easy boulders, no hard tries",
        when=_worn_skin,
        then=_larger_holds,
        say="worn-skin",
        values=("lost",),
        sure=Sure.COMMON_PRACTICE,
        source="Poor fingers, skin or head: more easy volume, less edge, no hard tries "
        "(common practice)",
    ),
    Rule(
        name="sore-skin",
        fires="what is sore is the skin",
        does="larger holds and easy boulders",
        when=_skin,
        then=_spare_skin,
        say="sore-skin",
        values=("part",),
        sure=Sure.COMMON_PRACTICE,
        source="Larger holds and easy boulders while the skin is sore (common practice)",
    ),
    Rule(
        name="sore-muscle",
        fires="what is sore is a muscle",
        does="gentle work only; fingers and shoulders are asked once more after five minutes",
        when=_muscle,
        then=_check_later,
        say="sore-muscle",
        values=("part", "again"),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
    Rule(
        name="sore-joint",
        fires="what is sore is a joint, or it is not clear",
        does="no load on the part; no hard tries; asks for signs",
        when=_joint,
        then=_spare_joint,
        say="sore-joint",
        values=("part",),
        sure=Sure.DESIGN_CHOICE,
        source="Pain in a joint or tendon is not trained through; return is a clinician's "
        "decision (Schoeffl 2006, J Hand Surg 31A(4):647-654)",
    ),
    Rule(
        name="tired",
        fires="a part is tired",
        does="no hardest load for it",
        when=_tired,
        then=_not_the_hardest,
        say="tired",
        values=("part", "lost"),
        sure=Sure.COMMON_PRACTICE,
        source="No hard tries on a tired part (common practice)",
    ),
    Rule(
        name="tired-all",
        fires="somebody is tired all over",
        does="half of their hard tries that are left",
        when=_tired_all,
        then=_half_the_tries,
        say="tired-all",
        values=("tries", "who"),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
)
