"""From a session to what a screen draws. It decides nothing: it only looks."""

from itertools import chain, repeat

from coach.model.answers import LETTERED, parse
from coach.model.messages import Message, message
from coach.model.nature import Tendency
from coach.model.plan import Step, StepKind
from coach.model.tries import UNNAMED, Boulder
from coach.planning import drills
from coach.planning.gates import GO_AHEAD
from coach.session import home_time, windows
from coach.session.asked_questions import words
from coach.session.cues import movement_of
from coach.session.state import Phase, Session
from coach.session.view import WORDS, Ear, Stretch, View, Word

_WORK = {
    StepKind.STAY: Word.STAY,
    StepKind.REPEAT: Word.MOVE,
    StepKind.BREATHE: Word.BREATHE,
    StepKind.CLIMB: Word.CLIMB,
    StepKind.DOSE: Word.HANG,
    StepKind.TRY: Word.TRY,
}
#: Answers shown at any time, on the wall too.
_ALWAYS = ("pause", "stop", "hurt", "feel:fingers:sore")

#: And what is there already, so that nothing of it is offered.
_STANDS = {
    Phase.PAUSED: ("pause",),
    Phase.STOPPED: ("pause", "stop"),
    Phase.HURT: ("pause", "stop", "hurt"),
}


def look(session: Session) -> View:
    """The view of a session now."""
    s = session
    counts_from, counts_to, stands = _time(s)
    step = s.course.running.step if s.course.running is not None else None
    return View(
        word=_word(s),
        ear=Ear.of(s.devices.lost, s.window),
        counts_from=counts_from,
        counts_to=counts_to,
        stands_at=stands,
        step=_title(step) if step is not None else message("screen-" + s.phase.value),
        cue=_cue(s),
        form=_form(step),
        answers=_answers(s),
        heard=s.listening.heard,
        did=s.listening.did,
        slope=_slope(s),
        ends_at=_ends(s),
        recording=s.notes.recording is not None,
        turn=_turn(s, step),
        next=_next(s),
        weighs=s.weighs,
        window=s.window.number if s.window is not None else None,
        idle=_idle(s),
        asks=_asks(s),
    )


def _asks(s: Session) -> int:
    """Of several people, whom the open question is asked of."""
    asking = s.questions.asking
    return asking.who if asking is not None and len(s.people) > 1 else 0


def _turn(s: Session, step: Step | None) -> int:
    """Whose turn it is, at a try or at the one board; 0 where it is everybody's."""
    if step is None or len(s.people) == 1:
        return 0
    return step.turn or (step.forms[0].who if step.hangs and len(step.forms) == 1 else 0)


def _next(s: Session) -> int:
    """Whose try comes after the rest that runs, where there are several people; else 0."""
    step = next_try(s)
    return step.turn if step is not None and len(s.people) > 1 else 0


def next_try(s: Session) -> Step | None:
    """The try after the rest that runs."""
    first = (
        s.course.steps[0]
        if s.course.steps and s.course.running is None and s.rests.resting is not None
        else None
    )
    return first if first is not None and first.kind is StepKind.TRY else None


def _cue(s: Session) -> Message:
    """The question that is asked, the cue of the step that runs; else what was said last.

    In a rest a question that is not asked any more gives way to what comes next.
    """
    if s.questions.asking is not None and s.window is not None:
        return words(s, s.questions.asking)
    step = s.course.running.step if s.course.running is not None else None
    coming = next_try(s)
    asked = s.speech.last_cue is not None and s.speech.last_cue.key.startswith("ask-")
    if coming is not None and s.phase is Phase.REST and asked:
        number = dict(s.tries.counts).get(coming.turn, 0) + 1
        boulder = dict(s.tries.on).get(coming.turn, Boulder(f"{UNNAMED} 1")).name
        who = coming.turn if len(s.people) > 1 else 0
        return message("screen-next-try", number=number, boulder=boulder, who=who)
    if step is None or step.kind is StepKind.TRY or not movement_of(step):
        return s.speech.last_cue or message("welcome")
    return message("cue", movement=movement_of(step), amount=step.amount, side=step.side)


def _ends(s: Session) -> float | None:
    """When she goes home; before there is a plan, when the minutes end; None where untold."""
    if s.options.open_end:
        return None
    if s.course.planned:
        return home_time.ends(s)
    return s.began + 60.0 * s.options.minutes if s.options.minutes is not None else None


def _word(s: Session) -> Word:
    if s.notes.recording is not None:
        return Word.NOTE
    if s.phase is Phase.WORK and s.course.running is not None:
        step = s.course.running.step
        if drills.is_drill(step):
            return Word.CLIMB
        return Word.HANG if step.hangs else _WORK.get(step.kind, Word.MOVE)
    return WORDS.get(s.phase, Word.READY)


def _time(s: Session) -> tuple[float | None, float | None, float | None]:
    """Counts up from, counts down to, stands at: one of them, or none."""
    if s.standing.paused_since is not None:
        left = s.course.running.left if s.course.running is not None else None
        return None, None, left if left is not None else 0.0
    if s.phase is Phase.WORK and s.course.running is not None:
        if s.course.running.until is not None:
            return None, s.course.running.until, None
        return s.course.running.since, None, None
    if s.rests.resting is not None and s.phase is Phase.REST:
        return None, s.rests.resting.until, None
    return None, None, None


def _title(step: Step) -> Message:
    return message("screen-step", kind=step.kind.value, movement=movement_of(step))


def _form(step: Step | None) -> Message | None:
    movement = movement_of(step) if step is not None else ""
    return message("screen-form", movement=movement) if movement else None


def _answers(s: Session) -> tuple[str, ...]:
    """Those that are heard now, the expected one first; a raising one is never the expected one."""
    if s.phase is Phase.OVER:
        return ()
    asking, answers = s.questions.asking, s.window.answers if s.window is not None else ()
    if asking is not None and asking.question != GO_AHEAD and answers:
        # its own words may not have been said yet
        answers = tuple(key for key in asking.offered if key in answers) or answers
    ordered = sorted(answers, key=lambda key: parse(key).tendency is Tendency.RAISING)
    stands = _STANDS.get(s.phase, ())
    return (*ordered, *(key for key in _ALWAYS if key not in (*answers, *stands)))


def _idle(s: Session) -> frozenset[str]:
    """Answers with a letter that would be met by 'not now'."""
    over = s.phase is Phase.OVER
    return frozenset(
        key for key in LETTERED if over or not windows.takes_now(s, parse(key).meaning)
    )


def _slope(s: Session) -> tuple[Stretch, ...]:
    """The day: what is past, what runs, what is ahead; gates stand before what they open."""
    stretches: list[Stretch] = []
    gate = ""
    states = chain(repeat("past", len(s.course.past)), ("now",), repeat("ahead"))
    for step, state in zip((*s.course.past, *s.course.steps), states, strict=False):
        if step.kind is StepKind.ASK:
            gate = step.question
            continue
        stretches.append(Stretch.of(step, state, gate))
        gate = ""
    return tuple(stretches)
