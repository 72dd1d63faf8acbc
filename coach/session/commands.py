"""What an answer does that no question asked for: one table by meaning."""

from collections.abc import Callable
from dataclasses import replace

from coach.model.answers import Answer, Meaning
from coach.model.body import Feel
from coach.model.messages import Message, message
from coach.model.plan import StepKind
from coach.model.signs import GRAVE
from coach.session import (
    asked_questions,
    checkin,
    controls,
    endings,
    home_time,
    injury,
    notes,
    own_rests,
    pauses,
    windows,
)
from coach.session.changes import ask_of_a_body, plan
from coach.session.draft import Draft
from coach.session.state import Phase


def _until(draft: Draft, who: int, answer: Answer) -> None:
    """A time of day by which it is to be over: fewer minutes, or more, than there are."""
    minutes = home_time.minutes_until(draft.s, answer.number) if answer.number is not None else None
    if minutes is None:
        draft.refuse(answer)
        return
    more = minutes - round((draft.day.ends_at - draft.now) / 60.0)
    if more > 0:
        plan(draft, who, Answer(Meaning.LONGER, number=more))
    elif more < 0:
        plan(draft, who, Answer(Meaning.SHORT_OF_TIME, number=minutes))
    else:
        _how_long(draft, who, answer)


#: What tells how much of a rest is left, at the moment when it is said.
_OF_A_REST = frozenset(
    {"rest-half", "rest-nearly-over", "rest-ten"}
    | {"how-long-rest", "how-long-rest-half", "how-long-rest-minutes"}
)


def _again(draft: Draft, who: int, answer: Answer) -> None:
    speech = draft.speech
    waits = [one.what for one in (speech.saying, *speech.queue) if one is not None]
    resting = draft.rests.resting
    if speech.last_cue in waits:
        draft.show(speech.last_cue)  # it is being said just now
    elif resting is not None and speech.last_cue is not None and speech.last_cue.key in _OF_A_REST:
        draft.say(_rest_left(resting.until - draft.now))  # by now it is another time
    elif speech.last_cue is not None:
        draft.say(speech.last_cue)


def _planned(draft: Draft, who: int, answer: Answer) -> None:
    """Easier, harder, short of time, longer: planning decides, or nothing is changed by it."""
    before = draft.s
    if answer.meaning is Meaning.EASIER:
        who = windows.doer(before, who) or who
    plan(draft, who, answer)
    if draft.s == before:
        draft.refuse(answer)


def _feel(draft: Draft, who: int, answer: Answer) -> None:
    """'Fingers sore' at any time; 'sore' alone asks where, at once unless somebody climbs.

    What hurts or is sore is not climbed on until the batch is over: it is asked about at once.
    """
    if not draft.course.planned:
        checkin.told_early(draft, who, answer)
        return
    asking = draft.questions.asking
    if answer.number is not None and answer.part is None and asking is not None:
        # "moderate pain", told while a part is asked about, is how much it hurts there
        answer = replace(answer, part=asking.part if asking.who == who else None)
    last = draft.s.phase is Phase.DEBRIEF
    if last and answer.feel is Feel.HURTING:
        # nothing follows that could spare it, and it is not to be lost
        _hurt(draft, who, Answer(Meaning.HURT, part=answer.part))
        return
    if answer.feel in (Feel.FRESH, Feel.FINE):
        before = draft.s
        plan(draft, who, answer)
        if draft.s == before:
            draft.refuse(answer)  # unasked it opens nothing
        return
    ask_of_a_body(draft, answer)
    plan(draft, who, answer)
    if last:
        # after how hard it was nothing is asked any more
        pending = draft.questions.pending
        first = sorted(pending, key=lambda one: one.question not in asked_questions.BODY)
        draft.questions = replace(draft.questions, pending=tuple(first))


def other_part(draft: Draft, who: int, answer: Answer) -> None:
    """A part that is named after a complaint: it is no better off than the one told before it."""
    told = [one for one in draft.day.reports if one.complains]
    told = [one for one in told if one.who == who] or told
    if answer.part is None or not told:
        draft.refuse(answer)
    elif answer.part in GRAVE:
        _hurt(draft, who, Answer(Meaning.HURT, part=answer.part))
    else:
        _feel(draft, who, Answer(Meaning.FEEL, part=answer.part, feel=told[-1].feel))


def _hurt(draft: Draft, who: int, answer: Answer) -> None:
    pauses.hurt(draft, who)
    injury.begin(draft, who, answer)


def _whats_next(draft: Draft, who: int, answer: Answer) -> None:
    steps = [step for step in draft.course.steps if step.kind not in (StepKind.REST, StepKind.ASK)]
    if draft.course.running is not None:
        steps = steps[1:]
    if steps:
        movement = next((form.movement for form in steps[0].forms if form.movement), "")
        draft.tell(
            message("next", movement=movement, kind=steps[0].kind.value, block=steps[0].block.value)
        )
    else:
        draft.tell(message("nothing-next"))


