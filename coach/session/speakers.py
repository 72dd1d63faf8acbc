"""Whose an answer is, where one microphone and one keyboard serve several people.

Whoever is asked or tries is meant. In a rest, what is told of a try belongs to whoever tried last;
what is told of a body, and what ends somebody's tries, is never guessed: it is asked. Two may tell
at once: a danger is the answer of who is asked only once the question has been put.
"""

from coach.model import signs
from coach.model.answers import Answer, Meaning
from coach.model.body import Feel
from coach.model.nature import About
from coach.model.plan import StepKind
from coach.model.routine import BlockKind
from coach.session import asked_questions, injury, pauses
from coach.session.changes import ask_of_a_body
from coach.session.dialogue import Asking
from coach.session.draft import Draft
from coach.session.state import Phase, Session

#: Nobody in particular.
UNKNOWN = 0
#: What ends every timer, whoever tells it.
DANGERS = frozenset({Meaning.HURT, Meaning.SIGN})


def whose(draft: Draft, answer: Answer, told: int) -> int:
    """The number of the person; UNKNOWN where it has to be asked. `told` is 1 for untold."""
    s = draft.s
    asking, running, about = s.questions.asking, s.course.running, answer.meaning.nature.about
    if len(s.people) == 1:
        return s.people[0]
    asked = asking is not None and asked_questions.takes(asking, answer.key)
    if asking is not None and asked and _of_the_asked(asking, answer, told):
        return asking.who or told
    turn = running.step.turn if running is not None else 0
    if told != 1:
        return told
    if turn and answer.meaning not in DANGERS:
        return turn
    if about is About.LAST_TRY:
        return s.tries.last or told
    if about is About.TRIES or (answer.meaning is Meaning.FINISH and _trying(s)):
        left = {step.turn for step in s.course.steps if step.kind is StepKind.TRY}
        return UNKNOWN if len(left) > 1 else next(iter(left), told)
    # before there is a day a bare "sore" only has everybody asked
    unasked = s.day is None and answer.meaning is Meaning.FEEL and answer.part is None
    # "I'm fine" opens nothing, whoever says it
    unasked = unasked or answer.feel in (Feel.FRESH, Feel.FINE)
    of_a_body = about is About.BODY or answer.meaning is Meaning.PART
    return UNKNOWN if of_a_body and not unasked else told


def _of_the_asked(asking: Asking, answer: Answer, told: int) -> bool:
    """Whether it is the answer of who is asked.

    What is told of a body is not where it was told of somebody else by name, and a danger not
    before the question was put: two may tell at once.
    """
    if answer.meaning.nature.about is not About.BODY or not asking.who:
        return True
    put = asking.closes is not None or answer.meaning is not Meaning.SIGN
    return put and told in (1, asking.who)


def tells_late(people: tuple[int, ...], asking: Asking, answer: Answer, told: int) -> bool:
    """Whether a late answer is that of who was asked, as far as that is known.

    Of several people a complaint that nobody's name was told with may be anybody's.
    """
    if len(people) == 1 or not asking.who or answer.meaning.nature.about is not About.BODY:
        return True
    return told == asking.who if told != 1 else answer.feel in (Feel.FRESH, Feel.FINE)


def _trying(s: Session) -> bool:
    """Whether hard tries run: there one ends only her own."""
    hard = bool(s.course.steps) and s.course.steps[0].block is BlockKind.HARD
    return hard and bool(s.tries.counts)


def ask_whose(draft: Draft, answer: Answer) -> None:
    """Ask whose it was; whoever is hurt sits down first, and who climbs is not asked."""
    s = draft.s
    if answer.meaning in DANGERS:
        if s.phase is Phase.HURT and answer.meaning is Meaning.SIGN:
            draft.close_window()  # the timers are off, and that has been said
            asked_questions.keep_of_others(draft, UNKNOWN)
        else:
            pauses.hurt(draft, s.people[0], known=False)
        for who in s.people:
            injury.unplaced(draft, who)  # it may be any of them
        if answer.meaning is Meaning.SIGN and signs.meant(answer.sign, answer.part).grave:
            injury.advise(draft, signs.known(answer.sign))
        draft.ask_first(Asking("who", UNKNOWN, about=answer, offered=offered(draft)))
        draft.go_on = True
        return
    draft.ask_later(Asking("who", UNKNOWN, about=answer, offered=offered(draft)))
    ask_of_a_body(draft, answer)


def offered(draft: Draft) -> tuple[str, ...]:
    """The people as answers."""
    return tuple(f"person:{who}" for who in draft.s.people)


def meant(draft: Draft, asking: Asking, answer: Answer) -> tuple[int, ...]:
    """Who it is by the answer; everybody where nobody says, if it is told of a body."""
    if answer.number is not None:
        return (answer.number,)
    about = asking.about
    return draft.s.people if about is not None and about.meaning.nature.about is About.BODY else ()


def may_be_hurt(draft: Draft) -> set[int]:
    """Who is to be asked about a hurt of their own, or may be whoever told another one."""
    found: set[int] = set()
    for one in draft.questions.pending:
        if one.question == "who" and one.about is not None:
            danger = one.about.meaning in DANGERS
            found |= set(draft.s.people) if danger else set()
        elif asked_questions.patient(one):
            found.add(one.who)
    return found
