"""What an answer does: admitted or dropped, asked back or acted on. One table by meaning."""

from collections.abc import Callable
from dataclasses import replace

from coach import planning
from coach.model.answers import ANYTIME, Answer, Meaning, Tendency
from coach.model.body import Feel, Part, within
from coach.model.day import Change
from coach.model.facts import Decided, EdgeChecked, GateAnswered, SignTold
from coach.model.messages import message
from coach.model.plan import StepKind
from coach.model.questions import QUESTIONS
from coach.session import asking as questions
from coach.session import checkin, flow, interrupts
from coach.session.draft import Draft
from coach.session.effects import Tone
from coach.session.events import Answered, KeyClaimed, Source, Sureness
from coach.session.state import Asking, Phase, Running

#: Meanings that end, skip or take apart: asked back when heard unsurely.
ASKED_BACK = frozenset(
    {Meaning.SKIP, Meaning.FINISH, Meaning.HURT, Meaning.SIGN, Meaning.NOT_TODAY, Meaning.FEEL}
)
#: Seconds that 'more time' adds to a rest.
MORE = 60.0
_RESULTS = {
    Meaning.TOPPED: "topped",
    Meaning.ENDED_START: "start",
    Meaning.ENDED_MIDDLE: "middle",
    Meaning.ENDED_TOP: "top",
}


def answered(draft: Draft, event: Answered) -> None:
    """Take an answer, or say on the screen why it does not count."""
    answer, s = event.answer, draft.s
    draft.set(heard=message("heard", answer=answer.key, source=event.source.value), speech=None)
    if not admitted(draft, event):
        draft.set(did=questions.not_understood(answer))
        return
    who = _who(draft, event)
    if event.source is not Source.KEY and event.sureness is Sureness.UNSURE:
        if answer.tendency is Tendency.RAISING and answer.key not in s.confirmed:
            draft.set(confirmed=(*s.confirmed, answer.key))
            draft.tell(message("once-more", answer=answer.key))
            return
        if answer.meaning in ASKED_BACK and not _in_question(draft, answer):
            ask_back(draft, who, answer)
            return
    draft.set(did=None)
    draft.tone(Tone.HEARD)
    act(draft, who, answer)


def _who(draft: Draft, event: Answered) -> int:
    asking, running = draft.s.asking, draft.s.running
    if asking is not None and asking.who:
        return asking.who
    if running is not None and running.step.turn and event.who == 1:
        return running.step.turn
    return event.who


def admitted(draft: Draft, event: Answered) -> bool:
    """Whether it counts: an answer for any time, its own window, the address word, or a key.

    A key that was pressed in a window that has closed since belongs to what is over.
    """
    key, s = event.answer.key, draft.s
    if key in ANYTIME:
        return True
    if event.source is Source.KEY:
        return event.window in (None, s.window.number if s.window is not None else None)
    if event.window is not None:
        window = s.window
        return (
            window is not None and window.number == event.window and window.takes(key, event.onset)
        )
    on_the_wall = s.running is not None and s.phase is Phase.WORK and s.running.step.on_the_wall
    return event.addressed and not on_the_wall


def ask_back(draft: Draft, who: int, answer: Answer) -> None:
    """'Did you mean that?': on the move the question waits for the floor."""
    asking = Asking("confirm", who, about=answer)
    draft.ask_later(asking)
    running = draft.s.running
    if not (running is not None and draft.s.phase is Phase.WORK and running.step.on_the_wall):
        ask_now(draft)


def ask_now(draft: Draft) -> None:
    """Let waiting questions be asked now; what runs stands still meanwhile."""
    asking = draft.s.asking
    flow.interrupt(draft)
    if asking is not None:
        draft.set(asking=None, pending=(*draft.s.pending, replace(asking, times=0)))
    draft.go_on = True


def _in_question(draft: Draft, answer: Answer) -> bool:
    asking = draft.s.asking
    return asking is not None and answer.key in QUESTIONS[asking.question].answers


