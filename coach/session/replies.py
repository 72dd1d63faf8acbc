"""What the answer to a question does, by question."""

from collections.abc import Callable
from dataclasses import replace

from coach import planning
from coach.model.answers import Answer, Meaning
from coach.model.body import Feel
from coach.model.breath import DESCRIBES
from coach.model.facts import Decided, EdgeChecked, GateAnswered, SignTold
from coach.model.messages import message
from coach.model.plan import StepKind
from coach.model.signs import GRAVE_SIGN, HEAD_QUESTIONS
from coach.planning import adaptation
from coach.planning.situation import GAINED
from coach.session import (
    asked_questions,
    batches,
    checkin,
    coaching,
    comeback,
    current_boulder,
    drilling,
    endings,
    focuses,
    goes,
    home_time,
    injury,
    late_go_ahead,
    lessons,
    own_rests,
    pauses,
    readings,
    rests,
    step_end,
    try_outcomes,
)
from coach.session.changes import ALL_CLIMBED, plan
from coach.session.dialogue import Asking
from coach.session.draft import Draft
from coach.session.endings import finish


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
    hung = readings.setup(draft, who)
    if hung is None:
        return
    reading = readings.checked(draft, who, feel)
    draft.record(EdgeChecked(draft.now, who, hung.edge, hung.grip, hung.feet, feel, reading))
    if reading is not None:
        readings.judge(draft, who, reading)


def _go_ahead(draft: Draft, asking: Asking, answer: Answer) -> None:
    if answer.meaning is Meaning.DESCRIBE:
        draft.ask_first(replace(asking, times=0, closes=None, repeated=False))
        for question in ("boulder-style", "boulder-about", "boulder-move", "boulder-hand"):
            asked_questions.answers_again(draft, question, asking.who)
        draft.ask_first(current_boulder.describing(draft, asking))
        draft.go_on = True
        return
    if answer.meaning in DESCRIBES:
        current_boulder.told(draft, asking.who, (answer, *draft.also))
        told = current_boulder.in_words(draft.s, asking.who)
        draft.show(told)
        asked_questions.go_on_asking(draft, asking, told)
        return
    if answer.meaning is Meaning.OWN_REST:
        own_rests.choose(draft, asking.who, 60.0 * (answer.number or 0), quiet=True)
        asked_questions.go_on_asking(
            draft, asking, own_rests.in_words(draft, asking.who, answer.number or 0)
        )
        return
    if answer.meaning is Meaning.SILENCE:
        # only the rests are looked after: her tries are hers, and the time goes on
        if "go-untold" not in draft.questions.asked:
            draft.questions = replace(draft.questions, asked=draft.questions.asked | {"go-untold"})
            draft.say(message("go-untold"))
        plan(draft, asking.who, Answer(Meaning.GO), "go-ahead", quiet=True)
        draft.go_on = True
        return
    if draft.silent:
        _go_untold(draft, asking.who, answer)
        return
    late_go_ahead.settled(draft, asking.who)
    if answer.meaning is not Meaning.MORE_TIME:
        draft.record(Decided(draft.now, asking.who, answer.meaning is Meaning.GO))
    counted = answer.meaning is Meaning.GO and draft.s.library.routine.only_tries
    plan(draft, asking.who, answer, "go-ahead", quiet=counted)
    draft.go_on = True
    if asking.who in draft.day.go and not counted:
        _offer_the_gain(draft, asking.who)


def _go_untold(draft: Draft, who: int, answer: Answer) -> None:
    """Nobody answered: no hard tries for now, and what that leaves."""
    plan(draft, who, answer, "go-ahead", quiet=True)
    draft.tell(message("go-silent", who=draft.to(who)))
    if not any(step.kind is StepKind.TRY for step in draft.course.steps):
        draft.say(message("how-long", minutes=home_time.minutes_left(draft.s)))
    draft.go_on = True


def _offer_the_gain(draft: Draft, who: int) -> None:
    """Minutes that were gained on the way are hers: more tries, or home early.

    Where no further try fits, easy minutes fill them as far as they go.
    """
    if GAINED in draft.questions.asked:
        return
    minutes, tries = _gained(draft, who)
    if tries:
        about = Answer(Meaning.MORE_TRIES, number=tries)
        draft.ask_later(Asking(GAINED, who, step=str(minutes), about=about))
        return
    _fill(draft)
    minutes, _ = _gained(draft, who)
    if minutes:
        draft.questions = replace(draft.questions, asked=draft.questions.asked | {GAINED})
        draft.tell(message("ahead", minutes=minutes))


