"""The script for somebody who is hurt: the head first, then where, then the signs that fit.

The timers are off and nothing goes on by itself. Each question is asked again with more patience;
then whether somebody is there; then what to do is said once a minute, and at last the session is
saved and over. Nobody who is hurt is asked how hard it was. What the signs mean stands in
`coach.model.signs`; nothing here is a diagnosis.
"""

from dataclasses import replace

from coach import planning
from coach.model.answers import Answer, Meaning
from coach.model.body import Feel, Part
from coach.model.facts import Felt, SignTold
from coach.model.messages import message
from coach.model.signs import (
    GRAVE,
    GRAVE_SIGN,
    HEAD_QUESTIONS,
    HURT,
    SETTLED,
    AfterSign,
    Sign,
    advice,
    known,
    meant,
)
from coach.planning import remainder
from coach.session import asked_questions, endings, pauses
from coach.session.dialogue import Asking
from coach.session.draft import Draft
from coach.session.state import Phase

#: The questions by which the script ends.
ENDS = ("after-hurt", "fall-over")
#: What is asked about before anything else.
FIRST = (Part.HEAD, Part.NECK, Part.BACK, Part.CHEST)
#: `Asking.step` of a question of this script that other scripts ask too.
STEP = "hurt"


def begin(draft: Draft, who: int, answer: Answer) -> None:
    """Somebody is hurt: head, neck, back and chest come first; a part that was named is spared."""
    if answer.part in GRAVE:
        danger(draft, who, Answer(Meaning.SIGN, sign=GRAVE[answer.part]))
        return
    if answer.part is not None:
        _put(draft, who, answer)
        placed(draft, who)
    else:
        unplaced(draft, who)
    _ask(draft, "fall-head", who, answer.part)


def unplaced(draft: Draft, who: int) -> None:
    """Somebody is hurt, and it is not told where yet: that much is on the record at once."""
    if who not in draft.questions.unplaced:
        draft.record(SignTold(draft.now, who, HURT, None))
    draft.questions = replace(draft.questions, unplaced=draft.questions.unplaced | {who})


def placed(draft: Draft, who: int) -> None:
    """It is told where, or it was somebody else: what is known is on the record by itself."""
    if who in draft.questions.unplaced:
        draft.record(SignTold(draft.now, who, SETTLED, None))
        draft.questions = replace(draft.questions, unplaced=draft.questions.unplaced - {who})


def sign_told(draft: Draft, who: int, answer: Answer) -> None:
    """A danger was told, at any time: the timers go off, and its own advice comes at once."""
    if draft.s.phase is Phase.HURT:
        draft.close_window()
        asked_questions.keep_of_others(draft, who)
    else:
        pauses.hurt(draft, who)
    danger(draft, who, answer, beside=True)


def danger(draft: Draft, who: int, answer: Answer, *, beside: bool = False) -> None:
    """What a sign asks for, and what is asked after it.

    What was told beside a question does not say where it is that they were hurt before.
    """
    sign = known(answer.sign)
    part = answer.part or sign.part
    if sign.after is AfterSign.PART and part is None:
        unplaced(draft, who)
        draft.ask_first(Asking("which-part", who, step=STEP, about=answer))
        draft.go_on = True
        return
    if not beside:
        placed(draft, who)
    draft.record(SignTold(draft.now, who, answer.sign or "yes", part))
    _put(draft, who, replace(answer, part=part))
    grave = meant(answer.sign, part)
    if grave != sign:
        danger(draft, who, Answer(Meaning.SIGN, sign=grave.name), beside=beside)
        return
    advise(draft, sign)
    if sign.grave:
        pending = (one for one in draft.questions.pending if one.question != "after-hurt")
        draft.questions = replace(draft.questions, pending=tuple(pending))
    if sign.after is AfterSign.PART:
        left(draft, who)
    elif sign.name == "head-knock":
        _ask(draft, HEAD_QUESTIONS[0].name, who, Part.HEAD)
    else:
        _ask(draft, "fall-over", who, part, about=answer)


def advise(draft: Draft, sign: Sign) -> None:
    """Say what to do; once, where it is about to be said as it is."""
    speech, what = draft.speech, message(advice(sign))
    waits = [one.what for one in (speech.saying, *speech.queue) if one is not None]
    if what in waits:
        draft.show(what)
    else:
        draft.tell(what)


