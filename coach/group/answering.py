"""What the leader's answers do, one function each.

Nothing here raises load but `let_in`, which has a window of its own.
"""

from collections.abc import Callable
from dataclasses import replace

from coach.group import moving
from coach.group.draft import Draft
from coach.group.making import MAT, Commons
from coach.group.state import Common, Part, Plan, Status
from coach.model.answers import ANYTIME, Answer, Meaning, Tendency
from coach.model.body import Cap, CapReason
from coach.model.body import Part as Body
from coach.model.facts import CapLifted, CapSet, Presence
from coach.model.messages import Message, message
from coach.planning import adapt
from coach.planning.forms import GENTLE
from coach.session.events import Answered, Source, Sureness
from coach.session.state import Phase

#: What may be told of somebody who was named.
ABOUT = ("hurts", "late", "out", "return", "feel:sore", "no")
LET_IN = ("let-in", "no")
STANDING = ("resume", "finish")
#: Seconds for which the leader may think before telling it.
THINK = 12.0


def answered(draft: Draft, event: Answered) -> None:
    """Take an answer, if it counts."""
    answer = event.answer
    handler = COMMANDS.get(answer.meaning)
    if not admitted(draft, event):
        return
    if handler is None:
        draft.took(answer, message("not-now", answer=answer.key))
        return
    if unsure(event):
        draft.took(answer, message("once-more", answer=answer.key))
        draft.say(message("once-more", answer=answer.key))
        return
    draft.took(answer, None)
    handler(draft, answer)


def admitted(draft: Draft, event: Answered) -> bool:
    """Whether it counts: at any time, in its window, after the address word, or by a key.

    What is told of somebody, and a raise, count in their own window only, whatever the source.
    """
    key, window = event.answer.key, draft.g.window
    own = (*ABOUT, *LET_IN)
    if key in own and key not in ANYTIME:
        return window is not None and window.takes(key, event.onset)
    if key in ANYTIME or event.source is not Source.VOICE or event.addressed:
        return True
    return window is not None and window.number == event.window and window.takes(key, event.onset)


def unsure(event: Answered) -> bool:
    """Whether it has to be said once more: heard unsurely, and it moves or raises something.

    A number too: what is told next would be told of somebody else.
    """
    moves = event.answer.meaning in (Meaning.NEXT, Meaning.FINISH, Meaning.RESUME, Meaning.PERSON)
    raises = event.answer.tendency is Tendency.RAISING
    return event.sureness is Sureness.UNSURE and (moves or raises)


def on(draft: Draft, answer: Answer) -> None:
    """'Next': timers run on, or what runs ends now."""
    g = draft.g
    if g.phase in (Phase.PAUSED, Phase.STOPPED, Phase.HURT):
        draft.took(answer, message("not-now", answer=answer.key))
        return
    if g.standing is not None:
        draft.run_on()
        draft.took(answer, message("group-on"))
    elif g.running is not None:
        if g.running.common.step.floor:
            _cold(draft)
        draft.hush()
        moving.end_common(draft, "cut")
    else:
        _sooner(draft)


def _cold(draft: Draft) -> None:
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


def _sooner(draft: Draft) -> None:
    """The next change of the rota comes now: turns that would end with it are cut."""
    g = draft.g
    now = draft.now - g.rota_at
    times = [seat.start for seat in g.pending] + [seat.end for seat in g.seated]
    at = min((time for time in times if time > now), default=now)
    cut = [seat for seat in g.seated if seat.end <= at]
    for seat in cut:
        moving.leave(draft, seat, "cut")
    draft.set(seated=tuple(seat for seat in g.seated if seat not in cut))
    moving.replan(draft)
    moving.change(draft)


def stay(draft: Draft, answer: Answer) -> None:
    """Everybody stays where they are until 'next'."""
    draft.stand()
    draft.took(answer, message("group-stay"))
    draft.say(message("group-stay"))


def more_time(draft: Draft, answer: Answer) -> None:
    """The next change comes later; nobody does more in that time."""
    minutes = answer.number or 1
    draft.delay(60.0 * minutes)
    what = message("group-more-time", minutes=minutes)
    draft.took(answer, what)
    draft.say(what)


def again(draft: Draft, answer: Answer) -> None:
    """The last change once more, or the last cue."""
    if draft.g.part is Part.ROTA and draft.g.move:
        moving.repeat(draft)
    else:
        assert draft.g.last_cue is not None, "the welcome was said"
        draft.say(draft.g.last_cue)


def where(draft: Draft, answer: Answer) -> None:
    """Who is where, a cue for each station."""
    for station, who in places(draft).items():
        draft.say(message("group-move", people=moving.people(who), station=station))


def places(draft: Draft) -> dict[str, list[int]]:
    """Station -> who is there; the mat for everybody without a seat."""
    found: dict[str, list[int]] = {}
    for seat in draft.g.seated:
        found.setdefault(seat.station, []).append(seat.turn.who)
    found.setdefault(MAT, []).extend(moving.waiting(draft.g))
    return {name: who for name, who in sorted(found.items()) if who}


def person(draft: Draft, answer: Answer) -> None:
    """Somebody by number: they are called back, so that a wrong one is noticed."""
    who = answer.number or 0
    if draft.g.person(who) is None:
        draft.took(answer, message("group-nobody", number=who))
        draft.say(message("group-nobody", number=who))
        return
    draft.set(asked=who)
    draft.hush()
    draft.say(message("group-about", people=str(who)))
    draft.open_window(ABOUT, who, THINK)