def _how_long(draft: Draft, who: int, answer: Answer) -> None:
    resting = draft.rests.resting
    if resting is not None and own_rests.between_tries(draft):
        draft.tell(_rest_left(resting.until - draft.now))
    if draft.s.options.open_end:
        draft.tell(message("no-end"))
    else:
        minutes = home_time.minutes_left(draft.s)
        draft.tell(home_time.what_is_left(draft.s) or message("how-long", minutes=minutes))


def _rest_left(seconds: float) -> Message:
    """What is left of a rest as people say it: half minutes, and tens of seconds at last."""
    if seconds < 75.0:
        return message("how-long-rest", seconds=max(round(seconds / 10.0) * 10, 10))
    halves = round(seconds / 30.0)
    key = "how-long-rest-half" if halves % 2 else "how-long-rest-minutes"
    return message(key, whole=halves // 2)


def _why(draft: Draft, who: int, answer: Answer) -> None:
    if draft.course.fired:
        fired = draft.course.fired[-1]
        draft.tell(fired.because)
        draft.say(message("how-sure", sure=fired.sure))
    else:
        draft.tell(message("no-why"))


def _no_questions(draft: Draft, who: int, answer: Answer) -> None:
    """From now on only what keeps somebody safe is asked."""
    draft.questions = replace(draft.questions, quiet=True)
    draft.tell(message("no-questions"))


def _long_warm_up(draft: Draft, who: int, answer: Answer) -> None:
    """Told before there is a plan it is in it; a plan that is made stays."""
    if draft.course.planned:
        draft.refuse(answer)
    else:
        checkin.longer_warm_up(draft, who)


def _pause(draft: Draft, who: int, answer: Answer) -> None:
    pauses.pause(draft)


def _stop(draft: Draft, who: int, answer: Answer) -> None:
    pauses.stop(draft, who)


def _resume(draft: Draft, who: int, answer: Answer) -> None:
    # whoever is hurt goes on by the answer to its own question alone
    if draft.s.phase in (Phase.PAUSED, Phase.STOPPED):
        pauses.resume(draft)
    else:
        draft.refuse(answer)


COMMANDS: dict[Meaning, Callable[[Draft, int, Answer], None]] = {
    Meaning.DONE: controls.done,
    Meaning.STARTING: controls.starting,
    Meaning.DOWN: controls.done,
    Meaning.TOPPED: controls.done,
    Meaning.ENDED_START: controls.done,
    Meaning.ENDED_MIDDLE: controls.done,
    Meaning.ENDED_TOP: controls.done,
    Meaning.MOVE: controls.done,
    Meaning.CAUSE: controls.of_try,
    Meaning.CLOSER: controls.of_try,
    Meaning.FELT_HARDER: controls.of_try,
    Meaning.FELT_SAME: controls.of_try,
    Meaning.FELT_EASIER: controls.of_try,
    Meaning.OTHER_BOULDER: controls.other_boulder,
    Meaning.MOVE_DONE: controls.move_done,
    Meaning.ANOTHER: controls.another,
    Meaning.KEY_MOVE: controls.key_move,
    Meaning.VARIATION: controls.variation,
    Meaning.OWN_REST: controls.own_rest,
    Meaning.LAST_GO: controls.last_go,
    Meaning.ENOUGH: controls.last_go,
    Meaning.COUNT: controls.count,
    Meaning.SKIP: controls.skip,
    Meaning.AGAIN: _again,
    Meaning.BACK: controls.back,
    Meaning.MORE_TIME: controls.more_time,
    Meaning.READY: controls.ready,
    Meaning.EASIER: _planned,
    Meaning.HARDER: _planned,
    Meaning.SHORT_OF_TIME: _planned,
    Meaning.FEWER: _planned,
    Meaning.LONGER: _planned,
    Meaning.UNTIL: _until,
    Meaning.FEEL: _feel,
    Meaning.SIGN: injury.sign_told,
    Meaning.HURT: _hurt,
    Meaning.WHATS_NEXT: _whats_next,
    Meaning.HOW_LONG: _how_long,
    Meaning.WHY: _why,
    Meaning.LONG_WARM_UP: _long_warm_up,
    Meaning.NO_QUESTIONS: _no_questions,
    Meaning.PAUSE: _pause,
    Meaning.STOP: _stop,
    Meaning.RESUME: _resume,
    Meaning.FINISH: endings.finish,
    Meaning.LEAVING: endings.leaving,
    Meaning.KEEP: notes.keep,
    Meaning.FILMED: notes.filmed,
}
assert set(COMMANDS) == {meaning for meaning in Meaning if not meaning.nature.asked}