def act(draft: Draft, who: int, answer: Answer) -> None:
    """Do what the answer means: first as the answer to a question, then by the table."""
    asking = draft.s.asking
    if asking is not None and answer.key in QUESTIONS[asking.question].answers:
        draft.close_window()
        draft.set(asking=None)
        resolve(draft, asking, answer)
        return
    handler = COMMANDS.get(answer.meaning)
    early = not draft.s.planned and answer.meaning not in _EARLY
    standing = draft.s.paused_since is not None and answer.meaning in _MOVES
    if handler is None or early or standing:
        draft.set(did=questions.not_understood(answer))
        return
    handler(draft, who, answer)


def plan(draft: Draft, who: int, answer: Answer, question: str = "") -> None:
    """Ask planning what the answer changes and put it into force."""
    s = draft.s
    change = planning.adapt(draft.day, s.steps, s.at, who, answer, question, s.library)
    running = s.running
    draft.take(change, answer.key, question)
    if change.ask and change.ask != question:
        draft.ask_later(Asking(change.ask, who, part=answer.part))
    if running is not None and (not change.steps or change.steps[0] != running.step):
        outcome = "skipped" if answer.meaning is Meaning.SKIP else "cut"
        _leave(draft, running, change, outcome)


def _leave(draft: Draft, running: Running, change: Change, outcome: str) -> None:
    """The running step is not the first of the plan any more: end it, or swap it in place."""
    swapped = change.steps and change.steps[0].name == running.step.name
    if swapped and draft.s.phase in (Phase.LEAD_IN, Phase.WORK):
        said = change.say
        flow.interrupt(draft)
        if said is not None:
            draft.say(said)
        flow.lead_in(draft, change.steps[0])
    elif swapped:
        draft.set(running=Running(change.steps[0]))
    else:
        said = change.say
        steps = change.steps
        draft.hush()
        draft.set(steps=(running.step, *steps))
        flow.end_step(draft, outcome)
        draft.set(steps=steps)
        if said is not None:
            draft.say(said)


# answers to questions


def resolve(draft: Draft, asking: Asking, answer: Answer) -> None:
    """The answer to a question."""
    name = asking.question
    if name.startswith("gate-"):
        _gate(draft, asking, answer)
    else:
        _ANSWERS[name](draft, asking, answer)


def _gate(draft: Draft, asking: Asking, answer: Answer) -> None:
    """A gate: what the answer says of the body goes to planning, which asks further if need be."""
    draft.record(GateAnswered(draft.now, asking.who, asking.question, answer.key))
    if asking.question == "gate-fingers" and answer.feel is not None:
        _edge_checked(draft, asking.who, answer.feel)
    plan(draft, asking.who, answer, asking.question)
    draft.go_on = True


def _edge_checked(draft: Draft, who: int, feel: Feel) -> None:
    person = next(person for person in draft.s.options.people if person.who == who)
    hang = next((step for step in reversed(draft.s.past) if step.hangs), None)
    if hang is None:
        return
    form = hang.form(who)
    movement = form.movement if form is not None else ""
    feet = "on" if "feet-on" in movement else "off"
    draft.record(EdgeChecked(draft.now, who, person.edge, movement, feet, feel))


def _go_ahead(draft: Draft, asking: Asking, answer: Answer) -> None:
    if answer.meaning is not Meaning.MORE_TIME:
        draft.record(Decided(draft.now, asking.who, answer.meaning is Meaning.GO))
    plan(draft, asking.who, answer, "go-ahead")
    draft.go_on = True


def _staged(draft: Draft, asking: Asking, answer: Answer) -> None:
    """One stage of how something feels; planning puts the halves together."""
    if asking.step == "hurt":
        plan(draft, asking.who, Answer(Meaning.HURT, answer.part))
    elif not draft.s.planned:
        checkin.told(draft, asking.who, answer)
    else:
        plan(draft, asking.who, answer, asking.question)
    draft.go_on = True


