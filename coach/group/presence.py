"""Who takes part: taking somebody out, letting somebody in.

`let_in` is the only answer of a leader that raises load; it has a window of its own.
"""

from dataclasses import replace

from coach.group import moving
from coach.group.draft import Draft
from coach.group.easing import replaced
from coach.group.leading import LET_IN, THINK
from coach.group.state import Part, Status
from coach.model.answers import Answer
from coach.model.facts import CapLifted, Presence
from coach.model.messages import message
from coach.planning.allowance import GENTLE


def out(draft: Draft, answer: Answer) -> None:
    """Somebody takes no part any more."""
    gone(draft, draft.g.asked, Status.OUT, answer)


def late(draft: Draft, answer: Answer) -> None:
    """Somebody who was not here comes in, mat first; somebody who is here comes later."""
    who = draft.g.asked
    if draft.g.status(who) is Status.HERE:
        gone(draft, who, Status.LATE, answer)
    elif who in draft.g.unhealed:
        returns(draft, answer)
    else:
        _in(draft, who, answer, mat=True)


def returns(draft: Draft, answer: Answer) -> None:
    """Somebody is back. After hurting that takes the leader's own clear yes."""
    who = draft.g.asked
    if who in draft.g.unhealed:
        draft.say(message("group-let-in", people=str(who)))
        draft.open_window(LET_IN, who, 2 * THINK)
        return
    if draft.g.status(who) is not Status.HERE:
        _in(draft, who, answer, mat=who not in _warm(draft))
    else:
        draft.about_nobody()


def let_in(draft: Draft, answer: Answer) -> None:
    """After hurting, and only by this phrase: gentle forms, nothing harder today."""
    g, who = draft.g, draft.g.asked
    assert who in g.unhealed, "only then is it asked"
    caps = tuple(
        replace(cap, most=max(cap.most, GENTLE)) if cap.who == who and cap.rule == "hurt" else cap
        for cap in g.plan.day.caps
    )
    for cap in caps:
        if cap not in g.plan.day.caps:
            draft.record(CapLifted(draft.now, who, cap.part, cap.reason, answer.key))
    draft.set(plan=replaced(g.plan, draft, day_caps=caps), unhealed=g.unhealed - {who})
    _in(draft, who, answer, mat=False)


def gone(draft: Draft, who: int, status: Status, answer: Answer) -> None:
    """Somebody takes no part now: their place is free for others."""
    g = draft.g
    unhealed = g.unhealed | {who} if status is Status.HURT else g.unhealed
    draft.set(statuses={**g.statuses, who: status}, asked=0, unhealed=unhealed)
    draft.record(Presence(draft.now, who, status.value, answer.key))
    vacate(draft, who)
    draft.close_window()
    draft.took(answer, message(f"group-{status.value}-shown", people=str(who)))
    key = "group-later" if status is Status.LATE else "group-aside"  # 'aside' tells no reason
    draft.say(message(key, people=str(who)))
    _reseat(draft)


def vacate(draft: Draft, who: int) -> None:
    """Somebody leaves their seat in the middle of a turn."""
    g = draft.g
    for seat in g.seated:
        if seat.turn.who == who:
            moving.leave(draft, seat, "cut")
    draft.set(
        seated=tuple(seat for seat in g.seated if seat.turn.who != who),
        ready=tuple(one for one in g.ready if one != who),
    )


def _reseat(draft: Draft) -> None:
    """The rota without, or with, somebody."""
    if draft.g.part is Part.ROTA:
        moving.replan(draft)
        if draft.g.standing is None:
            moving.change(draft)


def _in(draft: Draft, who: int, answer: Answer, *, mat: bool) -> None:
    """Somebody takes part from now on."""
    g = draft.g
    owes = g.late | {who} if mat and g.part is not Part.DOWN else g.late
    draft.set(statuses={**g.statuses, who: Status.HERE}, late=owes, asked=0)
    draft.record(Presence(draft.now, who, Status.HERE.value, answer.key))
    draft.close_window()
    key = "group-mat-first" if who in owes and g.part is not Part.DOWN else "group-in"
    draft.took(answer, message(key, people=str(who)))
    draft.say(message(key, people=str(who)))
    if g.part is Part.ROTA:
        moving.join(draft, who)
        if draft.g.standing is None:
            moving.change(draft)


def _warm(draft: Draft) -> frozenset[int]:
    """Who has done the mat: all who were not expected late, once it is over."""
    if draft.g.part is Part.WARM:
        return frozenset(draft.g.people)
    return frozenset(draft.g.people) - draft.g.late
