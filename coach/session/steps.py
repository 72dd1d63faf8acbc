"""The step that runs: lead-in, work, its end. Times are absolute."""

from dataclasses import replace

from coach import planning
from coach.model.answers import Answer, Meaning
from coach.model.facts import Climbed, StepEnded
from coach.model.messages import message
from coach.model.plan import Step, StepKind
from coach.model.questions import MOST, OF_TRIES
from coach.planning import boulder_time, drills, timeline
from coach.planning import try_trend as judged
from coach.session import coaching, dosage, notes, own_rests, questions, readings, rests, tries
from coach.session.cues import cues, movement_of, work_answers
from coach.session.draft import Draft
from coach.session.effects import LEAD, Tone
from coach.session.state import After, Asking, Phase, Running

#: Seconds after which a batch of boulders, a try or repetitions may be told done.
FIRST_DONE = {StepKind.CLIMB: 10.0, StepKind.TRY: 3.0}
#: A step without an answer is asked about after this many times its planned seconds.
PATIENCE = 1.25
#: And left, as untold, after this many.
GIVE_UP = 1.75
#: Seconds after which a try is asked about: nobody may have begun it yet, and boulderers climbed
#: for 28.9 +- 10.8 s a try (White and Olsen 2010, J Strength Cond Res 24(5):1356-1360).
PATIENCE_TRY = 90.0
#: And it is waited for longer.
GIVE_UP_TRY = 3.0
TIMED = frozenset({StepKind.STAY, StepKind.BREATHE, StepKind.REPEAT, StepKind.DOSE})
_TIERS = frozenset({"easy", "middle", "hard"})


def drop(draft: Draft, step: Step) -> None:
    """Move a step from what is left to the past."""
    left = tuple(item for item in draft.course.steps if item.name != step.name)
    draft.course = replace(draft.course, steps=left, past=(*draft.course.past, step))


def take_up(draft: Draft, step: Step) -> None:
    """Lead in the interrupted step again, as it is now.

    What was done of it stays done: goes, counts and seconds are never given back.
    """
    old = draft.course.running
    assert old is not None
    left = None if old.left is None else min(old.left, _length(draft, step))
    lead_in(draft, step)
    draft.course = replace(
        draft.course, running=replace(old, step=step, left=left, between=False, nudged=False)
    )


def lead_in(draft: Draft, step: Step) -> None:
    """Say the cue; the work begins when it has been said."""
    draft.enter(Phase.LEAD_IN)
    draft.course = replace(draft.course, running=Running(step))
    draft.questions = replace(draft.questions, asking=None)
    draft.rests = replace(draft.rests, resting=None)
    readings.step_begins(draft, step)
    if step.kind is StepKind.TRY:
        coaching.remember(draft, step.turn or 1)
        notes.play(draft, step.turn or 1)
        coaching.show_plan(draft, step.turn or 1)
    for cue in cues(draft, step):
        draft.say(cue)
    _attach(draft, After.BEGIN)
    if not step.on_the_wall:
        # nothing has begun that could be done; any key says the cue once more
        begun = [key for key in answers_of(draft, step) if key not in ("done", "again")]
        draft.open_window(("again", *begun), step.turn)
    elif (missed := draft.missed()) is not None:
        draft.open_window(questions.answers_of(missed.asking), missed.asking.who)


def answers_of(draft: Draft, step: Step) -> tuple[str, ...]:
    """The answers that count while a step runs, the expected one first."""
    if step.kind is not StepKind.TRY:
        return work_answers(step)
    ends, running = tries.end_answers(draft, step.turn or 1), draft.course.running
    started = running is not None and running.told_start
    # it only makes the time exact: where the ends need all the room, it gives way
    return ends if started or len(ends) == MOST else (*ends, "starting")


def start_try(draft: Draft) -> bool:
    """The try that runs begins only now, as its climber says; False where none runs."""
    running = draft.course.running
    if running is None or running.step.kind is not StepKind.TRY or draft.s.phase is not Phase.WORK:
        return False
    nudge = draft.now + _patience(draft, running.step)
    draft.course = replace(
        draft.course,
        running=replace(running, since=draft.now, opens=None, nudge=nudge, told_start=True),
    )
    draft.open_window(answers_of(draft, running.step), running.step.turn)
    return True


