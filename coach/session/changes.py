"""A change of plan put into force: what it says, asks, and makes of the step that runs."""

from dataclasses import replace

from coach import planning
from coach.model.answers import Answer, Meaning
from coach.model.body import COMPLAINTS, Part
from coach.model.day import Change, Day
from coach.model.messages import Message, message
from coach.model.nature import About, Tendency
from coach.model.plan import Step, StepKind
from coach.planning import fitting, timeline
from coach.planning.rules.idle import OFFER
from coach.session import asked_questions, home_time, own_rests, step_end, steps
from coach.session.dialogue import Asking, Missed
from coach.session.draft import Draft
from coach.session.state import Phase, Session
from coach.session.timers import Running

#: Idle for longer than this, the plan is looked at again before a try.
IDLE = 9 * 60.0
#: What is about one person's own body, form or tries, beside how the body feels.
_OWN = frozenset(
    {
        *(Meaning.PART, Meaning.TISSUE, Meaning.EASIER, Meaning.HARDER),
        *(Meaning.GO, Meaning.NOT_TODAY, Meaning.ENOUGH, Meaning.LAST_GO),
    }
)
#: The question how many boulders a batch really was.
ALL_CLIMBED = "all-climbed"
#: What is said where no number was told of the make-up either.
_NO_TRIES_LEFT = "uncounted-again"
#: Counts that it offers at most, the highest first.
_OFFERED = 7


def plan(
    draft: Draft, who: int, answer: Answer, question: str = "", *, quiet: bool = False
) -> None:
    """Ask planning what the answer changes and put it into force, in words unless quiet."""
    s = draft.s
    change = planning.adapt(draft.day, s.course.steps, s.at, who, answer, question, s.library)
    running = s.course.running
    whose = draft.to(who) if _personal(answer, question) and not draft.together else 0
    draft.take(change, answer.key, question, quiet=quiet, whose=whose)
    part = change.part or answer.part
    if change.ask and change.ask != question and _follows(draft, change.ask, who, answer, part):
        draft.ask_later(Asking(change.ask, who, part=part))
    if running is not None and (not change.steps or change.steps[0] != running.step):
        whole = answer.meaning is Meaning.SKIP and not answer.number
        outcome = "skipped" if whole else "cut"
        _leave(draft, running, change, outcome)


def _personal(answer: Answer, question: str) -> bool:
    """Whether an answer changes the day of the one person who gave it, and is told so."""
    silent = answer.meaning is Meaning.SILENCE and bool(question)
    feels_well = answer.meaning is Meaning.FEEL and answer.tendency is Tendency.RAISING
    of_the_body = answer.meaning.nature.about is About.BODY and not feels_well
    return silent or of_the_body or answer.meaning in _OWN


def _follows(draft: Draft, question: str, who: int, answer: Answer, part: Part | None) -> bool:
    """Whether a report of the body leads to a question: twice for one and the same, no more.

    What was answered stands, and so does what it took away.
    """
    if question not in asked_questions.FOLLOWS:
        return True
    cause = f"{question} {who} {part} {answer.key}"
    followed = draft.questions.followed
    draft.questions = replace(draft.questions, followed=(*followed, cause))
    return followed.count(cause) < asked_questions.TIMES


def after_idle(draft: Draft) -> None:
    """Let planning fit what is left to the time and the cold."""
    s = draft.s
    idle = draft.now - s.course.idle_since
    if s.day is None or not s.course.steps:
        return
    if idle > IDLE:
        asked = draft.questions.asked | {_idle_mark(s, idle)}
        draft.questions = replace(draft.questions, asked=asked)
    change = planning.after_idle(draft.day, s.course.steps, s.at, idle, s.library)
    draft.take(change, "idle")
    if change.ask:
        draft.ask_later(Asking(change.ask, s.people[0]))


def after_long_rest(draft: Draft) -> None:
    """Before a try, once for each time that everybody stood about: warmth goes in a long rest."""
    s = draft.s
    idle = draft.now - s.course.idle_since
    if idle > IDLE and _idle_mark(s, idle) not in s.questions.asked:
        after_idle(draft)


def _idle_mark(s: Session, idle: float) -> str:
    """Kept in what was asked: that they stood about so long was told, or a re-warm offered."""
    return f"idle-{s.course.idle_since:.0f}-{idle > OFFER}"


