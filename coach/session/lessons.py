"""The first session teaches the ear: three phrases, each said three times, if she wants.

It is offered right after the check-in, once, to somebody alone who answers by voice. What is said
in a lesson is no answer; anything else that is heard in it counts as ever.
"""

from dataclasses import replace

from coach.model.answers import Answer, Meaning
from coach.model.messages import message
from coach.session import asked_questions
from coach.session.dialogue import Asking
from coach.session.draft import Draft
from coach.session.effects import Tone
from coach.session.events import Source, TakeHeard
from coach.session.state import EAR

#: What is taught, in this order: what must not be missed, and what is said most.
PHRASES = ("stop", "done", "pause")
#: So often each is said.
TAKES = 3
#: The question whether she wants it, and the one that stands for a lesson.
OFFER, LESSON = "learn-voice", "lesson"
#: In `Questions.asked`, with the answer after it, once a take of it was heard.
TAKEN = "take-heard:"


def offered(draft: Draft) -> bool:
    """Ask if the voice may be learnt, once: False where it was asked, is not hers or not heard."""
    told = draft.listening.heard
    by_voice = told is not None and told.value("source") == Source.VOICE.value
    deaf = draft.devices.by_keys or bool(draft.devices.lost & EAR)
    if not draft.s.options.learn_voice or not by_voice or deaf:
        return False
    draft.options = replace(draft.s.options, learn_voice=False)
    asked_questions.begin(draft, Asking(OFFER, draft.s.people[0]))
    return True


def agreed(draft: Draft, asking: Asking, answer: Answer) -> None:
    """A yes brings the first lesson; anything else none."""
    if answer.meaning is Meaning.YES:
        draft.ask_later(Asking(LESSON, asking.who, step=PHRASES[0]))
    draft.go_on = True


def heard(draft: Draft, event: TakeHeard) -> None:
    """A take of the phrase that is asked for; the last one ends the lesson."""
    draft.listening = replace(draft.listening, speech=None)
    asking = draft.questions.asking
    if asking is None or asking.question != LESSON or asking.step != event.answer:
        return
    draft.tone(Tone.HEARD)
    draft.questions = replace(draft.questions, asked=draft.questions.asked | {TAKEN + event.answer})
    if event.takes >= TAKES:
        draft.close_window()
        draft.questions = replace(draft.questions, asking=None)
        over(draft, asking, Answer(Meaning.SILENCE))


def over(draft: Draft, asking: Asking, answer: Answer) -> None:
    """A lesson is over: the next one, after whatever else waits; the last tells what came of it.

    One in which nothing is heard ends them all, and so does a no.
    """
    taken = [key for key in PHRASES if TAKEN + key in draft.questions.asked]
    enough = answer.meaning is Meaning.NO or (
        answer.meaning is Meaning.SILENCE and asking.step not in taken
    )
    left = PHRASES[PHRASES.index(asking.step) + 1 :]
    if left and not enough:
        draft.ask_later(Asking(LESSON, asking.who, step=left[0]))
    else:
        draft.say(message("lesson-over" if taken else "lesson-unheard"))
    draft.go_on = True
