"""The end of a step: what was done of it goes on the record, then comes a rest or the next one."""

from dataclasses import replace

from coach import planning
from coach.model.answers import Answer, Meaning
from coach.model.facts import Climbed, StepEnded
from coach.model.messages import message
from coach.model.plan import Step, StepKind
from coach.model.questions import OF_TRIES
from coach.planning import boulder_time, drills, timeline
from coach.session import coaching, dosage, own_rests, rests, try_outcomes
from coach.session.draft import Draft
from coach.session.timers import Running

#: Steps that end by themselves.
TIMED = frozenset({StepKind.STAY, StepKind.BREATHE, StepKind.REPEAT, StepKind.DOSE})
_TIERS = frozenset({"easy", "middle", "hard"})


def drop(draft: Draft, step: Step) -> None:
    """Move a step from what is left to the past."""
    left = tuple(item for item in draft.course.steps if item.name != step.name)
    draft.course = replace(draft.course, steps=left, past=(*draft.course.past, step))


def end_step(draft: Draft, outcome: str) -> None:
    """End the running step and go on to the rest that was asked for, or to the next."""
    _rest_or_go_on(draft, leave(draft, outcome))


def _rest_or_go_on(draft: Draft, rest: float) -> None:
    if rest > 0.0:
        rests.begin_rest(draft, rest, draft.course.past[-1].name, None)
    else:
        draft.go_on = True


def leave(draft: Draft, outcome: str) -> float:
    """Put the end of the running step on the record; seconds of rest that were asked for.

    However it ended, what it loaded rests: only what had not begun needs no rest.
    """
    running = draft.course.running
    assert running is not None
    step = running.step
    spent = running.worked + (draft.now - running.since if running.since is not None else 0.0)
    spent = max(spent, 0.0)
    amount = _amount_done(running, spent, outcome)
    hers = dict(running.done)
    if running.until is not None and draft.now < running.until:
        draft.hush()
    for form in step.forms:
        # who told that hers are done has them, whatever became of the others'
        climbed = float(hers.get(form.who, amount))
        draft.record(
            StepEnded(
                draft.now,
                form.who,
                step.name,
                form.movement,
                step.kind.value,
                step.block.value,
                climbed if form.movement else 0.0,
                spent,
                step.seconds,
                outcome if form.movement else "left-out",
                step.side,
            )
        )
        counts = step.kind is StepKind.CLIMB and climbed > 0 and step.block.value in _TIERS
        if counts and form.movement:  # whoever sits it out has climbed none
            tier = boulder_time.tier_of(step).value
            draft.record(Climbed(draft.now, form.who, tier, int(climbed), spent))
    if step.kind is StepKind.TRY and outcome == "cut" and spent > 0.0:
        own_rests.promise(draft, step.turn or 1)
        try_outcomes.broken_off(draft, step.turn or 1, spent)
    dosage.count(draft, step, spent if amount > 0 else 0.0)
    if step.kind is StepKind.CLIMB:
        draft.course = replace(
            draft.course,
            boulders=draft.course.boulders + int(amount),
            silent=outcome == "untold",
        )
    drop(draft, step)
    if step.kind is StepKind.CLIMB and outcome == "done":
        batch = (step, int(amount), spent)
        own = planning.climbed(draft.day, draft.course.steps, draft.now, batch, draft.s.library)
        draft.take(own, "pace", quiet=True)
    draft.close_window()
    if spent > 0.0:
        draft.day = timeline.loaded(draft.day, step, draft.now, running.more_rest)
    draft.course = replace(draft.course, running=None, idle_since=draft.now)
    draft.expect_silence()
    if drills.is_drill(step) and spent > 0.0:
        own_rests.not_before(draft, step.turn, draft.now + step.rest)
    if outcome == "done":
        made_up = planning.made_up(draft.day, draft.course.steps, draft.now, step, draft.s.library)
        draft.take(made_up, step.name)
    return running.more_rest if spent > 0.0 else 0.0


def falls_short(draft: Draft) -> bool:
    """Whether 'done' now leaves out half or more of a part of the warm-up's floor."""
    running = draft.course.running
    assert running is not None
    step = running.step
    if not step.warms:
        return False
    spent = running.worked + (draft.now - running.since if running.since is not None else 0.0)
    return step.kind is not StepKind.DOSE and spent < step.seconds / 2


def _amount_done(running: Running, spent: float, outcome: str) -> float:
    """What was really done, in the step's unit; nothing is taken as done that nobody told."""
    step = running.step
    if running.counted is not None:
        return float(running.counted)
    if step.kind is StepKind.DOSE:
        return float(running.go if outcome == "done" or running.between else running.go - 1)
    if step.kind in TIMED and spent + 0.5 < step.seconds:
        return round(step.amount * spent / step.seconds, 1)
    return float(step.amount) if step.kind in TIMED or outcome == "done" else 0.0


def told_of_try(draft: Draft, answer: Answer) -> None:
    """What was told of the try that runs: it ends it, unless others wait for a clear landing.

    Where several climb, nobody is called before "down": a result that is told before is kept.
    """
    running = draft.course.running
    assert running is not None
    several = len(draft.s.people) > 1
    if several and answer.meaning is not Meaning.DOWN:
        told = replace(running, ended=answer, also=draft.also)
        draft.course = replace(draft.course, running=told)
        draft.show(message("down-when-clear"))
        return
    draft.also = draft.also or running.also
    end_try(draft, running.ended or answer)


def end_try(draft: Draft, answer: Answer) -> None:
    """A try has ended; an answer that tells no result leaves it to be asked.

    An end that nobody told is not timed: it must not teach how long they climb.
    """
    running = draft.course.running
    assert running is not None
    seconds = running.worked + (draft.now - running.since if running.since is not None else 0.0)
    rest = leave(draft, "done")
    own_rests.promise(draft, running.step.turn or 1)
    seconds = 0.0 if answer.meaning is Meaning.SILENCE else max(seconds, 0.0)
    try_outcomes.ended(draft, running.step.turn or 1, seconds, answer)
    coaching.last_over(draft, running.step.turn or 1)
    _rest_or_go_on(draft, rest or _breath(draft))


def _breath(draft: Draft) -> float:
    """Seconds of rest before how a try went is asked, where no rest comes by itself."""
    asked = any(one.question in OF_TRIES for one in draft.questions.pending)
    coming = draft.course.steps[0] if draft.course.steps else None
    mine = coming is None or (coming.kind is not StepKind.REST and not coming.turn)
    return rests.SHORT_REST if asked and mine else 0.0
