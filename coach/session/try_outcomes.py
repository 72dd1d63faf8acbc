"""Hard tries: how one went, what that tells, and what ended it.

`coach.planning.try_trend` judges; here it is put on the record, into words, and into the rest that
runs. Nothing here raises: a longer rest, fewer tries, or another boulder.
"""

from collections.abc import Iterable
from dataclasses import replace

from coach.model.answers import Answer, Meaning
from coach.model.body import CapReason
from coach.model.facts import CauseTold, EffortFelt, Retold, Tried, WentForIt, Won
from coach.model.messages import message
from coach.model.plan import StepKind
from coach.model.questions import OF_TRIES
from coach.model.tries import HEIGHTS, Went
from coach.planning import fitting
from coach.planning import try_trend as judged
from coach.session import coaching, drilling, own_rests
from coach.session.current_boulder import boulder_of, tries_on
from coach.session.dialogue import Asking
from coach.session.draft import Draft

#: How a try may be told to have ended.
_ENDS = ("topped", "ended-start", "ended-middle", "ended-top")
#: Seconds of a session to each question that one person gets, and the fewest a session has; what
#: the checks, the go-ahead and the last question leave of them is asked about tries, ASKED at
#: most; one less where answers come late, as each takes longer then (our choice).
SECONDS_EACH, FEWEST, LAST_QUESTION, ASKED = 900.0, 6, 1, 5
#: Tries after which it is asked how far it got, where nothing more is to be decided: the first
#: ones, and later two in a row, which tell whether they get worse (our choice).
ASKED_AFTER = frozenset({1, 2, 3, 7, 8})
#: Where there is one question only it comes after this try, and asks what ended it: that alone
#: can change the rest, and stays for the next day.
ONLY_AFTER = 2
#: Seconds after the word to go from which on somebody is taken to have begun (our choice).
ON_THE_WALL = 10.0
#: Moves that the window of a try takes by number.
MOVES = 3


def end_answers(draft: Draft, who: int) -> tuple[str, ...]:
    """What a try's end may be told by: down, how far it got, the likely moves by number."""
    boulder = boulder_of(draft.s, who)
    near = judged.moves_near(boulder, tries_on(draft.s, who, boulder.name), MOVES)
    return ("down", *_ENDS, *(f"move:{move}" for move in near))


def ended(draft: Draft, who: int, seconds: float, answer: Answer) -> None:
    """A try is over: its result, if it was told at once, else a question for later."""
    number, boulder = _counted(draft, who), boulder_of(draft.s, who)
    told = result_of(draft, who, answer)
    before = tries_on(draft.s, who, boulder.name)
    if told is None and draft.also:
        told = ("below", 0)
    if told is None:
        _wait_for_result(draft, who, boulder.name, seconds, number)
        _ask(draft, who, boulder.name, _question(draft, who, boulder.name, before))
        return
    went = Went(who, boulder.name, *told, seconds=seconds)
    offered = _keep(draft, went, number, offer=not draft.also)
    if draft.also:
        add(draft, who, boulder.name, draft.also)
        return
    # who tells the result at once is asked one question more than the others: later, then
    question = _question(draft, who, boulder.name, before)
    still = judged.stuck(tries_on(draft.s, who, boulder.name))
    if not offered and (question == "try-effort" or (question == "try-cause" and still)):
        _ask(draft, who, boulder.name, question)


def broken_off(draft: Draft, who: int, seconds: float) -> None:
    """A body ended a try: it stays one, and how far it got is not asked."""
    if seconds >= ON_THE_WALL:
        number = _counted(draft, who)
        _wait_for_result(draft, who, boulder_of(draft.s, who).name, seconds, number)


def _counted(draft: Draft, who: int) -> int:
    """One try more; its number. It was made with the change that was said before it."""
    boulder = boulder_of(draft.s, who).name
    made_with = coaching.next_variation(draft.s, who, boulder)
    _leave_untold(draft, who)
    counts = dict(draft.tries.counts)
    counts[who] = counts.get(who, 0) + 1
    made = (*draft.tries.made_with, (who, counts[who], made_with))
    draft.tries = replace(
        draft.tries, counts=tuple(sorted(counts.items())), last=who, made_with=made
    )
    return counts[who]


def _wait_for_result(draft: Draft, who: int, boulder: str, seconds: float, number: int) -> None:
    untold = (*draft.tries.untold, (who, boulder, seconds, number))
    draft.tries = replace(draft.tries, untold=untold)


