"""What the caps allow now: fewer or gentler forms for one person, or for everybody."""

from dataclasses import replace

from coach.group.draft import Draft
from coach.group.making import Commons
from coach.group.state import Common, Plan
from coach.model.answers import Answer, Meaning
from coach.model.body import Cap, CapReason
from coach.model.body import Part as Body
from coach.model.facts import CapSet
from coach.model.messages import message
from coach.planning import adapt
from coach.planning.allowance import GENTLE


def ease(draft: Draft, who: int, answer: Answer) -> None:
    """What an answer does to the caps of one person, and so to what they may do."""
    g = draft.g
    before = set(g.plan.day.caps)
    day = adapt(g.plan.day, (), draft.now, who, answer, "", g.library).day
    for cap in day.caps:
        if cap not in before:
            draft.record(CapSet(draft.now, who, cap.part, cap.most, cap.reason, cap.rule))
    draft.set(plan=replaced(replace(g.plan, day=day), draft))


def cold(draft: Draft) -> None:
    """A warm-up that was cut short: nobody is offered a harder form today."""
    caps = [
        Cap(who, part, GENTLE, CapReason.COLD, "skip-floor")
        for who in draft.g.people
        for part in Body
    ]
    held = set(draft.g.plan.day.caps)
    added = [cap for cap in caps if cap not in held]
    if added:
        day = replace(draft.g.plan.day, caps=(*draft.g.plan.day.caps, *added))
        draft.set(plan=replaced(draft.g.plan, draft, day_caps=day.caps))
        draft.took(Answer(Meaning.NEXT), message("group-cold"))


def replaced(plan: Plan, draft: Draft, day_caps: tuple[Cap, ...] | None = None) -> Plan:
    """A plan whose steps are what the caps allow now."""
    if day_caps is not None:
        plan = replace(plan, day=replace(plan.day, caps=day_caps))
    common = Commons(plan.day, draft.g.library)

    def now(commons: tuple[Common, ...]) -> tuple[Common, ...]:
        found = (common.common(one.step) for one in commons)
        return tuple(one for one in found if one is not None)

    runs = 0 if draft.g.running is None else 1
    draft.set(commons=(*draft.g.commons[:runs], *now(draft.g.commons[runs:])))
    return replace(
        plan,
        warm=now(plan.warm),
        stops=tuple(
            replace(stop, commons=kept) for stop in plan.stops if (kept := now(stop.commons))
        ),
        down=now(plan.down),
    )
