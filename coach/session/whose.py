"""Whose answer it was: one microphone and one keyboard serve several people.

Whoever is asked or tries is meant. In a rest, what is told of a try belongs to whoever tried
last; what is told of a body, and what ends somebody's tries, is never guessed: it is asked.
"""

from coach.model.answers import About, Answer, Meaning
from coach.model.plan import StepKind
from coach.session import asking as questions
from coach.session import interrupts
from coach.session.draft import Draft
from coach.session.replanning import ask_now
from coach.session.state import Asking, Phase

#: Nobody in particular.
UNKNOWN = 0


def whose(draft: Draft, answer: Answer, told: int) -> int:
    """The number of the person; UNKNOWN where it has to be asked. `told` is 1 for untold."""
    s = draft.s
    asking, running, about = s.asking, s.running, answer.meaning.nature.about
    if len(s.people) == 1:
        return s.people[0]
    if asking is not None and answer.key in questions.answers_of(asking):
        return asking.who or told
    turn = running.step.turn if running is not None else 0
    if told != 1:
        return told
    if turn and answer.meaning is not Meaning.HURT:
        return turn
    if about is About.LAST_TRY:
        return s.last_try or told
    if about is About.TRIES:
        left = {step.turn for step in s.steps if step.kind is StepKind.TRY}
        return UNKNOWN if len(left) > 1 else next(iter(left), told)
    return UNKNOWN if s.day is not None and about is About.BODY else told


def ask(draft: Draft, answer: Answer) -> None:
    """Ask whose it was; whoever is hurt sits down first, and who climbs is not asked."""
    s = draft.s
    if answer.meaning is Meaning.HURT:
        interrupts.hurt(draft, s.people[0])
    draft.ask_later(Asking("who", UNKNOWN, about=answer, offered=offered(draft)))
    running = draft.s.running
    if running is None or not (running.step.on_the_wall and s.phase is Phase.WORK):
        ask_now(draft)


def offered(draft: Draft) -> tuple[str, ...]:
    """The people as answers."""
    return tuple(f"person:{who}" for who in draft.s.people)


def meant(draft: Draft, asking: Asking, answer: Answer) -> tuple[int, ...]:
    """Who it is by the answer; everybody where nobody says, if it is told of a body."""
    if answer.number is not None:
        return (answer.number,)
    about = asking.about
    return draft.s.people if about is not None and about.meaning.nature.about is About.BODY else ()