def _sign(draft: Draft, asking: Asking, answer: Answer) -> None:
    if answer.meaning is Meaning.SIGN:
        draft.record(SignTold(draft.now, asking.who, answer.sign or "yes", asking.part))
        answer = replace(answer, part=asking.part)
        if not draft.s.planned:
            checkin.told(draft, asking.who, answer)
        else:
            plan(draft, asking.who, answer, "sign")
    draft.go_on = True


def _another(draft: Draft, asking: Asking, answer: Answer) -> None:
    if draft.s.running is None:
        draft.go_on = True
    elif answer.meaning is Meaning.ANOTHER:
        flow.next_go(draft)
    else:
        flow.end_step(draft, "done")


def _try_result(draft: Draft, asking: Asking, answer: Answer) -> None:
    for item in draft.s.untold:
        who, boulder, seconds, number = item
        if who == asking.who:
            draft.set(untold=tuple(one for one in draft.s.untold if one != item))
            result = _RESULTS.get(answer.meaning, "untold")
            flow.record_try(draft, who, boulder, seconds, result, number)
            break
    draft.go_on = True


def _carry_on(draft: Draft, asking: Asking, answer: Answer) -> None:
    if answer.meaning is Meaning.RESUME:
        interrupts.resume(draft)
    else:
        finish(draft, asking.who, answer)


def _re_warm(draft: Draft, asking: Asking, answer: Answer) -> None:
    if answer.meaning is Meaning.REWARM:
        plan(draft, asking.who, answer, "re-warm")
    draft.go_on = True


def _confirm(draft: Draft, asking: Asking, answer: Answer) -> None:
    if answer.meaning is Meaning.YES and asking.about is not None:
        draft.go_on = True
        act(draft, asking.who, asking.about)
    else:
        draft.go_on = True


def _minutes(draft: Draft, asking: Asking, answer: Answer) -> None:
    routine = draft.s.library.routine
    checkin.minutes(draft, answer.number or routine.minutes)


def _place(draft: Draft, asking: Asking, answer: Answer) -> None:
    checkin.place(draft, answer.meaning is Meaning.SAME)


def _effort(draft: Draft, asking: Asking, answer: Answer) -> None:
    questions.close(draft, answer.number)


_ANSWERS: dict[str, Callable[[Draft, Asking, Answer], None]] = {
    "minutes": _minutes,
    "hurting": _staged,
    "place": _place,
    "go-ahead": _go_ahead,
    "which-part": _staged,
    "how-is-it": _staged,
    "tissue": _staged,
    "sign": _sign,
    "another": _another,
    "try-result": _try_result,
    "carry-on": _carry_on,
    "after-hurt": _carry_on,
    "re-warm": _re_warm,
    "confirm": _confirm,
    "effort": _effort,
}


# commands


def _done(draft: Draft, who: int, answer: Answer) -> None:
    running = draft.s.running
    if draft.s.phase is Phase.WORK and running is not None:
        if running.step.kind is StepKind.TRY:
            flow.end_try(draft, _RESULTS.get(answer.meaning, ""))
        elif answer.meaning is Meaning.DONE:
            if flow.falls_short(draft):
                plan(draft, who, Answer(Meaning.SKIP))
                draft.go_on = True
            else:
                flow.end_step(draft, "done")
        else:
            draft.set(did=questions.not_understood(answer))
    else:
        draft.set(did=questions.not_understood(answer))


def _count(draft: Draft, who: int, answer: Answer) -> None:
    """'That's three' tells how many so far; the last of the batch ends it."""
    running = draft.s.running
    if running is None or running.step.kind is not StepKind.CLIMB or answer.number is None:
        draft.set(did=questions.not_understood(answer))
        return
    draft.set(running=replace(running, counted=answer.number))
    left = running.step.amount - answer.number
    if left <= 0:
        flow.end_step(draft, "done")
    else:
        draft.set(did=message("so-many-left", left=left))


def _skip(draft: Draft, who: int, answer: Answer) -> None:
    s = draft.s
    if not s.planned or not s.steps:
        draft.set(did=questions.not_understood(answer))
        return
    plan(draft, who, answer)
    if s.phase is Phase.REST:
        return
    draft.go_on = True