def _gained(draft: Draft, who: int) -> tuple[int, int]:
    return adaptation.gained(draft.day, draft.course.steps, draft.now, who, draft.s.library)


def _fill(draft: Draft) -> None:
    """Easy minutes in what is left of her time."""
    spare = planning.spare_filled(draft.day, draft.course.steps, draft.now, draft.s.library)
    draft.take(spare, "time", quiet=True)


def _gain_told(draft: Draft, asking: Asking, answer: Answer) -> None:
    more = answer.meaning is Meaning.MORE_TRIES and asking.about is not None
    plan(draft, asking.who, asking.about if more and asking.about else answer, GAINED)
    if more:
        _fill(draft)
    draft.go_on = True


def _staged(draft: Draft, asking: Asking, answer: Answer) -> None:
    """One stage of how something feels; planning puts the halves together."""
    if asking.question == "tissue":
        answer = replace(answer, part=asking.part)
    if asking.step == injury.STEP:
        injury.part_told(draft, asking, answer)
    elif asking.step == comeback.BREAK:
        checkin.injured(draft, asking, answer)
    elif not draft.course.planned:
        checkin.answered(draft, asking, answer)
    else:
        plan(draft, asking.who, answer, asking.question)
        if asking.question in asked_questions.STAGED:
            # one answer is for all that waited for it
            mine = (asking.question, asking.who, asking.step)
            left = (o for o in draft.questions.pending if (o.question, o.who, o.step) != mine)
            draft.questions = replace(draft.questions, pending=tuple(left))
    draft.go_on = True


def _sign(draft: Draft, asking: Asking, answer: Answer) -> None:
    if answer.meaning is Meaning.SIGN and asking.part in GRAVE_SIGN:
        injury.sign_told(draft, asking.who, replace(answer, part=asking.part))
    elif answer.meaning is Meaning.SIGN:
        draft.record(SignTold(draft.now, asking.who, answer.sign or "yes", asking.part))
        answer = replace(answer, part=asking.part)
        if not draft.course.planned:
            checkin.told(draft, asking.who, answer)
        else:
            plan(draft, asking.who, answer, "sign")
    draft.go_on = True


def _another(draft: Draft, asking: Asking, answer: Answer) -> None:
    if draft.course.running is None:  # its step has ended meanwhile
        draft.go_on = True
    elif answer.meaning is Meaning.ANOTHER:
        goes.next_go(draft)
    else:
        step_end.end_step(draft, "done")


def _of_try(draft: Draft, asking: Asking, answer: Answer) -> None:
    """How a try went: where it ended, what ended it, how hard it was, or several of them.

    After silence it may still be told until the next try is over.
    """
    if answer.meaning is not Meaning.SILENCE:
        try_outcomes.told(draft, asking.who, answer)
        more = tuple(one for one in (answer, *draft.also) if one.meaning.nature.tells != "end")
        if more:
            try_outcomes.add(draft, asking.who, asking.step, more)
    draft.go_on = True


def _own_view(draft: Draft, asking: Asking, answer: Answer) -> None:
    """What she felt herself; then what fits is offered."""
    told = tuple(
        one for one in (answer, *draft.also) if one.meaning.nature.tells not in ("", "end")
    )
    if told:
        try_outcomes.add(draft, asking.who, asking.step, told)
    else:
        coaching.consider(draft, asking.who, asking.step)
    draft.go_on = True


def _went_for_it(draft: Draft, asking: Asking, answer: Answer) -> None:
    if answer.meaning not in (Meaning.WENT, Meaning.HELD_BACK):
        _of_try(draft, asking, answer)
        return
    try_outcomes.told(draft, asking.who, answer)
    try_outcomes.went_for_it(draft, asking.who, asking.step, answer.meaning is Meaning.WENT)
    draft.go_on = True


def _which_boulder(draft: Draft, asking: Asking, answer: Answer) -> None:
    """Another boulder, or the one that a result without a try belongs to."""
    if asking.about is not None and asking.about.meaning is not Meaning.OTHER_BOULDER:
        boulder = current_boulder.boulder_of(draft.s, asking.who).name
        if answer.number is not None:
            boulder = f"number {answer.number}"
        try_outcomes.untimed(draft, asking.who, boulder, asking.about)
    else:
        current_boulder.another(draft, asking.who, answer.number, answer.circuit)
        strange = current_boulder.strange(draft, asking.who)
        if strange is not None:
            draft.ask_later(strange)
    draft.go_on = True


