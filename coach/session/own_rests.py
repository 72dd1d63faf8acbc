"""Everybody's own rest between hard tries: chosen, promised, learnt from what they took.

Alone it is the rest that runs. Of several people each rests from when they came down, whoever is
ready first is called, and nobody's wish changes the rest of another.
"""

from dataclasses import replace

from coach.model.facts import RestChosen
from coach.model.messages import Message, message
from coach.model.plan import StepKind
from coach.model.routine import BlockKind
from coach.planning import drills, fitting, levels, recovery, try_turns
from coach.session import drilling
from coach.session.dialogue import Asking
from coach.session.draft import Draft
from coach.session.timers import Resting

#: Somebody goes before their turn where they are ready so many seconds sooner.
SWAP = 20.0


def between_tries(draft: Draft) -> bool:
    """Whether the rest that runs stands before a hard try."""
    resting = draft.rests.resting
    step = resting.step if resting is not None else None
    return step is not None and step.block is BlockKind.HARD


def promise(draft: Draft, who: int) -> None:
    """Whoever has just tried rests so long before they are called again: kept in any case."""
    own = dict(draft.rests.own).get(who, 0.0)
    seconds = own or max(_usual(draft, who), recovery.learnt(taken_by(draft, who)))
    _promised(draft, who, draft.now, seconds)
    ready_at(draft, who, draft.now + seconds)


def _usual(draft: Draft, who: int) -> float:
    movement = draft.s.library.movements.get("hard-try")
    wanted = (movement.rest if movement is not None else 0.0) or recovery.PLANNED
    if levels.is_new(draft.day, who):
        wanted = min(wanted, levels.REST)
    return max(wanted, recovery.LEAST)


def _promised(draft: Draft, who: int, since: float, seconds: float) -> None:
    others = tuple(one for one in draft.rests.promised if one[0] != who)
    draft.rests = replace(draft.rests, promised=(*others, (who, since, seconds)))


def promise_of(draft: Draft, who: int) -> tuple[float, float] | None:
    """Since when a person rests from their last try, and how many seconds were promised."""
    found = (one for one in draft.rests.promised if one[0] == who)
    return next(((since, seconds) for _, since, seconds in found), None)


def ready_at(draft: Draft, who: int, at: float) -> None:
    """The rest of a person is over at a time."""
    ready = dict(draft.rests.ready_at) | {who: at}
    draft.rests = replace(draft.rests, ready_at=tuple(sorted(ready.items())))


def not_before(draft: Draft, who: int, at: float) -> None:
    """Whoever has drilled is not called before they have rested from it."""
    ready_at(draft, who, max(dict(draft.rests.ready_at).get(who, at), at))


def next_call(draft: Draft) -> try_turns.Call | None:
    """Who of several tries or drills next, and how long they rest until then; None for nobody.

    Where a try is next, turns are swapped to whoever is ready clearly sooner.
    """
    steps, ready = draft.course.steps, dict(draft.rests.ready_at)
    if steps and drills.is_drill(steps[0]):
        return try_turns.next_call((steps[0].turn,), ready, draft.now)
    waiting = tuple(dict.fromkeys(s.turn for s in steps if s.kind is StepKind.TRY))
    call = try_turns.next_call(waiting, ready, draft.now, SWAP)
    if call is not None and steps[0].kind is StepKind.TRY and steps[0].turn != call.who:
        mine = next(s for s in steps if s.kind is StepKind.TRY and s.turn == call.who)
        others = tuple(s for s in steps if s is not mine)
        draft.course = replace(draft.course, steps=(mine, *others))
    return call


def next_turn(draft: Draft) -> int:
    """Who is next to try, in the order of the plan; 0 for nobody."""
    return next((step.turn for step in draft.course.steps if step.kind is StepKind.TRY), 0)


def longer(draft: Draft, who: int, seconds: float) -> None:
    """The rest of a person gets longer: of several nobody else's does."""
    resting = draft.rests.resting
    if len(draft.s.people) > 1:
        ready_at(draft, who, max(dict(draft.rests.ready_at).get(who, 0.0), draft.now) + seconds)
        _timed_anew(draft)
    elif resting is not None:
        draft.rests = replace(draft.rests, resting=drilling.longer(resting, seconds))


def worn(draft: Draft, who: int, seconds: float) -> bool:
    """A longer rest for whoever tells that a try wore them; whether one runs or comes."""
    if not fitting.tries(draft.course.steps, who):
        return False
    longer(draft, who, seconds)
    if draft.rests.resting is None:
        draft.rests = replace(draft.rests, more=seconds)
    return True


def _timed_anew(draft: Draft) -> None:
    """The rest of several that runs lasts until the first of them is ready."""
    resting = draft.rests.resting
    if resting is None or not between_tries(draft):
        return
    call = next_call(draft)
    if call is not None:
        change = draft.now + call.wait - resting.until
        draft.rests = replace(draft.rests, resting=drilling.longer(resting, change))


def in_words(draft: Draft, who: int, minutes: int) -> Message:
    """The rest that somebody chose."""
    return message("own-rest", minutes=minutes, who=draft.to(who))


def choose(draft: Draft, who: int, seconds: float, *, quiet: bool = False) -> None:
    """The rest between hard tries that a person wants from here on, the one that runs included."""
    seconds = recovery.within_own(seconds)
    own = dict(draft.rests.own) | {who: seconds}
    draft.rests = replace(draft.rests, own=tuple(sorted(own.items())))
    draft.record(RestChosen(draft.now, who, seconds))
    resting, promised = draft.rests.resting, promise_of(draft, who)
    if len(draft.s.people) == 1:
        if resting is not None and between_tries(draft):
            change = resting.since + seconds - resting.until
            draft.rests = replace(draft.rests, resting=drilling.longer(resting, change))
    elif promised is not None:
        since, before = promised
        _promised(draft, who, since, seconds)
        ready = dict(draft.rests.ready_at)[who] + seconds - before
        ready_at(draft, who, max(ready, draft.now))
        _timed_anew(draft)
    if not quiet:
        draft.tell(in_words(draft, who, round(seconds / 60.0)))


def taken_by(draft: Draft, who: int) -> list[tuple[float, float]]:
    """Suggested and taken seconds of each rest of a person between hard tries of today."""
    return [(suggested, taken) for mine, suggested, taken in draft.rests.taken if mine == who]


def learn(draft: Draft, resting: Resting) -> None:
    """Keep what somebody alone took; three early ends ask once whether rests may be shorter."""
    _taken(draft, draft.s.people[0], resting.suggested, draft.now - resting.since)
    asking = Asking("shorter-rests", draft.s.people[0])
    if sooner(draft) > 0.0 and asking.question not in draft.questions.asked:
        draft.ask_later(asking)


def learn_of(draft: Draft, who: int) -> None:
    """Keep what one of several took of her own will: what the turns of others add is not hers."""
    promised = promise_of(draft, who)
    if promised is not None:
        since, seconds = promised
        taken = dict(draft.rests.ready_at).get(who, since + seconds) - since
        _taken(draft, who, seconds, taken)


def _taken(draft: Draft, who: int, suggested: float, seconds: float) -> None:
    draft.rests = replace(draft.rests, taken=(*draft.rests.taken, (who, suggested, seconds)))


def sooner(draft: Draft) -> float:
    """Seconds by which the rests of somebody alone may be shorter, as the last ones were."""
    who = draft.s.people[0]
    return recovery.early(taken_by(draft, who), _usual(draft, who))
