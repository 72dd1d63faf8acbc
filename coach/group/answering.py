"""Whether a leader's answer counts, and which function does it.

`pacing` has what is said of time, `naming` whom it is about and how they are, `presence` who takes
part, `easing` what the caps then allow.
"""

from collections.abc import Callable

from coach.group import naming, pacing, presence
from coach.group.draft import Draft
from coach.group.leading import ABOUT, LET_IN
from coach.model.answers import ANYTIME, Answer, Meaning, Tendency
from coach.model.messages import message
from coach.session.events import Answered, Source, Sureness


def answered(draft: Draft, event: Answered) -> None:
    """Take an answer, if it counts."""
    answer = event.answer
    handler = COMMANDS.get(answer.meaning)
    if not admitted(draft, event):
        return
    if handler is None:
        draft.took(answer, message("not-now", answer=answer.key))
        return
    if unsure(event):
        draft.took(answer, message("once-more", answer=answer.key))
        draft.say(message("once-more", answer=answer.key))
        return
    draft.took(answer, None)
    handler(draft, answer)


def admitted(draft: Draft, event: Answered) -> bool:
    """Whether it counts: at any time, in its window, after the address word, or by a key.

    What is told of somebody, and a raise, count in their own window only, whatever the source.
    """
    key, window = event.answer.key, draft.g.window
    own = (*ABOUT, *LET_IN)
    if key in own and key not in ANYTIME:
        return window is not None and window.takes(key, event.onset)
    if key in ANYTIME or event.source is not Source.VOICE or event.addressed:
        return True
    return window is not None and window.number == event.window and window.takes(key, event.onset)


def unsure(event: Answered) -> bool:
    """Whether it has to be said once more: heard unsurely, and it moves or raises something.

    A number too: what is told next would be told of somebody else.
    """
    moves = event.answer.meaning in (Meaning.NEXT, Meaning.FINISH, Meaning.RESUME, Meaning.PERSON)
    raises = event.answer.tendency is Tendency.RAISING
    return event.sureness is Sureness.UNSURE and (moves or raises)


COMMANDS: dict[Meaning, Callable[[Draft, Answer], None]] = {
    Meaning.NEXT: pacing.on,
    Meaning.DONE: pacing.on,
    Meaning.STAY: pacing.stay,
    Meaning.MORE_TIME: pacing.more_time,
    Meaning.AGAIN: pacing.again,
    Meaning.WHERE: naming.where,
    Meaning.PERSON: naming.person,
    Meaning.NO: naming.nothing,
    Meaning.HURT: naming.hurt,
    Meaning.HURTS: naming.hurt,
    Meaning.FEEL: naming.feel,
    Meaning.OUT: presence.out,
    Meaning.LATE: presence.late,
    Meaning.RETURN: presence.returns,
    Meaning.LET_IN: presence.let_in,
    Meaning.PAUSE: pacing.pause,
    Meaning.STOP: pacing.stop,
    Meaning.RESUME: pacing.resume,
    Meaning.FINISH: pacing.finish,
}
assert set(COMMANDS) == {meaning for meaning in Meaning if meaning.nature.leader}
