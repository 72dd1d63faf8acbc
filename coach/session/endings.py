"""How a session ends before its time: well and now, or called away with words for home."""

from dataclasses import replace

from coach.model.answers import Answer, Meaning
from coach.model.facts import Felt, Finished, SignTold, Tried
from coach.model.messages import Message, message
from coach.model.plan import StepKind
from coach.model.routine import BlockKind
from coach.model.signs import SETTLED, known
from coach.model.signs import AfterSign as Ends
from coach.model.tries import UNNAMED
from coach.planning import allowance, break_limits
from coach.session import asked_questions, dosage, notes, step_end
from coach.session.changes import plan
from coach.session.dialogue import After, Asking
from coach.session.draft import Draft
from coach.session.effects import End
from coach.session.state import Phase, Session

#: Rules that leave a part no load though nothing has to be looked at.
_RESTS = ("sore-joint", break_limits.NOT_YET_WELL)


def finish(draft: Draft, who: int, answer: Answer) -> None:
    """End well, now: what is left is dropped, the debrief stays."""
    s = draft.s
    if not s.course.planned:
        draft.hush()
        draft.how = "hurt" if s.how == "hurt" else "ended"
        draft.standing = draft.standing.over(draft.now)
        close(draft, None)
        return
    if s.phase is Phase.DEBRIEF:
        draft.hush()
        close(draft, s.effort)
        return
    if others_try(s, who) and s.standing.paused_since is None:
        plan(draft, who, Answer(Meaning.ENOUGH))
        return
    _end(draft)


def others_try(s: Session, who: int) -> bool:
    """Whether hard tries run and others have some left: then one ends only her own."""
    steps = s.course.steps
    hard = bool(steps) and steps[0].block is BlockKind.HARD and bool(s.tries.counts)
    return hard and any(one.kind is StepKind.TRY and one.turn != who for one in steps)


def leaving(draft: Draft, who: int, answer: Answer) -> None:
    """Called away: over within a minute, with what to do at home; the others go on with theirs."""
    s = draft.s
    if not s.course.planned or s.phase is Phase.DEBRIEF:
        finish(draft, who, answer)
    elif any(one.kind is StepKind.TRY and one.turn != who for one in s.course.steps):
        draft.tell(home(draft, who))
        asked = draft.questions.asked | {_away(who)}
        draft.questions = replace(draft.questions, asked=asked)
        plan(draft, who, Answer(Meaning.ENOUGH), quiet=True)
    else:
        _end(draft, away=True)


def _away(who: int) -> str:
    """Kept in what was asked: this one has gone home, and is asked nothing at the end."""
    return f"away-{who}"


def home(draft: Draft, who: int) -> Message:
    """What to do at home: the first of what would have wound the session down."""
    left = (step.form(who) for step in draft.course.steps if step.block is BlockKind.COOL_DOWN)
    movement = next((form.movement for form in left if form is not None and form.movement), "")
    return message("leave-home", movement=movement) if movement else message("leave-home-rest")


def _next_time(draft: Draft) -> tuple[Message, ...]:
    """What waits for the next time: the boulder that was last tried and not topped."""
    last = draft.tries.went[-1] if draft.tries.went else None
    named = last is not None and last.boulder.rpartition(" ")[0] != UNNAMED
    if last is None or not named or not last.today or last.result == "topped":
        # who only had the rests looked after warmed up without us
        return () if draft.s.library.routine.only_tries else (message("leave-next"),)
    return (message("leave-next-boulder", boulder=last.boulder),)


def _end(draft: Draft, *, away: bool = False, first: tuple[Message, ...] = ()) -> None:
    """Drop what is left and go to the debrief; away, with words for home and for next time."""
    s = draft.s
    unanswered = _untold_hurt(draft)
    words = (home(draft, s.people[0]), *_next_time(draft)) if away else ()
    draft.standing = draft.standing.over(draft.now)
    notes.end(draft)
    draft.hush()
    if s.course.running is not None:
        step_end.leave(draft, "cut")
    draft.how = "hurt" if s.how == "hurt" else "ended"
    draft.course = replace(draft.course, steps=(), running=None)
    draft.rests = replace(draft.rests, resting=None)
    draft.questions = replace(draft.questions, pending=(), asking=None)
    draft.go_on = False
    for told in first:
        draft.say(told)
    debrief(draft, words, unanswered=unanswered)


def time_up(draft: Draft) -> None:
    """Its minutes have long been over: what is left is dropped, the debrief stays."""
    if draft.course.planned and draft.s.phase is not Phase.DEBRIEF:
        _end(draft, first=(message("time-up"),))
    else:
        finish(draft, draft.s.people[0], Answer(Meaning.FINISH))


