"""Whether an answer counts, and whether it is asked back; then it is acted on by the tables."""

from coach.model.answers import ANYTIME, Answer, Meaning, Tendency
from coach.model.body import Part
from coach.model.messages import message
from coach.session import asking as questions
from coach.session.commands import COMMANDS, EARLY, MOVES
from coach.session.draft import Draft
from coach.session.effects import Tone
from coach.session.events import Answered, KeyClaimed, Source, Sureness
from coach.session.replanning import ask_now
from coach.session.resolving import resolve
from coach.session.state import Asking, Phase

#: Meanings that end, skip or take apart: asked back when heard unsurely.
ASKED_BACK = frozenset(
    {
        Meaning.SKIP,
        Meaning.FINISH,
        Meaning.LEAVING,
        Meaning.LAST_GO,
        Meaning.HURT,
        Meaning.SIGN,
        Meaning.NOT_TODAY,
        Meaning.FEEL,
    }
)


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
    """Who it is from: who was asked, where it answers the question; else who gave it."""
    asking, running = draft.s.asking, draft.s.running
    if asking is not None and asking.who and _in_question(draft, event.answer):
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


def _in_question(draft: Draft, answer: Answer) -> bool:
    asking = draft.s.asking
    return asking is not None and answer.key in questions.answers_of(asking)


def act(draft: Draft, who: int, answer: Answer) -> None:
    """Do what the answer means: first as the answer to a question, then by the table."""
    asking = draft.s.asking
    if asking is not None and answer.key in questions.answers_of(asking):
        draft.close_window()
        draft.set(asking=None)
        _resolve(draft, asking, answer)
        return
    handler = COMMANDS.get(answer.meaning)
    early = not draft.s.planned and answer.meaning not in EARLY
    standing = draft.s.paused_since is not None and answer.meaning in MOVES
    if handler is None or early or standing:
        draft.set(did=questions.not_understood(answer))
        return
    handler(draft, who, answer)


def _resolve(draft: Draft, asking: Asking, answer: Answer) -> None:
    """The answer to a question; 'confirm' is the question of this module."""
    if asking.question != "confirm":
        resolve(draft, asking, answer)
        return
    draft.go_on = True
    if answer.meaning is Meaning.YES and asking.about is not None:
        act(draft, asking.who, asking.about)


def unanswered(draft: Draft) -> None:
    """The window of the question has closed."""
    asking = questions.unanswered(draft)
    if asking is None:
        return
    answer = questions.silence_of(asking.question)
    _resolve(draft, asking, answer)


def claimed(draft: Draft, event: KeyClaimed) -> None:
    """What only a key may state: 'cleared:fingers' counts from the next session on.

    The event itself is the record; a cap from a warning sign stays for this session.
    """
    kind, _, name = event.claim.partition(":")
    if kind == "cleared" and name in list(Part):
        draft.set(did=message("cleared", part=name))
    else:
        draft.set(did=message("not-now", answer=event.claim))