def _attach(draft: Draft, after: After) -> None:
    """Let the last cue of the queue be followed by something."""
    if draft.speech.queue:
        *head, last = draft.speech.queue
        draft.speech = replace(draft.speech, queue=(*head, replace(last, after=after)))
    else:
        assert draft.speech.saying is not None
        draft.speech = replace(draft.speech, saying=replace(draft.speech.saying, after=after))


def begin_work(draft: Draft) -> None:
    """The cue has been said: the start tone, then the step runs from that very sample."""
    running = draft.course.running
    assert running is not None
    step = running.step
    start = max(draft.now + LEAD, timeline.ready(step, timeline.of_day(draft.day)))
    draft.tone(Tone.START, start)
    seconds = running.left if running.left is not None else _length(draft, step)
    until = start + seconds if step.kind in TIMED else None
    if until is not None:
        draft.tone(Tone.END, until)
    wait = FIRST_DONE.get(step.kind)
    draft.enter(Phase.WORK)
    if step.on_the_wall or wait is not None:
        draft.close_window()
    else:
        draft.open_window(answers_of(draft, step), step.turn)
    draft.course = replace(
        draft.course,
        running=replace(
            running,
            since=start,
            until=until,
            left=None,
            between=False,
            opens=start + wait if wait is not None else None,
            nudge=None if until is not None else start + _patience(draft, step),
        ),
    )


def climb_on(draft: Draft) -> None:
    """A batch that was asked about goes on: whoever climbs has not left the wall."""
    running = draft.course.running
    assert running is not None
    draft.enter(Phase.WORK)
    nudge = draft.now + _patience(draft, running.step)
    draft.course = replace(
        draft.course, running=replace(running, since=draft.now, opens=None, nudge=nudge)
    )
    draft.open_window(answers_of(draft, running.step), running.step.turn)


def _patience(draft: Draft, step: Step) -> float:
    """Seconds after which it is asked whether a step is over: a try, after their own longest."""
    usual = PATIENCE * max(step.seconds, 30.0)
    if step.kind is not StepKind.TRY:
        return usual
    return max(usual, PATIENCE_TRY, judged.longest(draft.tries.went, step.turn or 1))


def _length(draft: Draft, step: Step) -> float:
    """Seconds of the work, or of one go of a dose."""
    if step.kind is not StepKind.DOSE:
        return step.seconds
    movement = draft.s.library.movements.get(movement_of(step))
    return movement.seconds_each if movement is not None else step.seconds / max(step.most, 1)


def due(draft: Draft) -> bool:
    """A time of the running step has come; whether it is given up, as nobody told its end."""
    running = draft.course.running
    assert running is not None
    step, now = running.step, draft.now
    if running.until is not None and now >= running.until:
        if step.kind is StepKind.DOSE:
            _end_go(draft)
        else:
            end_step(draft, "done")
    elif running.opens is not None and now >= running.opens:
        draft.course = replace(draft.course, running=replace(running, opens=None))
        draft.tone(Tone.OPEN)
        draft.open_window(answers_of(draft, step), step.turn)
    elif running.nudge is not None and now >= running.nudge:
        return _untold(draft, running)
    return False


def _untold(draft: Draft, running: Running) -> bool:
    """Nobody told the end: it is asked once. Whether that has been done, and it is given up."""
    step = running.step
    if not running.nudged:
        wait = GIVE_UP_TRY if step.kind is StepKind.TRY else GIVE_UP - PATIENCE
        later = draft.now + wait * max(step.seconds, 30.0)
        draft.course = replace(draft.course, running=replace(running, nudge=later, nudged=True))
        several = step.kind is StepKind.TRY and len(draft.s.people) > 1
        draft.say(message("nudge-landing" if several else "nudge"))
    elif step.kind is StepKind.TRY and len(draft.s.people) == 1:
        end_try(draft, Answer(Meaning.SILENCE))
    else:
        return True
    return False


