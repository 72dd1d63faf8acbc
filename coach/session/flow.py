"""From step to step: lead-in, work, rest, and what comes next. Times are absolute."""

from dataclasses import replace

from coach import planning
from coach.model.facts import Climbed, Rested, StepEnded, Tried
from coach.model.messages import Message, message
from coach.model.plan import Step, StepKind
from coach.session import asking as questions
from coach.session import checkin
from coach.session.draft import Draft
from coach.session.effects import LEAD, Tone
from coach.session.state import After, Asking, Phase, Resting, Running

#: Seconds after which a batch of boulders, a try or repetitions may be told done.
FIRST_DONE = {StepKind.CLIMB: 10.0, StepKind.TRY: 3.0}
#: A step without an answer is asked about after this many times its planned seconds.
PATIENCE = 1.25
#: And taken as done after this many.
GIVE_UP = 1.75
#: Seconds after 'down' when the breath is back and the result is asked.
BREATH = 18.0
#: Rests shorter than this open no window.
SHORT_REST = 20.0

#: What can be said while the session stands still.
PAUSE_ANSWERS = ("resume", "finish", "whats-next", "how-long", "why")

_TIMED = frozenset({StepKind.STAY, StepKind.BREATHE, StepKind.REPEAT, StepKind.DOSE})
_BETWEEN = frozenset({StepKind.ASK, StepKind.REST})
_TIERS = frozenset({"easy", "middle", "hard"})
_RESULTS = ("topped", "ended-start", "ended-middle", "ended-top")


def go_on(draft: Draft) -> None:
    """What comes next: a waiting question, the interrupted step or rest, or the next step."""
    s = draft.s
    first = next((asking for asking in s.pending if _may_ask(draft, asking)), None)
    if first is not None:
        draft.set(pending=tuple(asking for asking in s.pending if asking != first))
        questions.begin(draft, first)
    elif s.phase is Phase.OVER:
        return
    elif s.paused_since is not None:
        stand(draft)
    elif not s.planned:
        checkin.ask_next(draft)
    elif s.running is not None:
        carry_on(draft)
    elif s.resting is not None:
        rest_on(draft)
    else:
        begin_step(draft)


def stand(draft: Draft) -> None:
    """Go on standing still: the window that ends it is open."""
    s = draft.s
    if s.phase is Phase.PAUSED:
        draft.open_window(PAUSE_ANSWERS)
    else:
        name = "carry-on" if s.phase is Phase.STOPPED else "after-hurt"
        questions.begin(draft, Asking(name, s.people[0]))


def _may_ask(draft: Draft, asking: Asking) -> bool:
    """The result of a try waits for the breath to be back; everything else is asked at once."""
    if asking.question != "try-result":
        return True
    if draft.s.resting is not None:
        return draft.now >= breath_back(draft)
    steps = draft.s.steps
    return not (draft.s.running is None and steps and steps[0].kind is StepKind.REST)


def begin_step(draft: Draft) -> None:
    """Begin the first of the steps that are left, or the debrief."""
    draft.close_window()
    keep_time(draft)
    if not draft.s.steps:
        questions.debrief(draft)
        return
    step = draft.s.steps[0]
    if step.kind is StepKind.ASK:
        for who in _asked(draft, step):
            draft.ask_later(Asking(step.question, who, step=step.name))
        _drop(draft, step)
        draft.go_on = True
    elif step.kind is StepKind.REST:
        _drop(draft, step)
        begin_rest(draft, step.seconds, step.name, step)
    else:
        lead_in(draft, step)


def keep_time(draft: Draft) -> None:
    """Where a block ends, let planning fit what is left to the time that is left."""
    s = draft.s
    if s.past and s.steps and s.past[-1].block is not s.steps[0].block:
        change = planning.keep_time(draft.day, s.steps, s.at, s.library)
        draft.take(change, "time")


def _asked(draft: Draft, step: Step) -> tuple[int, ...]:
    """Who is asked: those who take part in what the question is about, in order."""
    if step.turn:
        return (step.turn,)
    return tuple(form.who for form in step.forms) or draft.s.people


def _drop(draft: Draft, step: Step) -> None:
    """Move a step from what is left to the past."""
    left = tuple(item for item in draft.s.steps if item.name != step.name)
    draft.set(steps=left, past=(*draft.s.past, step))


