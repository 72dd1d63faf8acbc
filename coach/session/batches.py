"""Batches of boulders: whose is over, and how many were climbed where that is told too soon.

Of several who climb a batch each tells the end of her own: it is over with the last of them.
"""

from dataclasses import replace

from coach import planning
from coach.model.answers import Answer, Meaning
from coach.model.facts import Climbed
from coach.model.messages import message
from coach.planning import boulder_time
from coach.session import step_end, steps
from coach.session.changes import ALL_CLIMBED, ask_now, counts_of, plan
from coach.session.dialogue import Asking, Missed
from coach.session.draft import Draft
from coach.session.timers import Running


def over(draft: Draft, who: int) -> None:
    """The batch that runs is told done: ended, or asked about where that can hardly be."""
    running = draft.course.running
    assert running is not None
    believed = min(_believed(draft, running), running.step.amount)
    if believed == running.step.amount or running.doubted:
        # asked once already: what can have been climbed counts, and no more
        _done(draft, who, believed)
    else:
        _doubt(draft, running, who)


def all_counted(draft: Draft, who: int) -> None:
    """The whole batch is told by its number: over, or asked about once, as one that is told done.

    A number that was misheard must not stand for boulders that nobody can have climbed yet.
    """
    running = draft.course.running
    assert running is not None
    if running.doubted or _believed(draft, running) >= running.step.amount:
        counted(draft, running, running.step.amount)
        over(draft, who)
    else:
        _doubt(draft, running, who)


def _doubt(draft: Draft, running: Running, who: int) -> None:
    """Ask once how many it really were."""
    draft.course = replace(draft.course, running=replace(running, doubted=True))
    counts = counts_of(running.step)
    asking = Asking(ALL_CLIMBED, who, step=running.step.name, offered=(*counts, "no"))
    draft.ask_later(asking)
    ask_now(draft)


def told(draft: Draft, asking: Asking, answer: Answer) -> None:
    """How many it really were: all end the batch, with fewer or an untold number it goes on."""
    running = draft.course.running
    if running is None or running.step.name != asking.step:
        draft.go_on = True
        return
    if answer.meaning is Meaning.COUNT and answer.number is not None:
        running = counted(draft, running, answer.number)
    left = running.step.amount - (running.counted or 0)
    if left > 0:
        draft.tell(message("so-many-left", left=left))
    elif _last(running, asking.who):
        step_end.end_step(draft, "done")
        return
    else:
        _one_done(draft, running, asking.who, running.step.amount)
    if draft.standing.paused_since is not None:
        draft.go_on = True  # told in a pause: it goes on once somebody carries on
    else:
        steps.climb_on(draft)


def told_late(draft: Draft, missed: Missed, answer: Answer) -> None:
    """A batch that was given up for silence was climbed: only what is missing comes again.

    The plan and the day are those of before the silence, without the batch.
    """
    step = next((one for one in draft.course.past if one.name == missed.asking.step), None)
    if step is None or answer.number is None:
        return
    climbed, tier = min(answer.number, step.amount), boulder_time.tier_of(step).value
    draft.course = replace(draft.course, silent=False, if_silent=None)
    for who in missed.whose:
        draft.record(Climbed(draft.now, who, tier, climbed, missed.spent))
    draft.course = replace(draft.course, boulders=draft.course.boulders + climbed)
    if climbed < step.amount:
        short, steps_left = Answer(Meaning.SKIP, number=climbed), (step, *draft.course.steps)
        change = planning.adapt(
            draft.day, steps_left, draft.now, missed.asking.who, short, "", draft.s.library
        )
        draft.take(change, "untold", quiet=True)
        draft.tell(message("counted-late", left=step.amount - climbed))
    else:
        draft.tell(message("counted-late", left=0))


def counted(draft: Draft, running: Running, number: int) -> Running:
    """So many have been climbed of the batch that runs, as was told now."""
    running = replace(running, counted=number, counted_after=_spent(draft, running))
    draft.course = replace(draft.course, running=running)
    return running


def _done(draft: Draft, who: int, climbed: int) -> None:
    """The batch of one person is done: with the last of them it ends."""
    running = draft.course.running
    assert running is not None
    if _last(running, who):
        _end(draft, who, climbed)
        return
    if climbed < running.step.amount:
        running = counted(draft, running, climbed)
    _one_done(draft, running, who, climbed)
    draft.open_window(steps.answers_of(draft, running.step), running.step.turn)


def _last(running: Running, who: int) -> bool:
    """Whether nobody else still climbs."""
    return len({form.who for form in running.step.forms if form.movement}) <= len(
        _told_done(running, who)
    )


def _told_done(running: Running, who: int) -> tuple[int, ...]:
    """Those who are done with this one.

    One microphone hears all of them: a voice that nobody is told apart by counts as that of
    somebody who has not told it yet.
    """
    climbing = [form.who for form in running.step.forms if form.movement]
    left = [one for one in climbing if one not in running.through]
    if not left:
        return running.through  # who had not told it has left the batch since, hurt for instance
    nobody_else = who in running.through and who != min(climbing)
    meant = who if who in left or nobody_else else left[0]
    return tuple(dict.fromkeys((*running.through, meant)))


def _one_done(draft: Draft, running: Running, who: int, climbed: int) -> None:
    """Somebody is done, with so many boulders; the others climb on."""
    done = dict.fromkeys(_told_done(running, who), climbed) | dict(running.done)
    running = replace(running, done=tuple(done.items()))
    draft.course = replace(draft.course, running=running)
    climbing = sum(1 for form in running.step.forms if form.movement)
    draft.tell(message("one-done", left=climbing - len(running.done)))


def _end(draft: Draft, who: int, climbed: int) -> None:
    """End the batch with so many boulders; what is missing of the least warm-up is made up.

    Of several, what the one with the fewest is missing.
    """
    running = draft.course.running
    assert running is not None
    through = dict.fromkeys(_told_done(running, who), climbed) | dict(running.done)
    running = replace(running, counted=climbed, done=tuple(through.items()))
    draft.course = replace(draft.course, running=running)
    climbed = min(through.values())
    if climbed < running.step.amount and running.step.floor:
        plan(draft, who, Answer(Meaning.SKIP, number=climbed))
        draft.go_on = True
    else:
        step_end.end_step(draft, "done")


def _believed(draft: Draft, running: Running) -> int:
    """How many can have been climbed: in all its time, or since a number was told."""
    spent, step = _spent(draft, running), running.step
    since = boulder_time.believable(step, spent - running.counted_after)
    return max(boulder_time.believable(step, spent), (running.counted or 0) + since)


def _spent(draft: Draft, running: Running) -> float:
    return running.worked + (draft.now - running.since if running.since is not None else 0.0)