def _end_go(draft: Draft) -> None:
    """One go of a dose is over: rest, then another or enough."""
    running = draft.course.running
    assert running is not None
    assert running.since is not None
    step = running.step
    spent = running.worked + draft.now - running.since
    running = replace(running, since=None, until=None, worked=spent, between=True)
    draft.course = replace(draft.course, running=running)
    if running.go >= _most(step):
        end_step(draft, "done")
    elif running.go < step.least or drills.is_drill(step):
        next_go(draft)
    else:
        offer_another(draft)


def _most(step: Step) -> int:
    """Goes of a dose; where several do it together no more than planned, for all get each one."""
    together = sum(1 for form in step.forms if form.movement) > 1
    if drills.is_drill(step):
        return max(step.amount, 1)
    return min(step.most, max(step.amount, step.least)) if together else step.most


def offer_another(draft: Draft) -> None:
    """Ask whether another go is wanted; silence is enough."""
    running = draft.course.running
    assert running is not None
    turn = running.step.turn or (draft.s.people[0] if len(draft.s.people) == 1 else 0)
    questions.begin(draft, Asking("another", turn, step=running.step.name))


def next_go(draft: Draft) -> None:
    """Rest as the movement says, then the next go of the dose."""
    running = draft.course.running
    assert running is not None
    movement = draft.s.library.movements.get(movement_of(running.step))
    rest = movement.rest if movement is not None else 0.0
    draft.course = replace(
        draft.course, running=replace(running, go=running.go + 1, between=False, left=None)
    )
    if rest > 0.0:
        rests.begin_rest(draft, rest, running.step.name, None)
    else:
        draft.say(message("next-go", side=running.step.side), After.BEGIN)
        draft.enter(Phase.LEAD_IN)
        draft.questions = replace(draft.questions, asking=None)


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
    hers = float(running.counted if running.counted is not None else step.amount)
    if running.until is not None and draft.now < running.until:
        draft.hush()
    for form in step.forms:
        # who told that hers are done has them, whatever became of the others'
        climbed = hers if form.who in running.done else amount
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
    dosage.count(draft, step, spent if amount > 0 else 0.0)
    if step.kind is StepKind.CLIMB:
        draft.course = replace(draft.course, boulders=draft.course.boulders + int(amount))
    drop(draft, step)
    if step.kind is StepKind.CLIMB and outcome == "done":
        batch = (step, int(amount), spent)
        own = planning.climbed(draft.day, draft.course.steps, draft.now, batch, draft.s.library)
        draft.take(own, "pace", quiet=True)
    draft.close_window()
    if spent > 0.0:
        draft.day = timeline.loaded(draft.day, step, draft.now, running.more_rest)
    draft.course = replace(draft.course, running=None, idle_since=draft.now)
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
    if not step.floor:
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
    tries.ended(draft, running.step.turn or 1, seconds, answer)
    coaching.last_over(draft, running.step.turn or 1)
    _rest_or_go_on(draft, rest or _breath(draft))


def _breath(draft: Draft) -> float:
    """Seconds of rest before how a try went is asked, where no rest comes by itself."""
    asked = any(one.question in OF_TRIES for one in draft.questions.pending)
    coming = draft.course.steps[0] if draft.course.steps else None
    mine = coming is None or (coming.kind is not StepKind.REST and not coming.turn)
    return rests.SHORT_REST if asked and mine else 0.0


def interrupt(draft: Draft) -> None:
    """Stand still: silence, no window, and what was timed keeps what is left of it."""
    draft.hush()
    draft.close_window()
    running = draft.course.running
    if running is None or running.since is None:
        return
    now = draft.now
    worked = running.worked + max(now - running.since, 0.0)
    left = max(running.until - now, 0.0) if running.until is not None else None
    if now < running.since and running.until is not None:
        left = running.until - running.since
    draft.course = replace(
        draft.course,
        running=replace(
            running, since=None, until=None, left=left, worked=worked, opens=None, nudge=None
        ),
    )