def lead_in(draft: Draft, step: Step) -> None:
    """Say the cue; the work begins when it has been said."""
    draft.set(phase=Phase.LEAD_IN, running=Running(step), asking=None, resting=None)
    for cue in _cues(draft, step):
        draft.say(cue)
    _attach(draft, After.BEGIN)
    if not step.on_the_wall:
        draft.open_window(_work_answers(step), step.turn)


def _attach(draft: Draft, after: After) -> None:
    """Let the last cue of the queue be followed by something."""
    if draft.s.queue:
        *head, last = draft.s.queue
        draft.set(queue=(*head, replace(last, after=after)))
    else:
        assert draft.s.saying is not None
        draft.set(saying=replace(draft.s.saying, after=after))


def _cues(draft: Draft, step: Step) -> list[Message]:
    """The cue of the step, then that of each person with another form."""
    forms = [form for form in step.forms if form.movement]
    shared = forms[0].movement if forms else ""
    several = len(draft.s.people) > 1
    if step.kind is StepKind.TRY:
        tries = dict(draft.s.tries).get(step.turn or 1, 0)
        return [message("try", number=tries + 1, who=step.turn if several else 0)]
    words = [message(_opening(draft, step), movement=shared, amount=step.amount, side=step.side)]
    words += [
        message("cue-for", who=form.who, movement=form.movement)
        for form in forms
        if form.movement != shared
    ]
    words += [message("sit-out", who=form.who) for form in step.forms if not form.movement]
    return words


def _opening(draft: Draft, step: Step) -> str:
    """The whole cue the first time; the other side and further sets need fewer words."""
    last = next((one for one in reversed(draft.s.past) if one.kind not in _BETWEEN), None)
    if last is None or not _movement(step) or _movement(last) != _movement(step):
        return "cue"
    return "cue-other-side" if step.side != last.side else "cue-again"


def _work_answers(step: Step) -> tuple[str, ...]:
    """The answers that count while a step runs, the expected one first."""
    if step.kind is StepKind.CLIMB:
        counts = tuple(f"count:{n}" for n in range(max(step.amount - 1, 1), 0, -1))[:5]
        return ("done", "skip", "easier", *counts)
    if step.kind is StepKind.TRY:
        return ("down", *_RESULTS)
    return ("done", "skip", "again", "back", "easier", "harder", "more-time", "why")


def begin_work(draft: Draft) -> None:
    """The cue has been said: the start tone, then the step runs from that very sample."""
    running = draft.s.running
    assert running is not None
    step = running.step
    start = draft.now + LEAD
    draft.tone(Tone.START, start)
    seconds = running.left if running.left is not None else _length(draft, step)
    until = start + seconds if step.kind in _TIMED else None
    if until is not None:
        draft.tone(Tone.END, until)
    wait = FIRST_DONE.get(step.kind)
    draft.set(
        phase=Phase.WORK,
        running=replace(
            running,
            since=start,
            until=until,
            left=None,
            between=False,
            opens=start + wait if wait is not None else None,
            nudge=None if until is not None else start + PATIENCE * max(step.seconds, 30.0),
        ),
    )


def _length(draft: Draft, step: Step) -> float:
    """Seconds of the work, or of one go of a dose."""
    if step.kind is not StepKind.DOSE:
        return step.seconds
    movement = draft.s.library.movements.get(_movement(step))
    return movement.seconds_each if movement is not None else step.seconds / max(step.most, 1)


def _movement(step: Step) -> str:
    return next((form.movement for form in step.forms if form.movement), "")


def carry_on(draft: Draft) -> None:
    """Take up the interrupted step: a timed one after a new lead-in, a batch where it was."""
    running = draft.s.running
    assert running is not None
    step = running.step
    if not draft.s.steps or draft.s.steps[0].name != step.name:
        draft.set(running=None)
        begin_step(draft)
    elif draft.s.steps[0] != step:
        lead_in(draft, draft.s.steps[0])
    elif running.between:
        offer_another(draft)
    elif step.kind not in _TIMED and running.since is None and running.worked > 0.0:
        draft.set(
            phase=Phase.WORK,
            asking=None,
            running=replace(
                running,
                since=draft.now,
                nudge=draft.now + PATIENCE * max(step.seconds, 30.0),
            ),
        )
        draft.open_window(_work_answers(step), step.turn)
    elif running.since is not None:
        draft.set(phase=Phase.WORK, asking=None)
    else:
        left = running.left
        lead_in(draft, step)
        assert draft.s.running is not None
        draft.set(running=replace(draft.s.running, left=left, worked=running.worked))