def _again(draft: Draft, who: int, answer: Answer) -> None:
    if draft.s.last_cue is not None:
        draft.say(draft.s.last_cue)


def _back(draft: Draft, who: int, answer: Answer) -> None:
    """Do the previous step once more, if the caps of now allow it."""
    s = draft.s
    previous = next(
        (
            step
            for step in reversed(s.past)
            if step.kind not in (StepKind.ASK, StepKind.REST, StepKind.TRY)
        ),
        None,
    )
    if previous is None or not all(
        within(form.load, draft.day.caps, form.who) for form in previous.forms
    ):
        draft.tell(message("no-way-back"))
        return
    flow.interrupt(draft)
    taken = {step.name for step in (*s.past, *s.steps)}
    name = f"{previous.name}+"
    while name in taken:
        name += "+"
    again = replace(previous, name=name, floor=False)
    steps = s.steps
    draft.set(running=None, resting=None, steps=(again, *steps), asking=None)
    draft.go_on = True


def _more_time(draft: Draft, who: int, answer: Answer) -> None:
    resting, running = draft.s.resting, draft.s.running
    if resting is not None:
        moved = tuple((at + MORE, what) for at, what in resting.marks)
        draft.set(resting=replace(resting, until=resting.until + MORE, marks=moved))
    elif running is not None:
        draft.set(running=replace(running, more_rest=running.more_rest + MORE))
    else:
        draft.set(did=questions.not_understood(answer))
        return
    draft.set(did=message("longer-rest", seconds=round(MORE)))


def _ready(draft: Draft, who: int, answer: Answer) -> None:
    if draft.s.resting is not None and draft.s.phase is Phase.REST:
        draft.hush()
        flow.end_rest(draft)
    else:
        draft.set(did=questions.not_understood(answer))


def _planned(draft: Draft, who: int, answer: Answer) -> None:
    """Easier, harder, short of time, longer: planning decides."""
    plan(draft, who, answer)


def _feel(draft: Draft, who: int, answer: Answer) -> None:
    """'Fingers sore' at any time; 'sore' alone asks where, at once unless somebody climbs."""
    if not draft.s.planned:
        if draft.s.day is not None:
            checkin.told(draft, who, answer)
        else:
            draft.set(did=questions.not_understood(answer))
        return
    plan(draft, who, answer)
    running = draft.s.running
    moving = running is not None and running.step.on_the_wall and draft.s.phase is Phase.WORK
    if draft.s.pending and not moving:
        ask_now(draft)


def _sign_told(draft: Draft, who: int, answer: Answer) -> None:
    draft.record(SignTold(draft.now, who, answer.sign or "yes", answer.part))
    plan(draft, who, answer)


def _hurt(draft: Draft, who: int, answer: Answer) -> None:
    interrupts.hurt(draft, who)
    if not draft.s.planned:
        draft.ask_later(Asking("after-hurt", who))
    elif answer.part is not None:
        plan(draft, who, answer)
    else:
        draft.ask_later(Asking("which-part", who, step="hurt"))
    draft.go_on = True


def _whats_next(draft: Draft, who: int, answer: Answer) -> None:
    steps = [step for step in draft.s.steps if step.kind not in (StepKind.REST, StepKind.ASK)]
    if draft.s.running is not None:
        steps = steps[1:]
    if steps:
        movement = next((form.movement for form in steps[0].forms if form.movement), "")
        draft.tell(
            message("next", movement=movement, kind=steps[0].kind.value, block=steps[0].block.value)
        )
    else:
        draft.tell(message("nothing-next"))


def _how_long(draft: Draft, who: int, answer: Answer) -> None:
    seconds = sum(step.seconds + step.rest for step in draft.s.steps)
    draft.tell(message("how-long", minutes=max(round(seconds / 60.0), 1)))