def nothing(draft: Draft, answer: Answer) -> None:
    """It was somebody else, or nothing."""
    draft.set(asked=0)
    draft.close_window()


def hurt(draft: Draft, answer: Answer) -> None:
    """Of somebody: no load for them. Of nobody by number: all stand until it is clear who."""
    who = draft.g.asked
    if not who:
        draft.hush()
        draft.stand()
        draft.set(phase=Phase.HURT)
        draft.say(message("group-hurt"))
        draft.open_window(STANDING, 0, 600.0)
        return
    _vacate(draft, who)  # what was done until now is recorded in the forms of until now
    _tell(draft, who, Answer(Meaning.HURT))
    _gone(draft, who, Status.HURT, answer)


def feel(draft: Draft, answer: Answer) -> None:
    """Somebody is sore: lower forms for them, by the usual rules."""
    who = draft.g.asked
    if not who:
        draft.took(answer, message("group-who"))
        draft.say(message("group-who"))
        return
    _tell(draft, who, answer)
    draft.took(answer, message("group-eased", people=str(who)))
    draft.say(message("group-eased", people=str(who)))
    nothing(draft, answer)
    moving.replan(draft)


def _tell(draft: Draft, who: int, answer: Answer) -> None:
    """What an answer does to the caps of one person, and so to what they may do."""
    g = draft.g
    before = set(g.plan.day.caps)
    day = adapt(g.plan.day, (), draft.now, who, answer, "", g.library).day
    for cap in day.caps:
        if cap not in before:
            draft.record(CapSet(draft.now, who, cap.part, cap.most, cap.reason, cap.rule))
    draft.set(plan=replaced(replace(g.plan, day=day), draft))


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


def _gone(draft: Draft, who: int, status: Status, answer: Answer) -> None:
    """Somebody takes no part now: their place is free for others."""
    g = draft.g
    unhealed = g.unhealed | {who} if status is Status.HURT else g.unhealed
    draft.set(statuses={**g.statuses, who: status}, asked=0, unhealed=unhealed)
    draft.record(Presence(draft.now, who, status.value, answer.key))
    _vacate(draft, who)
    draft.close_window()
    draft.took(answer, message(f"group-{status.value}-shown", people=str(who)))
    draft.say(message("group-aside", people=str(who)))
    _reseat(draft)


def _vacate(draft: Draft, who: int) -> None:
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


def out(draft: Draft, answer: Answer) -> None:
    """Somebody takes no part any more."""
    _gone(draft, draft.g.asked, Status.OUT, answer)


def late(draft: Draft, answer: Answer) -> None:
    """Somebody who was not here comes in, mat first; somebody who is here comes later."""
    who = draft.g.asked
    if draft.g.status(who) is Status.HERE:
        _gone(draft, who, Status.LATE, answer)
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
        nothing(draft, answer)


def _warm(draft: Draft) -> frozenset[int]:
    """Who has done the mat: all who were not expected late, once it is over."""
    if draft.g.part is Part.WARM:
        return frozenset(draft.g.people)
    return frozenset(draft.g.people) - draft.g.late


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


def pause(draft: Draft, answer: Answer) -> None:
    """Timers stand until 'carry on'."""
    _stand(draft, Phase.PAUSED, message("paused"))


def stop(draft: Draft, answer: Answer) -> None:
    """Everything stands: carry on, or finish."""
    _stand(draft, Phase.STOPPED, message("ask-carry-on"))


def _stand(draft: Draft, phase: Phase, what: Message) -> None:
    draft.hush()
    draft.stand()
    draft.set(phase=phase)
    draft.say(what)
    draft.open_window(STANDING, 0, 600.0)


def resume(draft: Draft, answer: Answer) -> None:
    """Timers run on."""
    g = draft.g
    if g.standing is None:
        draft.took(answer, message("not-now", answer=answer.key))
        return
    draft.run_on()
    begun = g.running is None or g.running.since is not None
    draft.set(phase=Phase.WORK)
    draft.took(answer, message("group-on"))
    draft.say(message("group-on"))
    draft.close_window()
    if not begun:
        moving.next_common(draft)
    elif g.part is Part.ROTA:
        moving.change(draft)


def finish(draft: Draft, answer: Answer) -> None:
    """The end, now."""
    draft.hush()
    moving.finish(draft, "hurt" if draft.g.phase is Phase.HURT else "ended")


COMMANDS: dict[Meaning, Callable[[Draft, Answer], None]] = {
    Meaning.NEXT: on,
    Meaning.DONE: on,
    Meaning.STAY: stay,
    Meaning.MORE_TIME: more_time,
    Meaning.AGAIN: again,
    Meaning.WHERE: where,
    Meaning.PERSON: person,
    Meaning.NO: nothing,
    Meaning.HURT: hurt,
    Meaning.HURTS: hurt,
    Meaning.FEEL: feel,
    Meaning.OUT: out,
    Meaning.LATE: late,
    Meaning.RETURN: returns,
    Meaning.LET_IN: let_in,
    Meaning.PAUSE: pause,
    Meaning.STOP: stop,
    Meaning.RESUME: resume,
    Meaning.FINISH: finish,
}