def work_due(draft: Draft) -> None:
    """A time of the running step has come."""
    running = draft.s.running
    assert running is not None
    step, now = running.step, draft.now
    if running.until is not None and now >= running.until:
        if step.kind is StepKind.DOSE:
            _end_go(draft)
        else:
            end_step(draft, "done")
    elif running.opens is not None and now >= running.opens:
        draft.set(running=replace(running, opens=None))
        draft.tone(Tone.OPEN)
        draft.open_window(_work_answers(step), step.turn)
    elif running.nudge is not None and now >= running.nudge:
        if running.nudged:
            end_step(draft, "done")
        else:
            later = now + (GIVE_UP - PATIENCE) * max(step.seconds, 30.0)
            draft.set(running=replace(running, nudge=later, nudged=True))
            draft.say(message("nudge"))


def _end_go(draft: Draft) -> None:
    """One go of a dose is over: rest, then another or enough."""
    running = draft.s.running
    assert running is not None
    assert running.since is not None
    step = running.step
    spent = running.worked + draft.now - running.since
    running = replace(running, since=None, until=None, worked=spent, between=True)
    draft.set(running=running)
    if running.go >= step.most:
        end_step(draft, "done")
    elif running.go < step.least:
        next_go(draft)
    else:
        offer_another(draft)


def offer_another(draft: Draft) -> None:
    """Ask whether another go is wanted; silence is enough."""
    running = draft.s.running
    assert running is not None
    turn = running.step.turn or (draft.s.people[0] if len(draft.s.people) == 1 else 0)
    questions.begin(draft, Asking("another", turn, step=running.step.name))


def next_go(draft: Draft) -> None:
    """Rest as the movement says, then the next go of the dose."""
    running = draft.s.running
    assert running is not None
    movement = draft.s.library.movements.get(_movement(running.step))
    rest = movement.rest if movement is not None else 0.0
    draft.set(running=replace(running, go=running.go + 1, between=False, left=None))
    if rest > 0.0:
        begin_rest(draft, rest, running.step.name, None)
    else:
        draft.say(message("next-go", side=running.step.side), After.BEGIN)
        draft.set(phase=Phase.LEAD_IN, asking=None)


def end_step(draft: Draft, outcome: str) -> None:
    """End the running step, put it on the record, and go on to its rest or the next."""
    running = draft.s.running
    assert running is not None
    step = running.step
    spent = running.worked + (draft.now - running.since if running.since is not None else 0.0)
    spent = max(spent, 0.0)
    amount = _amount_done(running, spent, outcome)
    if running.until is not None and draft.now < running.until:
        draft.hush()
    for form in step.forms:
        draft.record(
            StepEnded(
                draft.now,
                form.who,
                step.name,
                form.movement,
                step.kind.value,
                step.block.value,
                amount if form.movement else 0.0,
                spent,
                step.seconds,
                outcome if form.movement else "left-out",
                step.side,
            )
        )
        if step.kind is StepKind.CLIMB and amount > 0 and step.block.value in _TIERS:
            draft.record(Climbed(draft.now, form.who, step.block.value, int(amount), spent))
    if step.kind is StepKind.CLIMB:
        draft.set(boulders=draft.s.boulders + int(amount))
    _drop(draft, step)
    draft.close_window()
    draft.set(running=None, idle_since=draft.now)
    if outcome == "done":
        made_up = planning.made_up(draft.day, draft.s.steps, draft.now, step.name, draft.s.library)
        draft.take(made_up, step.name)
    rest = step.rest + running.more_rest
    if rest > 0.0 and outcome == "done":
        begin_rest(draft, rest, step.name, None)
    else:
        draft.go_on = True


def falls_short(draft: Draft) -> bool:
    """Whether 'done' now leaves out half or more of a part of the warm-up's floor."""
    running = draft.s.running
    assert running is not None
    step = running.step
    if not step.floor:
        return False
    if step.kind is StepKind.CLIMB:
        return running.counted is not None and running.counted < step.amount
    spent = running.worked + (draft.now - running.since if running.since is not None else 0.0)
    return step.kind is not StepKind.DOSE and spent < step.seconds / 2