def first_told(draft: Draft, asking: Asking, answer: Answer) -> None:
    """Whether it is the head, the neck, the back or the chest; a bare yes is asked which.

    Another part is an answer, too: it is none of them.
    """
    if answer.meaning is Meaning.SIGN:
        danger(draft, asking.who, answer)
    elif answer.part in FIRST:
        danger(draft, asking.who, Answer(Meaning.SIGN, sign=GRAVE_SIGN[answer.part]))
    elif answer.part is not None:
        _hurt_part(draft, asking.who, answer.part)
    elif answer.meaning is Meaning.YES:
        about = Answer(Meaning.SIGN, sign="yes")
        draft.ask_first(Asking("which-part", asking.who, step=STEP, about=about))
    elif asking.part is not None:
        _hurt_part(draft, asking.who, asking.part)
    else:
        draft.ask_first(Asking("which-part", asking.who, step=STEP))
    draft.go_on = True


def part_told(draft: Draft, asking: Asking, answer: Answer) -> None:
    """Where it hurts, or where a sign is that was told before."""
    if answer.part is not None and asking.about is not None:
        danger(draft, asking.who, replace(asking.about, part=answer.part))
    elif answer.part is not None:
        _hurt_part(draft, asking.who, answer.part)
    draft.go_on = True


def _hurt_part(draft: Draft, who: int, part: Part) -> None:
    if part in GRAVE:
        danger(draft, who, Answer(Meaning.SIGN, sign=GRAVE[part]))
        return
    _put(draft, who, Answer(Meaning.HURT, part))
    placed(draft, who)
    _ask(draft, "fall-sign", who, part)


def signs_told(draft: Draft, asking: Asking, answer: Answer) -> None:
    """Whether one of the signs that fit the part is there."""
    if answer.meaning is Meaning.NO:
        left(draft, asking.who)
    else:
        danger(draft, asking.who, Answer(Meaning.SIGN, asking.part, sign=answer.sign or "yes"))
    draft.go_on = True


def head_told(draft: Draft, asking: Asking, answer: Answer) -> None:
    """One question about the head: one yes is enough; after the last no the day is over too."""
    place = next(i for i, one in enumerate(HEAD_QUESTIONS) if one.name == asking.question)
    if answer.meaning is not Meaning.NO:
        danger(draft, asking.who, Answer(Meaning.SIGN, sign=HEAD_QUESTIONS[place].sign))
    elif place + 1 < len(HEAD_QUESTIONS):
        _ask(draft, HEAD_QUESTIONS[place + 1].name, asking.who, Part.HEAD)
    else:
        draft.tell(message("advice-head-after"))
        _ask(draft, "fall-over", asking.who, Part.HEAD, Answer(Meaning.SIGN, sign="head-knock"))
    draft.go_on = True


def left(draft: Draft, who: int) -> None:
    """What still spares the part, and the choice; with nothing left the session stays at rest."""
    steps = draft.course.steps
    minutes = remainder.minutes_of(steps, who)
    grave = draft.s.day is not None and any(known(sign).grave for _, sign in draft.day.signs)
    if grave or not minutes:
        # one sign of the whole is enough, whoever showed it: nothing of ours goes on beside it
        draft.say(message("hurt-over"))
        _ask(draft, "fall-over", who, None)
        return
    parts = remainder.parts_of(steps, who, draft.s.library.movements)
    draft.say(message("hurt", left=minutes, parts=parts, who=draft.to(who)))
    _ask(draft, "after-hurt", who, None)


def over(draft: Draft, asking: Asking, answer: Answer) -> None:
    """Nothing is left: it ends at a word, and what to do is said again at another."""
    if answer.meaning is Meaning.FINISH:
        endings.finish(draft, asking.who, answer)
    else:
        draft.ask_later(replace(asking, times=0, closes=None))
        draft.go_on = True


def nobody(draft: Draft) -> None:
    """Nobody answers any more: all is saved, and the session is over."""
    draft.hush()
    draft.standing = draft.standing.over(draft.now)
    endings.close(draft, None)


def _ask(
    draft: Draft, question: str, who: int, part: Part | None, about: Answer | None = None
) -> None:
    asking = Asking(question, who, step=STEP, part=part, about=about)
    if question in ENDS:
        # what somebody else told of a body is settled before
        draft.ask_later(asking)
    else:
        draft.ask_first(asking)
    draft.go_on = True


def _put(draft: Draft, who: int, answer: Answer) -> None:
    """Let planning take the load away; this script says and asks what follows."""
    if draft.s.day is None:
        # the day that opens with the minutes takes it up; it may never open
        if answer.part is not None:
            if answer.meaning is Meaning.HURT:
                draft.record(Felt(draft.now, who, answer.part, Feel.HURTING))
            signs = (*draft.s.options.signs, (who, answer.part))
            draft.options = replace(draft.s.options, signs=signs)
        return
    s = draft.s
    change = planning.adapt(draft.day, s.course.steps, s.at, who, answer, "", s.library)
    draft.take(change, answer.key, quiet=True)
