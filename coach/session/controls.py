"""What an answer does with the step that runs and the rest after it: ended, counted, left out."""

from dataclasses import replace

from coach.model.answers import Answer, Meaning
from coach.model.body import within
from coach.model.messages import message
from coach.model.plan import Form, Step, StepKind
from coach.model.questions import OF_TRIES
from coach.planning.allowance import GENTLE
from coach.session import (
    asked_questions,
    batches,
    coaching,
    current_boulder,
    drilling,
    goes,
    own_rests,
    pauses,
    rests,
    step_end,
    steps,
    try_outcomes,
    windows,
)
from coach.session.changes import ask_now, plan
from coach.session.dialogue import Asking
from coach.session.draft import Draft
from coach.session.state import Phase

#: Seconds that 'more time' adds to a rest.
MORE = 60.0


def done(draft: Draft, who: int, answer: Answer) -> None:
    """'Done', or how a try ended: ends the step that runs, or is the result that is waited for."""
    running = draft.course.running
    if current_boulder.above(draft, who, answer):
        return
    if windows.on_the_landing(draft.s) and answer.meaning is Meaning.DOWN:
        pauses.cleared(draft, answer)
    elif draft.s.phase is Phase.WORK and running is not None:
        if running.step.kind is StepKind.TRY:
            step_end.told_of_try(draft, answer)
        elif answer.meaning is Meaning.DONE and running.step.kind is StepKind.CLIMB:
            batches.over(draft, who)
        elif answer.meaning is Meaning.DONE:
            if step_end.falls_short(draft):
                plan(draft, who, Answer(Meaning.SKIP))
                draft.go_on = True
            else:
                step_end.end_step(draft, "done")
        else:
            _result(draft, who, answer)
    elif answer.meaning is Meaning.DONE and goes.between(draft):
        goes.enough(draft)
    else:
        _result(draft, who, answer)


def starting(draft: Draft, who: int, answer: Answer) -> None:
    """'Starting now': by voice it is optional, and only makes the time of the try exact."""
    if not steps.start_try(draft):
        draft.refuse(answer)


def _result(draft: Draft, who: int, answer: Answer) -> None:
    """A result without a try that runs: of the one that waits for it, else it asks which."""
    if answer.meaning in (Meaning.DONE, Meaning.DOWN) or draft.s.phase is Phase.DEBRIEF:
        draft.refuse(answer)
    elif try_outcomes.told(draft, who, answer):
        try_outcomes.unask(draft, who)  # by a move, which no question of a try offers
        if draft.also:  # of the boulder that it was on, though another may have been chosen since
            try_outcomes.add(draft, who, draft.tries.went[-1].boulder, draft.also)
    elif _rests_from(draft, who):
        try_outcomes.told_anew(draft, who, answer)
        if draft.also:
            try_outcomes.add(draft, who, current_boulder.boulder_of(draft.s, who).name, draft.also)
    else:
        try_outcomes.refused(draft, who)
        draft.ask_later(Asking("which-boulder", who, about=answer))
        running = draft.course.running
        if running is None or not running.step.on_the_wall:
            ask_now(draft)


def _rests_from(draft: Draft, who: int) -> bool:
    """Whether the last try of somebody is on the boulder they are on, and no rest from it is over.

    What they tell of an end then is of that one: it is no further try.
    """
    if draft.rests.resting is None:
        return False
    log = current_boulder.tries_on(draft.s, who, current_boulder.boulder_of(draft.s, who).name)
    mine = [went for went in draft.tries.went if went.who == who and went.today]
    return bool(log and mine) and log[-1] is mine[-1]


def of_try(draft: Draft, who: int, answer: Answer) -> None:
    """What ended the last try, or how it was beside the one before, told unasked.

    It is of the boulder that the try was on, though another may have been chosen since.
    """
    try_outcomes.told(draft, who, answer)
    today = [went for went in draft.tries.went if went.today and went.who == who]
    if today:
        try_outcomes.add(draft, who, today[-1].boulder, (answer, *draft.also))
        rests.renew(draft)
    elif not try_outcomes.none_yet(draft, who):
        draft.refuse(answer)


def other_boulder(draft: Draft, who: int, answer: Answer) -> None:
    """Another hard boulder from the next try on: asks which."""
    if try_outcomes.refused(draft, who):
        return
    if draft.s.phase is Phase.DEBRIEF:
        draft.refuse(answer)
    else:
        draft.ask_later(Asking("which-boulder", who, about=answer))
        ask_now(draft)


def move_done(draft: Draft, who: int, answer: Answer) -> None:
    """The hard move went, alone."""
    try_outcomes.move_done(draft, who)


def last_go(draft: Draft, who: int, answer: Answer) -> None:
    """One more hard try of this person, or with 'enough' none; the others keep theirs."""
    left = any(one.kind is StepKind.TRY and one.turn == who for one in draft.course.steps)
    if left:
        if answer.meaning is Meaning.ENOUGH:
            try_outcomes.unask(draft, who)
        plan(draft, who, answer)
        rests.no_more_tries(draft)
    elif not try_outcomes.refused(draft, who):
        draft.refuse(answer)


def count(draft: Draft, who: int, answer: Answer) -> None:
    """'That's three' tells how many so far; the last of the batch ends it."""
    running = draft.course.running
    if running is None or running.step.kind is not StepKind.CLIMB or answer.number is None:
        draft.refuse(answer)
        return
    left = running.step.amount - answer.number
    if left <= 0:
        batches.all_counted(draft, who)
    else:
        batches.counted(draft, running, answer.number)
        draft.show(message("so-many-left", left=left))