def _amount_done(running: Running, spent: float, outcome: str) -> float:
    step = running.step
    if running.counted is not None:
        return float(running.counted)
    if outcome == "done":
        if step.kind is StepKind.DOSE:
            return float(running.go)
        if step.kind in _TIMED and spent + 0.5 < step.seconds:
            return round(step.amount * spent / step.seconds, 1) if step.seconds else 0.0
        return float(step.amount)
    if step.kind is StepKind.DOSE:
        return float(running.go - 1)
    return 0.0


def end_try(draft: Draft, result: str) -> None:
    """A try has ended; '' means down with the result still to tell."""
    running = draft.s.running
    assert running is not None
    step = running.step
    who = step.turn or 1
    seconds = running.worked + (draft.now - running.since if running.since is not None else 0.0)
    tries = dict(draft.s.tries)
    tries[who] = tries.get(who, 0) + 1
    draft.set(tries=tuple(sorted(tries.items())))
    if result:
        record_try(draft, who, step.name, max(seconds, 0.0), result, tries[who])
    else:
        draft.set(untold=(*draft.s.untold, (who, step.name, max(seconds, 0.0), tries[who])))
        draft.ask_later(Asking("try-result", who, step=step.name))
    end_step(draft, "done")


def record_try(
    draft: Draft, who: int, boulder: str, seconds: float, result: str, number: int
) -> None:
    """Put a try and its result on the record."""
    draft.record(Tried(draft.now, who, boulder, number, result, seconds))
    if result == "topped":
        draft.set(tops=draft.s.tops + 1)


def begin_rest(draft: Draft, seconds: float, after: str, step: Step | None) -> None:
    """Rest until an absolute time; long rests open a window and tell when they are nearly over."""
    until = draft.now + seconds
    marks: tuple[tuple[float, Message], ...] = ()
    if seconds >= 90.0:
        marks = ((until - 30.0, message("rest-nearly-over")),)
    draft.set(
        phase=Phase.REST,
        asking=None,
        resting=Resting(draft.now, until, seconds, after, step, marks),
    )
    if seconds >= SHORT_REST:
        draft.say(message("rest", seconds=round(seconds)))
        rest_on(draft)


def rest_on(draft: Draft) -> None:
    """Be in the rest that runs: also after a question or a pause inside it."""
    resting = draft.s.resting
    assert resting is not None
    draft.set(phase=Phase.REST, asking=None)
    if resting.until - draft.now >= SHORT_REST / 2:
        draft.open_window(
            ("ready", "more-time", "easier", "harder", "skip", "whats-next", "how-long", "why")
        )


def rest_due(draft: Draft) -> None:
    """A time of the rest has come: words, the result of the try, or its end."""
    resting = draft.s.resting
    assert resting is not None
    due = [what for at, what in resting.marks if at <= draft.now]
    if draft.now >= resting.until:
        end_rest(draft)
    elif due:
        draft.set(resting=replace(resting, marks=resting.marks[len(due) :]))
        draft.say(due[-1])
    elif draft.s.pending and draft.now >= breath_back(draft):
        draft.go_on = True


def breath_back(draft: Draft) -> float:
    """When a question may be asked in the rest."""
    resting = draft.s.resting
    assert resting is not None
    return min(resting.since + BREATH, resting.until)


def end_rest(draft: Draft) -> None:
    """The rest is over, by itself or by 'ready'."""
    resting = draft.s.resting
    assert resting is not None
    draft.record(Rested(draft.now, 0, draft.now - resting.since, resting.suggested, resting.after))
    draft.close_window()
    running = draft.s.running
    draft.set(resting=None)
    if running is not None and running.since is None and running.go > 1:
        draft.set(phase=Phase.LEAD_IN)
        draft.say(message("next-go", side=running.step.side), After.BEGIN)
    else:
        draft.go_on = True


def interrupt(draft: Draft) -> None:
    """Stand still: silence, no window, and what was timed keeps what is left of it."""
    draft.hush()
    draft.close_window()
    running = draft.s.running
    if running is None or running.since is None:
        return
    now = draft.now
    worked = running.worked + max(now - running.since, 0.0)
    left = max(running.until - now, 0.0) if running.until is not None else None
    if now < running.since and running.until is not None:
        left = running.until - running.since
    draft.set(
        running=replace(
            running, since=None, until=None, left=left, worked=worked, opens=None, nudge=None
        )
    )
