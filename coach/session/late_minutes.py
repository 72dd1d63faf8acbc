"""Minutes told after their question was over: they are hers, as if told in time."""

from dataclasses import replace

from coach.model.answers import Answer, Meaning
from coach.model.messages import message
from coach.session import asked_questions, windows
from coach.session.changes import plan
from coach.session.draft import Draft
from coach.session.effects import Tone
from coach.session.events import Answered, Source, Sureness


def told(draft: Draft, event: Answered) -> bool:
    """Take them, where they may still be told; they count from the session's beginning."""
    answer, asking = event.answer, draft.questions.asking
    if answer.number is None or answer.key not in windows.late_minutes(draft.s):
        return False
    if event.source is not Source.KEY and event.sureness is Sureness.UNSURE:
        return False
    if asking is not None and asked_questions.takes(asking, answer.key):
        return False
    least = draft.s.library.routine.least_minutes
    if not draft.course.planned and answer.number < least:
        draft.say(message("too-short", least=least))
    elif draft.course.planned:
        _settled(draft)
        _replan(draft, event.who, answer.number)
    else:
        _settled(draft)
        draft.options = replace(draft.s.options, minutes=float(answer.number))
        if draft.s.day is not None:
            draft.day = replace(draft.day, ends_at=draft.s.began + answer.number * 60.0)
        draft.show(message("noted"))
    draft.tone(Tone.HEARD)
    return True


def _settled(draft: Draft) -> None:
    left = frozenset(one for one in draft.questions.untold if one[0] != "minutes")
    draft.questions = replace(draft.questions, untold=left)


def _replan(draft: Draft, who: int, minutes: int) -> None:
    left = round(minutes - (draft.now - draft.s.began) / 60.0)
    more = left - round((draft.day.ends_at - draft.now) / 60.0)
    if more > 0:
        plan(draft, who, Answer(Meaning.LONGER, number=more))
    elif more < 0:
        plan(draft, who, Answer(Meaning.SHORT_OF_TIME, number=left))