def skip(draft: Draft, who: int, answer: Answer) -> None:
    """Leave out the question of a try that is open, else the step that runs or comes."""
    s = draft.s
    if s.phase is Phase.REST and not s.course.steps:
        rests.end_rest(draft)  # the last one: nothing comes that it is for
        return
    comes = s.course.steps[0] if s.course.planned and s.course.steps else None
    if comes is None or (comes.kind is StepKind.ASK and s.questions.asking is None):
        draft.refuse(answer)
        return
    if s.questions.asking is not None and s.questions.asking.question in OF_TRIES:
        # what is left out is the question: the try stays on the record, its result untold
        draft.close_window()
        draft.questions = replace(draft.questions, asking=None)
        try_outcomes.told(draft, s.questions.asking.who, Answer(Meaning.SILENCE))
        draft.go_on = True
        return
    drilling.left_out(draft)
    plan(draft, who, answer)
    if s.phase is Phase.REST:
        if not draft.course.steps:
            rests.end_rest(draft)
        return
    draft.go_on = True


def back(draft: Draft, who: int, answer: Answer) -> None:
    """Do the previous step once more, after the rest that runs, if the caps of now allow it.

    The others sit it out where it is more than gentle: they have not asked for it.
    """
    s = draft.s
    previous = next(
        (
            step
            for step in reversed(s.course.past)
            if step.kind not in (StepKind.ASK, StepKind.REST, StepKind.TRY)
        ),
        None,
    )
    again = _once_more(previous, who) if previous is not None else None
    if again is None or not all(
        within(form.load, draft.day.caps, form.who) for form in again.forms
    ):
        draft.tell(message("no-way-back"))
        return
    if s.rests.resting is None:
        steps.interrupt(draft)
    taken = {step.name for step in (*s.course.past, *s.course.steps)}
    name = f"{again.name}+"
    while name in taken:
        name += "+"
    asking = s.questions.asking
    kept = OF_TRIES | asked_questions.BODY
    if asking is not None and asking.question in kept:
        draft.ask_later(replace(asking, times=0, closes=None))
    draft.course = replace(
        draft.course,
        running=None,
        steps=(replace(again, name=name, other="", piece="", placed=False), *s.course.steps),
    )
    draft.questions = replace(draft.questions, asking=None)
    draft.go_on = True


def _once_more(step: Step, who: int) -> Step | None:
    """The step for whoever asked, and for others where it is gentle; None where nobody is left."""
    out = {
        form.who
        for form in step.forms
        if form.who != who and any(load > GENTLE for load in form.load.values())
    }
    forms, intended = (
        tuple(Form(form.who, "", {}) if form.who in out else form for form in those)
        for those in (step.forms, step.intended)
    )
    if not any(form.movement for form in forms):
        return None
    return replace(step, floor=False, forms=forms, intended=intended)


def more_time(draft: Draft, who: int, answer: Answer) -> None:
    """A longer rest: the one that runs, or the one after this step."""
    resting, running = draft.rests.resting, draft.course.running
    if resting is not None:
        rests.more(draft, who, MORE)
    elif running is not None:
        draft.course = replace(
            draft.course, running=replace(running, more_rest=running.more_rest + MORE)
        )
    else:
        draft.refuse(answer)
        return
    draft.show(message("longer-rest", seconds=round(MORE)))


def ready(draft: Draft, who: int, answer: Answer) -> None:
    """Ends the rest of whoever says it, but for its least; nobody else is called sooner by it."""
    if draft.rests.resting is None or draft.s.phase is not Phase.REST:
        draft.refuse(answer)
    elif (left := rests.floor_left(draft)) >= 1.0:
        draft.tell(rests.floor_told(draft, left))
    elif rests.may_end(draft, who):
        draft.hush()
        rests.end_rest(draft)
    else:
        draft.tell(message("others-rest"))


def key_move(draft: Draft, who: int, answer: Answer) -> None:
    """What the hard boulder is about, told unasked."""
    if answer.key_move is None:
        draft.refuse(answer)
        return
    current_boulder.told(draft, who, (answer, *draft.also))
    told = current_boulder.in_words(draft.s, who)
    if draft.questions.asking is not None:
        draft.show(told)
    else:
        draft.tell(told)


def variation(draft: Draft, who: int, answer: Answer) -> None:
    """Which of the changes that were offered comes first: one's own, else hers who tried last."""
    last = draft.tries.last or who
    if not coaching.choose(draft, who, answer) and not coaching.choose(draft, last, answer):
        draft.refuse(answer)


def own_rest(draft: Draft, who: int, answer: Answer) -> None:
    """The minutes of rest between hard tries of one person, from the rest that runs on."""
    if answer.number is None:
        draft.refuse(answer)
        return
    own_rests.choose(draft, who, 60.0 * answer.number)


def another(draft: Draft, who: int, answer: Answer) -> None:
    """The drill once more before the next try, where it was offered."""
    if drilling.again(draft, who):
        draft.tell(message("drill-first", who=draft.to(who)))
        rests.renew(draft)
    elif drilling.waits(draft.s):  # whose it is is said: nobody takes it for her
        draft.tell(message("drill-offer", who=draft.to(draft.s.tries.last)))
    else:
        draft.refuse(answer)
