"""Minutes told after their question was over: they are hers, as if told in time."""

from dataclasses import replace

from coach.model.answers import Answer, Meaning
from coach.model.messages import message
from coach.session.changes import plan
from coach.session.draft import Draft
from coach.session.effects import Tone


def told(draft: Draft, minutes: int) -> None:
    """Take them; they are everybody's, and count from the session's beginning."""
    least = draft.s.library.routine.least_minutes
    if not draft.course.planned and minutes < least:
        draft.say(message("too-short", least=least))
    elif draft.course.planned:
        _settled(draft)
        _replan(draft, minutes)
    else:
        _settled(draft)
        draft.options = replace(draft.s.options, minutes=float(minutes))
        if draft.s.day is not None:
            draft.day = replace(draft.day, ends_at=draft.s.began + minutes * 60.0)
        draft.show(message("noted"))
    draft.tone(Tone.HEARD)


def _settled(draft: Draft) -> None:
    left = frozenset(one for one in draft.questions.untold if one[0] != "minutes")
    draft.questions = replace(draft.questions, untold=left)


def _replan(draft: Draft, minutes: int) -> None:
    who = draft.s.people[0]
    left = round(minutes - (draft.now - draft.s.began) / 60.0)
    more = left - round((draft.day.ends_at - draft.now) / 60.0)
    if more > 0:
        plan(draft, who, Answer(Meaning.LONGER, number=more))
    elif more < 0:
        plan(draft, who, Answer(Meaning.SHORT_OF_TIME, number=left))