def debrief(draft: Draft, away: tuple[Message, ...] = (), *, unanswered: bool = False) -> None:
    """The steps are over: what was done as facts, and how hard it was.

    Whoever is hurt or spares a part is told of no boulders and not asked how hard it was. To
    whoever is called away it says these words too, and asks once only: it is over in a minute.
    """
    well = _well(draft.s)
    if not well:
        close(draft, None, unanswered=unanswered)
        return
    draft.enter(Phase.DEBRIEF)
    draft.course = replace(draft.course, running=None)
    draft.rests = replace(draft.rests, resting=None)
    draft.questions = replace(draft.questions, pending=())
    tries = sum(count for _, count in draft.tries.counts)
    key = "debrief-tries" if draft.s.library.routine.only_tries else "debrief"
    draft.say(message(key, boulders=draft.course.boulders, tries=tries, tops=draft.tries.tops))
    if draft.notes.filmed:
        draft.say(message("debrief-filmed", tries=notes.films(draft)))
    for words_of in away:
        draft.say(words_of)
    news = dosage.news(draft) if not away else None
    if news is not None:
        draft.say(news)
    asked_questions.begin(
        draft, Asking("effort", well[0], times=asked_questions.TIMES - 1 if away else 0)
    )


def _well(s: Session) -> tuple[int, ...]:
    """Who is asked how hard it was: nobody where somebody got hurt, nobody who spares a part.

    Nor whoever has gone home before the others.
    """
    if s.how == "hurt":
        return ()
    here = (who for who in s.people if _away(who) not in s.questions.asked)
    return tuple(who for who in here if s.day is None or not allowance.unloaded(s.day, who))


def effort_told(draft: Draft, who: int, effort: int | None) -> None:
    """Ask the next of several people, once; where one says nothing, nobody else is kept waiting."""
    if len(draft.s.people) > 1 and effort is not None:
        draft.efforts = (*draft.efforts, (who, effort))
        for following in (one for one in _well(draft.s) if one > who):
            asked_questions.begin(
                draft, Asking("effort", following, times=asked_questions.TIMES - 1)
            )
            return
        effort = None
    close(draft, effort)


def close(draft: Draft, effort: int | None, *, unanswered: bool = False) -> None:
    """Put the end on the record and say good-bye; a try whose result nobody told stays a try."""
    unanswered = _untold_hurt(draft) or unanswered
    draft.close_window()
    for who, boulder, seconds, number in draft.tries.untold:
        draft.record(Tried(draft.now, who, boulder, number, "untold", seconds))
    draft.tries = replace(draft.tries, untold=())
    if draft.s.day is None:
        # no day was opened that would have taken up what was told of the body
        for who, part, feel in draft.s.options.hurting or ():
            draft.record(Felt(draft.now, who, part, feel))
    draft.enter(Phase.OVER)
    draft.ended = draft.now
    draft.effort = effort
    draft.questions = replace(draft.questions, asking=None, pending=())
    draft.course = replace(draft.course, running=None)
    draft.rests = replace(draft.rests, resting=None)
    seconds, how = draft.s.recorded_seconds, draft.s.how
    draft.record(Finished(draft.now, 0, seconds, effort, how))
    for who, told in draft.efforts:
        draft.record(Finished(draft.now, who, seconds, told, how))
    if draft.s.how == "closed":
        draft.effects.append(End())
    elif _to_be_looked_at(draft.s):
        draft.say(message("saved-unanswered" if unanswered else "saved-hurt"), After.END)
    else:
        draft.say(message("saved"), After.END)


def _to_be_looked_at(s: Session) -> bool:
    """Whether somebody is hurt or hurting; an illness rests, and nothing has to be looked at."""
    if s.day is None:
        return s.how == "hurt"
    ill = any(known(sign).after is Ends.OVER for _, sign in s.day.signs)
    hurting = any(cap.most == 0 and cap.rule not in _RESTS for cap in s.day.caps)
    return not ill and (s.how == "hurt" or hurting)


def _untold_hurt(draft: Draft) -> bool:
    """Whether a question to somebody who is hurt is open, and nobody says anything any more.

    A sign that was told of no part stands on the record by its name.
    """
    asking = draft.questions.asking
    if asking is None or not asked_questions.patient(asking):
        return False
    sign = asking.about.sign if asking.about is not None else None
    if asking.question == "which-part" and sign is not None and sign != "yes":
        draft.record(SignTold(draft.now, asking.who, SETTLED, None))
        draft.record(SignTold(draft.now, asking.who, sign, None))
    draft.questions = replace(draft.questions, asking=None)
    return not draft.spoken
