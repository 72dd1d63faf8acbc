"""Whether an answer counts, and whether it is asked back; then it is acted on by the tables."""

from coach.model.answers import ANYTIME, Answer, Meaning, Tendency
from coach.model.body import Part
from coach.model.messages import message
from coach.model.scale import READING
from coach.planning.situation import LATE_READING
from coach.session import asking as questions
from coach.session import checkin, weighing, whose
from coach.session.commands import COMMANDS, hurt_part
from coach.session.draft import Draft
from coach.session.effects import Tone
from coach.session.events import Answered, KeyClaimed, Source, Sureness
from coach.session.replanning import ask_now, plan
from coach.session.resolving import resolve
from coach.session.state import Asking, Phase


def answered(draft: Draft, event: Answered) -> None:
    """Take an answer, or say on the screen why it does not count."""
    answer, nature, s = event.answer, event.answer.meaning.nature, draft.s
    draft.set(heard=message("heard", answer=answer.key, source=event.source.value), speech=None)
    if not admitted(draft, event):
        draft.set(did=questions.not_understood(answer))
        return
    who = whose.whose(draft, answer, event.who)
    if event.source is not Source.KEY and event.sureness is Sureness.UNSURE:
        if answer.tendency is Tendency.RAISING and answer.key not in s.confirmed:
            draft.set(confirmed=(*s.confirmed, answer.key))
            draft.tell(message("once-more", answer=answer.key))
            return
        if nature.asked_back and not _in_question(draft, answer):
            ask_back(draft, who, answer)
            return
    if event.source is Source.KEY and nature.goes_on:
        draft.set(allowed=True)
    draft.set(did=None)
    draft.tone(Tone.HEARD)
    act(draft, who, answer)


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
    early = not draft.s.planned and not answer.meaning.nature.early
    standing = draft.s.paused_since is not None and answer.meaning.nature.moves
    if handler is None or early or standing:
        draft.set(did=questions.not_understood(answer))
    elif who == whose.UNKNOWN:
        whose.ask(draft, answer)
    else:
        handler(draft, who, answer)


def _resolve(draft: Draft, asking: Asking, answer: Answer) -> None:
    """The answer to a question; 'confirm' and 'who' are the questions of this module."""
    about = asking.about
    if asking.question == "who" and about is not None:
        draft.go_on = True
        for who in whose.meant(draft, asking, answer):
            _of_person(draft, who, about, asking.step)
    elif asking.question == "confirm" and about is not None:
        draft.go_on = True
        if answer.meaning is Meaning.YES:
            act(draft, asking.who, about)
    else:
        resolve(draft, asking, answer)


def _of_person(draft: Draft, who: int, answer: Answer, times: str) -> None:
    """It is known now whose answer it was; `times` is that of the check-in's question."""
    if times:
        checkin.of_person(draft, who, answer, times)
    elif answer.meaning is Meaning.HURT:
        hurt_part(draft, who, answer)
    else:
        act(draft, who, answer)


def unanswered(draft: Draft) -> None:
    """The window of the question has closed."""
    asking = questions.unanswered(draft)
    if asking is None:
        return
    answer = questions.silence_of(asking.question)
    if asking.question == "go-ahead" and draft.s.library.routine.only_tries:
        answer = Answer(Meaning.SILENCE)
    _resolve(draft, asking, answer)


def claimed(draft: Draft, event: KeyClaimed) -> None:
    """What only a key may state: 'cleared:fingers' counts from the next session on.

    The event itself is the record; a cap from a warning sign stays for this session. A scale's
    reading counts for the edge check before it.
    """
    kind, _, name = event.claim.partition(":")
    if kind == "cleared" and name in list(Part):
        draft.set(did=message("cleared", part=name))
    elif event.claim.startswith(READING):
        if weighing.told(draft, event.who, name):
            plan(draft, event.who, Answer(Meaning.DONE), LATE_READING)
    else:
        draft.set(did=message("not-now", answer=event.claim))