def give_up(draft: Draft) -> None:
    """Nobody told the end of the running step: what was not told counts as left out.

    A part of the warm-up comes again before hard tries, and that is said.
    """
    running = draft.course.running
    assert running is not None
    skip, s = Answer(Meaning.SKIP, number=running.counted), draft.s
    who = next((form.who for form in running.step.forms if form.movement), s.people[0])
    change = planning.adapt(draft.day, s.course.steps, s.at, who, skip, "", s.library)
    day, left, ended = draft.day, draft.course.steps, home_time.ends(s)
    draft.take(change, "untold", quiet=True)
    late = running.step.kind is StepKind.CLIMB and running.step.floor
    if late:
        _may_come_late(draft, running, who, day, left)
    say = _left_out(change, running.step)
    _leave(draft, running, replace(change, say=say), "untold")
    if say is None or say.key != _NO_TRIES_LEFT:
        # who tells no number is not timed: where no try bounds the day, no minutes could be told
        draft.tell_what_is_left(ended, fitting.tries(left))
    if late and draft.questions.missed is not None:
        missed = replace(draft.questions.missed, after=draft.day)
        draft.questions = replace(draft.questions, missed=missed)


def _may_come_late(
    draft: Draft, running: Running, who: int, day: Day, left: tuple[Step, ...]
) -> None:
    """How many boulders it was may still be told: then nothing of them comes again."""
    step = running.step
    spent = running.worked + (draft.now - running.since if running.since is not None else 0.0)
    climbing = tuple(form.who for form in step.forms if form.movement)
    missed = Missed(
        Asking(ALL_CLIMBED, who, step=step.name, offered=counts_of(step)),
        draft.now,
        timeline.loaded(day, step, draft.now, running.more_rest),
        left,
        draft.day,
        tuple(one for one in climbing if one not in running.through),
        spent,
    )
    draft.questions = replace(draft.questions, missed=missed)


def counts_of(step: Step) -> tuple[str, ...]:
    """The counts by which a batch is told, the whole of it first."""
    return tuple(f"count:{n}" for n in range(step.amount, max(step.amount - _OFFERED, 0), -1))


def _left_out(change: Change, step: Step) -> Message | None:
    """What is said when nobody told the end of a step; None where hard tries don't hang on it."""
    if change.say is None or not step.warms or change.say.value("lost") == 0:
        return None
    if step.kind is not StepKind.CLIMB:
        return change.say
    # somebody who skips a batch is told other words
    if change.say.key == "skip-floor":
        return message("uncounted", boulders=step.amount if change.say.value("tries") else 0)
    again = change.say.key == "skip-make-up"
    return replace(change.say, key=_NO_TRIES_LEFT) if again else change.say


def _leave(draft: Draft, running: Running, change: Change, outcome: str) -> None:
    """The running step is not the first of the plan any more: swap it, put it off, or end it."""
    first, old = change.steps[0] if change.steps else None, running.step
    # a try that may not be any more has a rest of its name in its place
    same = first is not None and (first.name, first.kind) == (old.name, old.kind)
    swapped = first if same else None
    tried = old.kind is StepKind.TRY and running.since is not None
    left = draft.what_is_left()
    steps.interrupt(draft)
    for what in (change.say, left):
        if what is not None:
            draft.say(what)
    if swapped is not None and draft.s.phase in (Phase.LEAD_IN, Phase.WORK):
        steps.take_up(draft, swapped)
    elif swapped is not None:
        draft.course = replace(draft.course, running=replace(running, step=swapped))
    elif not tried and any(one.name == running.step.name for one in change.steps):
        draft.course = replace(draft.course, running=None)
        draft.go_on = True
    else:
        if tried:
            own_rests.promise(draft, running.step.turn or 1)
        step_end.end_step(draft, outcome)


def ask_now(draft: Draft) -> None:
    """Let waiting questions be asked now; what runs stands still meanwhile."""
    steps.interrupt(draft)
    asked_questions.put_off(draft)
    draft.go_on = True


def ask_of_a_body(draft: Draft, answer: Answer) -> None:
    """Ask about a body now, unless somebody climbs; on a batch only what hurts or is sore."""
    running = draft.course.running
    climbing = running is not None and running.step.on_the_wall and draft.s.phase is Phase.WORK
    batch = running is not None and running.step.kind is StepKind.CLIMB
    if not climbing or (batch and answer.feel in COMPLAINTS):
        ask_now(draft)