def _of_boulder(draft: Draft, asking: Asking, answer: Answer) -> None:
    """Its style, its key move, where that is and with which hand; what is not told is left."""
    if answer.meaning is Meaning.OTHERS:
        draft.ask_first(current_boulder.others(draft, asking))
    else:
        if answer.meaning in DESCRIBES:
            current_boulder.told(draft, asking.who, (answer, *draft.also))
        following = current_boulder.about(draft, asking)
        if following is not None:
            draft.ask_first(following)
        elif answer.meaning in DESCRIBES:
            drilling.offer(draft, asking.who)
    draft.go_on = True


def _after_top(draft: Draft, asking: Asking, answer: Answer) -> None:
    if answer.meaning is Meaning.ENOUGH:
        plan(draft, asking.who, answer)
        rests.no_more_tries(draft)
    else:
        coaching.after_top(draft, asking.who, answer)
    draft.go_on = True


def _seen_film(draft: Draft, asking: Asking, answer: Answer) -> None:
    """What was seen on the film of the last time counts as what was told of that try."""
    if answer.cause is not None:
        try_outcomes.add(draft, asking.who, asking.step, (answer,))
    draft.go_on = True


def _shorter_rests(draft: Draft, asking: Asking, answer: Answer) -> None:
    if answer.meaning is Meaning.SHORTER:
        draft.rests = replace(draft.rests, sooner=draft.rests.sooner + own_rests.sooner(draft))
    draft.go_on = True


def _carry_on(draft: Draft, asking: Asking, answer: Answer) -> None:
    if answer.meaning is Meaning.RESUME:
        pauses.resume(draft)
    else:
        finish(draft, asking.who, answer)


def _re_warm(draft: Draft, asking: Asking, answer: Answer) -> None:
    plan(draft, asking.who, answer, "re-warm")
    draft.go_on = True


def _minutes(draft: Draft, asking: Asking, answer: Answer) -> None:
    number = answer.number
    if answer.meaning is Meaning.UNTIL and number is not None:
        number = home_time.minutes_until(draft.s, number)
    checkin.minutes(draft, number)


def _break(draft: Draft, asking: Asking, answer: Answer) -> None:
    comeback.came_back(draft, asking.who, answer.reason)


def _age(draft: Draft, asking: Asking, answer: Answer) -> None:
    checkin.aged(draft, asking.who, answer.reason)


def _place(draft: Draft, asking: Asking, answer: Answer) -> None:
    checkin.place(draft, answer.meaning is Meaning.SAME)


def _effort(draft: Draft, asking: Asking, answer: Answer) -> None:
    endings.effort_told(draft, asking.who, answer.number)


_ANSWERS: dict[str, Callable[[Draft, Asking, Answer], None]] = {
    "minutes": _minutes,
    "hurting": _staged,
    "age": _age,
    "climbed": checkin.level_told,
    "comfortable": checkin.level_told,
    "break": _break,
    "symptom-free": comeback.been_ill,
    "cleared-by": comeback.cleared_by,
    "place": _place,
    "go-ahead": _go_ahead,
    "which-part": _staged,
    "how-is-it": _staged,
    "tissue": _staged,
    "sign": _sign,
    "focus": focuses.chosen,
    "another": _another,
    ALL_CLIMBED: batches.told,
    GAINED: _gain_told,
    "try-result": _of_try,
    "try-cause": _of_try,
    "try-effort": _of_try,
    "went-for-it": _went_for_it,
    "own-view": _own_view,
    "which-boulder": _which_boulder,
    "boulder-style": _of_boulder,
    "boulder-about": _of_boulder,
    "boulder-move": _of_boulder,
    "boulder-hand": _of_boulder,
    "after-top": _after_top,
    "seen-film": _seen_film,
    lessons.OFFER: lessons.agreed,
    lessons.LESSON: lessons.over,
    "shorter-rests": _shorter_rests,
    "carry-on": _carry_on,
    "after-hurt": _carry_on,
    "fall-head": injury.first_told,
    "fall-sign": injury.signs_told,
    "fall-over": injury.over,
    **{one.name: injury.head_told for one in HEAD_QUESTIONS},
    "re-warm": _re_warm,
    "effort": _effort,
}