def _leave_untold(draft: Draft, who: int) -> None:
    """Another try of theirs is over: what is told from now on is of that one."""
    waiting = untold_of(draft, who)
    if waiting is not None:
        told(draft, who, Answer(Meaning.SILENCE))


def _tell_of_asking(draft: Draft, who: int) -> None:
    """It is not asked after every try: that is said once, and how it can be told."""
    mark = f"asked-less-{who}"
    if mark not in draft.questions.asked:
        draft.questions = replace(draft.questions, asked=draft.questions.asked | {mark})
        draft.say(message("asked-less", who=who if len(draft.s.people) > 1 else 0))


def _question(draft: Draft, who: int, boulder: str, before: list[Went]) -> str:
    asked = _cause_mark(who, boulder) in draft.questions.asked
    question = judged.question_after(before, asked_cause=asked)
    return "try-cause" if question == "try-result" and _most(draft) <= 1 else question


def _most(draft: Draft) -> int:
    """How many questions about tries one person gets today."""
    steps = (*draft.course.past, *draft.course.steps)
    checks = len({one.name for one in steps if one.kind is StepKind.ASK})
    every = max(int((draft.day.ends_at - draft.day.begins_at) // SECONDS_EACH), FEWEST)
    left = min(every - LAST_QUESTION - checks, ASKED)
    return max(left - bool(draft.questions.slow), 0)


def _too_soon(draft: Draft, who: int, question: str) -> bool:
    """Whether it is kept for a later try."""
    number = dict(draft.tries.counts)[who]
    if _most(draft) <= 1:
        return number < ONLY_AFTER
    return question == "try-result" and number not in ASKED_AFTER


def _cause_mark(who: int, boulder: str) -> str:
    """Kept in what was asked: what ends tries on a boulder is asked once a day."""
    return f"cause-{who}-{boulder}"


def _ask(draft: Draft, who: int, boulder: str, question: str) -> None:
    """One question about a try, unless nothing is to be asked, or enough was."""
    if not draft.s.options.ask_tries:
        return
    asked_before = dict(draft.tries.asked).get(who, 0)
    if asked_before >= _most(draft) or _too_soon(draft, who, question):
        _tell_of_asking(draft, who)
        return
    counts = dict(draft.tries.asked) | {who: asked_before + 1}
    draft.tries = replace(draft.tries, asked=tuple(sorted(counts.items())))
    if question == "try-cause":
        asked = draft.questions.asked | {_cause_mark(who, boulder)}
        draft.questions = replace(draft.questions, asked=asked)
    draft.ask_later(Asking(question, who, step=boulder))


def result_of(draft: Draft, who: int, answer: Answer) -> tuple[str, int] | None:
    """The place and the move that an answer tells; None where it tells none."""
    if answer.meaning is Meaning.MOVE and answer.number:
        moves = boulder_of(draft.s, who).moves
        if not moves:
            return "below", answer.number
        if answer.number < moves:
            return judged.zone(answer.number, moves), answer.number
        return ("topped", 0) if answer.number == moves else None
    result = answer.meaning.nature.result
    return (result, 0) if result in HEIGHTS else None


def felt_of(answer: Answer) -> str:
    """How hard an answer tells a try to have been beside the one before; '' where it does not."""
    result = answer.meaning.nature.result
    return "" if result in HEIGHTS else result


def untold_of(draft: Draft, who: int) -> tuple[str, float, int] | None:
    """The oldest try of a person whose result nobody told: boulder, seconds, number."""
    return next((item[1:] for item in draft.tries.untold if item[0] == who), None)


def told(draft: Draft, who: int, answer: Answer) -> bool:
    """The result of the oldest try that waits for one; False where none does."""
    waiting = untold_of(draft, who)
    if waiting is None:
        return False
    boulder, seconds, number = waiting
    draft.tries = replace(
        draft.tries, untold=tuple(one for one in draft.tries.untold if one != (who, *waiting))
    )
    more = draft.also or answer.meaning.nature.tells not in ("", "end") or _of_nerve(answer)
    result = result_of(draft, who, answer) or (("below", 0) if more else ("untold", 0))
    # a change is offered once the rest of the answer is on the record
    went = Went(who, boulder, *result, seconds=seconds)
    offer = not more and answer.meaning is not Meaning.SILENCE
    _keep(draft, went, number, offer=offer, judge=not _of_nerve(answer))
    _drop_questions(draft, who)
    return True


def _drop_questions(draft: Draft, who: int) -> None:
    pending = (o for o in draft.questions.pending if o.who != who or o.question not in OF_TRIES)
    draft.questions = replace(draft.questions, pending=tuple(pending))


def unask(draft: Draft, who: int) -> None:
    """Whoever is done with hard tries is asked nothing more of them; it may still be told."""
    asking = draft.questions.asking
    if asking is not None and asking.who == who and asking.question in OF_TRIES:
        draft.unask()
        draft.close_window()
        draft.questions = replace(draft.questions, asking=None)
        draft.go_on = True
    _drop_questions(draft, who)


def _of_nerve(answer: Answer) -> bool:
    """Whether it tells that somebody went for it, or held back."""
    return answer.meaning in (Meaning.WENT, Meaning.HELD_BACK)


def told_anew(draft: Draft, who: int, answer: Answer) -> None:
    """How the last try ended, told once more: where it differs, the later word counts."""
    boulder, number = boulder_of(draft.s, who).name, dict(draft.tries.counts)[who]
    *before, last = tries_on(draft.s, who, boulder)
    result, move = result_of(draft, who, answer) or ("below", 0)
    if (result, move) in ((last.result, last.move), (last.result, 0)):
        draft.show(message("told-already"))
        return
    gave = coaching.gave_last(draft.s, who, boulder)
    draft.record(Retold(draft.now, who, boulder, number, result, move))
    _mark(draft, who, boulder, result=result, move=move)
    tops = draft.tries.tops + (result == "topped") - (last.result == "topped")
    draft.tries = replace(draft.tries, tops=tops)
    left = (o for o in draft.questions.pending if (o.question, o.who) != ("after-top", who))
    draft.questions = replace(draft.questions, pending=tuple(left))
    draft.show(message("told-anew"))
    now = tries_on(draft.s, who, boulder)[-1]
    won = judged.win(before, now)
    if won is not None and won != judged.win(before, last):
        _won(draft, who, boulder, *won)
    coaching.judged_again(draft, who, boulder, gave)
    if result == "topped":
        coaching.topped(draft, who, boulder)
    elif not judged.falling([*before, now]):
        coaching.consider(draft, who, boulder)


def untimed(draft: Draft, who: int, boulder: str, answer: Answer) -> None:
    """A result without a try that was timed: it happened, so it is kept."""
    counts = dict(draft.tries.counts)
    counts[who] = counts.get(who, 0) + 1
    draft.tries = replace(draft.tries, counts=tuple(sorted(counts.items())))
    result = result_of(draft, who, answer) or ("untold", 0)
    _keep(draft, Went(who, boulder, *result), counts[who])


def _keep(draft: Draft, went: Went, number: int, *, offer: bool = True, judge: bool = True) -> bool:
    """Put a try on the record, and tell as a fact what it brought; whether a change was offered."""
    before = tries_on(draft.s, went.who, went.boulder)
    went = replace(
        went,
        variation=_made_with(draft, went, number),
        closer=any(one.meaning is Meaning.CLOSER for one in draft.also),
        felt=next(filter(None, map(felt_of, draft.also)), ""),
    )
    draft.record(
        Tried(
            draft.now,
            went.who,
            went.boulder,
            number,
            went.result,
            max(went.seconds, 0.0),
            went.move,
        )
    )
    draft.tries = replace(draft.tries, went=(*draft.tries.went, went))
    if went.result == "topped":
        draft.tries = replace(draft.tries, tops=draft.tries.tops + 1)
    won = judged.win(before, went)
    if won is not None:
        _won(draft, went.who, went.boulder, *won)
    if judge:
        coaching.judged(draft, before, went, number)
    if went.result == "topped":
        coaching.topped(draft, went.who, went.boulder)
        return True
    if judged.falling([*before, went]):
        if not judged.falling(before) and fitting.tries(draft.course.steps, went.who):
            draft.tell(message("falling", who=draft.to(went.who)))
        return True
    return offer and coaching.consider(draft, went.who, went.boulder)


def _made_with(draft: Draft, went: Went, number: int) -> str:
    """The change that a try was made with, whatever was told or left untold since."""
    made = draft.tries.made_with
    mine = [one for one in made if one[:2] == (went.who, number)]
    draft.tries = replace(draft.tries, made_with=tuple(one for one in made if one not in mine))
    if mine:
        return mine[0][2]
    return coaching.next_variation(draft.s, went.who, went.boulder)


def _won(draft: Draft, who: int, boulder: str, what: str, moves: int = 0) -> None:
    draft.record(Won(draft.now, who, boulder, what, moves))
    if what != "topped":
        draft.tell(message(f"won-{what}", moves=moves, who=draft.to(who)))


def add(draft: Draft, who: int, boulder: str, answers: Iterable[Answer]) -> None:
    """What is told of the last try beside its end: on the record, and what it changes.

    What ended it and how hard it was are kept for other days. Worn or harder lengthens the rest
    that runs; then one change for the next try may be offered.
    """
    was_falling, worn = judged.falling(tries_on(draft.s, who, boulder)), False
    gave = coaching.gave_last(draft.s, who, boulder)
    for answer in answers:
        if answer.cause is not None:
            draft.record(CauseTold(draft.now, who, boulder, answer.cause))
            _mark(draft, who, boulder, cause=answer.cause)
            worn |= answer.cause in drilling.WORN
        elif how := felt_of(answer):
            draft.record(EffortFelt(draft.now, who, boulder, how))
            _mark(draft, who, boulder, felt=how)
            worn |= how == "harder"
            if how == "easier":
                _won(draft, who, boulder, "easier")
        elif answer.meaning is Meaning.CLOSER:
            _mark(draft, who, boulder, closer=True)
            _closer(draft, who, boulder)
    coaching.judged_again(draft, who, boulder, gave)
    log = tries_on(draft.s, who, boulder)
    if log and log[-1].result == "topped":
        return
    if worn and own_rests.worn(draft, who, coaching.LONGER):
        draft.tell(message("offer-longer-rest", who=draft.to(who)))
    if judged.falling(log):
        if not was_falling and fitting.tries(draft.course.steps, who):
            key = "falling-harder" if judged.harder(log) else "falling"
            draft.tell(message(key, who=draft.to(who)))
    else:
        coaching.consider(draft, who, boulder)


def _closer(draft: Draft, who: int, boulder: str) -> None:
    """It went further than the one before: told, unless that is known from where both ended."""
    *before, last = tries_on(draft.s, who, boulder)
    if judged.win(before, last) is None:
        _won(draft, who, boulder, "closer")


def went_for_it(draft: Draft, who: int, boulder: str, gone: bool) -> None:
    """Whether she went for it: going is a win whatever came of it, holding back is no fault."""
    draft.record(WentForIt(draft.now, who, boulder, gone))
    _mark(draft, who, boulder, gone=gone)
    if gone:
        _won(draft, who, boulder, "went-for-it")
    *before, last = tries_on(draft.s, who, boulder)
    coaching.judged(draft, before, last, dict(draft.tries.counts)[who])
    if not gone:
        add(draft, who, boulder, (Answer(Meaning.CAUSE, cause="head"),))


def move_done(draft: Draft, who: int) -> None:
    """The hard move went, alone."""
    _won(draft, who, boulder_of(draft.s, who).name, "move-done")


def _mark(draft: Draft, who: int, boulder: str, **told_now: object) -> None:
    """Add to the last try of a person on a boulder what was told of it."""
    last = next(iter(reversed(tries_on(draft.s, who, boulder))), None)
    draft.tries = replace(
        draft.tries,
        went=tuple(
            replace(one, **told_now) if one is last else one  # type: ignore[arg-type]
            for one in draft.tries.went
        ),
    )


def none_yet(draft: Draft, who: int) -> bool:
    """Whether this person has not tried today, so that there is no try to tell of: it is shown."""
    if dict(draft.tries.counts).get(who, 0):
        return False
    draft.refused = True
    draft.show(message("no-try-yet", who=who if len(draft.s.people) > 1 else 0))
    return True


def refused(draft: Draft, who: int) -> bool:
    """Whether a warning sign forbids this person a hard try; then the caution is said."""
    day = draft.day
    signed = any(number == who for number, _ in day.signs)
    capped = any(cap.who == who and cap.reason is CapReason.SIGN for cap in day.caps)
    if signed or capped:
        draft.tell(message("try-refused"))
    return signed or capped