def _why(draft: Draft, who: int, answer: Answer) -> None:
    if draft.s.fired:
        fired = draft.s.fired[-1]
        draft.tell(fired.because)
        draft.say(message("how-sure", sure=fired.sure))
    else:
        draft.tell(message("no-why"))


def _pause(draft: Draft, who: int, answer: Answer) -> None:
    interrupts.pause(draft)


def _stop(draft: Draft, who: int, answer: Answer) -> None:
    interrupts.stop(draft, who)


def _resume(draft: Draft, who: int, answer: Answer) -> None:
    if draft.s.phase in (Phase.PAUSED, Phase.STOPPED, Phase.HURT):
        interrupts.resume(draft)
    else:
        draft.set(did=questions.not_understood(answer))


def finish(draft: Draft, who: int, answer: Answer) -> None:
    """End well, now: what is left is dropped, the debrief stays."""
    s = draft.s
    if not s.planned:
        draft.hush()
        draft.set(how="ended")
        interrupts.end_pause(draft)
        questions.close(draft, None)
        return
    if s.phase is Phase.DEBRIEF:
        draft.hush()
        questions.close(draft, s.effort)
        return
    interrupts.end_pause(draft)
    draft.hush()
    if s.running is not None:
        flow.end_step(draft, "cut")
        draft.set(resting=None)
    draft.set(
        how="hurt" if s.how == "hurt" else "ended",
        steps=(),
        running=None,
        resting=None,
        pending=(),
        asking=None,
    )
    draft.go_on = False
    questions.debrief(draft)


COMMANDS: dict[Meaning, Callable[[Draft, int, Answer], None]] = {
    Meaning.DONE: _done,
    Meaning.DOWN: _done,
    Meaning.TOPPED: _done,
    Meaning.ENDED_START: _done,
    Meaning.ENDED_MIDDLE: _done,
    Meaning.ENDED_TOP: _done,
    Meaning.COUNT: _count,
    Meaning.SKIP: _skip,
    Meaning.AGAIN: _again,
    Meaning.BACK: _back,
    Meaning.MORE_TIME: _more_time,
    Meaning.READY: _ready,
    Meaning.EASIER: _planned,
    Meaning.HARDER: _planned,
    Meaning.SHORT_OF_TIME: _planned,
    Meaning.LONGER: _planned,
    Meaning.FEEL: _feel,
    Meaning.SIGN: _sign_told,
    Meaning.HURT: _hurt,
    Meaning.WHATS_NEXT: _whats_next,
    Meaning.HOW_LONG: _how_long,
    Meaning.WHY: _why,
    Meaning.PAUSE: _pause,
    Meaning.STOP: _stop,
    Meaning.RESUME: _resume,
    Meaning.FINISH: finish,
}
#: What means nothing while the session stands still.
_MOVES = frozenset(
    {
        Meaning.DONE,
        Meaning.DOWN,
        Meaning.TOPPED,
        Meaning.ENDED_START,
        Meaning.ENDED_MIDDLE,
        Meaning.ENDED_TOP,
        Meaning.COUNT,
        Meaning.SKIP,
        Meaning.BACK,
        Meaning.READY,
        Meaning.MORE_TIME,
        Meaning.EASIER,
        Meaning.HARDER,
    }
)
#: What can be said before there is a plan.
_EARLY = frozenset(
    {Meaning.AGAIN, Meaning.FEEL, Meaning.PAUSE, Meaning.STOP, Meaning.RESUME, Meaning.FINISH}
)


def unanswered(draft: Draft) -> None:
    """The window of the question has closed."""
    asking = questions.unanswered(draft)
    if asking is None:
        return
    answer = questions.silence_of(asking.question)
    resolve(draft, asking, answer)


def claimed(draft: Draft, event: KeyClaimed) -> None:
    """What only a key may state: 'cleared:fingers' counts from the next session on.

    The event itself is the record; a cap from a warning sign stays for this session.
    """
    kind, _, name = event.claim.partition(":")
    if kind == "cleared" and name in list(Part):
        draft.set(did=message("cleared", part=name))
    else:
        draft.set(did=message("not-now", answer=event.claim))
