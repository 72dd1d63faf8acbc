"""Questions: asked once, once more, then silence is taken. Their answers go to planning."""

from dataclasses import replace

from coach.model.answers import Answer, Meaning, parse
from coach.model.facts import Finished, Tried
from coach.model.messages import Message, message
from coach.model.questions import QUESTIONS
from coach.session import noting, weighing
from coach.session.draft import Draft
from coach.session.effects import End, Tone
from coach.session.state import After, Asking, Phase, Session

#: Questions with a phase of their own; every other question is asked in ASK.
_PHASES = {
    "minutes": Phase.CHECK_IN,
    "hurting": Phase.CHECK_IN,
    "break": Phase.CHECK_IN,
    "place": Phase.CHECK_IN,
    "seen-film": Phase.CHECK_IN,
    "carry-on": Phase.STOPPED,
    "after-hurt": Phase.HURT,
    "effort": Phase.DEBRIEF,
}
#: How often a question is asked; an offer is made once.
TIMES = 2
#: The names of what is offered in the words of its question.
_PLACES = ("first", "second", "third")
_OF = {2: "-of-two", 3: "-of-three"}
#: Questions that wait for ever: nothing may be concluded from silence.
WAITS = frozenset({"carry-on", "after-hurt"})


def answers_of(asking: Asking) -> tuple[str, ...]:
    """The answers that count: what is offered this time comes first, then its places."""
    answers = QUESTIONS[asking.question].answers
    if not asking.offered or set(asking.offered) <= set(answers):
        return asking.offered or answers
    return (*asking.offered, *answers[: len(asking.offered)])


def begin(draft: Draft, asking: Asking) -> None:
    """Ask it: the words, then a tone, then its window."""
    draft.close_window()
    weighing.begin(draft, asking.question, asking.who)
    if asking.question in WAITS and draft.s.paused_since is None:
        draft.set(paused_since=draft.now, phase=_PHASES[asking.question])
    standing = draft.s.paused_since is not None
    phase = draft.s.phase if standing else _PHASES.get(asking.question, Phase.ASK)
    draft.set(phase=phase, asking=replace(asking, times=asking.times + 1, closes=None))
    known = QUESTIONS[asking.question].once and asking.question in draft.s.asked
    if known and draft.s.saying is None:
        window_opens(draft)
    else:
        draft.set(asked=draft.s.asked | {asking.question})
        draft.say(words(draft.s, asking), After.WINDOW)


def words(s: Session, asking: Asking) -> Message:
    """The question as a message, with the name where several people are there."""
    who = asking.who if len(s.people) > 1 else 0
    words_key = QUESTIONS[asking.question].words
    if asking.question == "who":
        return message(
            words_key + _OF[len(asking.offered)],
            **dict(zip(_PLACES, asking.offered, strict=False)),
        )
    if asking.question == "hurting" and not asking.who:
        return message(f"{words_key}-{asking.step}")
    if asking.offered:
        key = words_key + ("-of-two" if len(asking.offered) == 2 else "")
        names = (parse(offered).focus or "" for offered in asking.offered)
        return message(key, who=who, **dict(zip(_PLACES, names, strict=False)))
    about = asking.about.key if asking.about is not None else asking.step
    part = asking.part.value if asking.part is not None else ""
    return message(words_key, who=who, part=part, about=about)


def window_opens(draft: Draft) -> None:
    """The question has been said: the tone, and its answers count from now on."""
    asking = draft.s.asking
    if asking is None:
        return
    question = QUESTIONS[asking.question]
    draft.tone(Tone.OPEN)
    draft.open_window(answers_of(asking), asking.who)
    draft.set(asking=replace(asking, closes=draft.now + question.wait))


def unanswered(draft: Draft) -> Asking | None:
    """The window has closed: ask again, or give the question back as silence."""
    asking = draft.s.asking
    assert asking is not None
    if asking.times < TIMES and not QUESTIONS[asking.question].offer:
        begin(draft, asking)
        return None
    if asking.question in WAITS:
        draft.set(asking=replace(asking, closes=None))
        return None
    draft.close_window()
    draft.set(asking=None)
    return asking


def silence_of(question: str) -> Answer:
    """What silence stands for."""
    key = QUESTIONS[question].silence
    return parse(key) if key is not None else Answer(Meaning.SILENCE)


def debrief(draft: Draft, away: tuple[Message, ...] = ()) -> None:
    """The steps are over: what was done as facts, and how hard it was.

    To whoever is called away it says these words too, and asks once only: it is over in a minute.
    """
    draft.set(phase=Phase.DEBRIEF, running=None, resting=None, pending=())
    tries = sum(count for _, count in draft.s.tries)
    key = "debrief-tries" if draft.s.library.routine.only_tries else "debrief"
    draft.say(message(key, boulders=draft.s.boulders, tries=tries, tops=draft.s.tops))
    if draft.s.filmed:
        draft.say(message("debrief-filmed", tries=noting.films(draft)))
    for words_of in away:
        draft.say(words_of)
    begin(draft, Asking("effort", draft.s.people[0], times=TIMES - 1 if away else 0))


def close(draft: Draft, effort: int | None) -> None:
    """Put the end on the record and say good-bye; a try whose result nobody told stays a try."""
    draft.close_window()
    for who, boulder, seconds, number in draft.s.untold:
        draft.record(Tried(draft.now, who, boulder, number, "untold", seconds))
    draft.set(untold=())
    draft.set(phase=Phase.OVER, ended=draft.now, effort=effort)
    draft.set(asking=None, running=None, resting=None, pending=())
    draft.record(Finished(draft.now, 0, draft.s.recorded_seconds, effort, draft.s.how))
    if draft.s.how == "closed":
        draft.effects.append(End())
    else:
        draft.say(message("saved"), After.END)


def not_understood(answer: Answer) -> Message:
    """What is shown where an answer does not count now."""
    if answer.meaning in (Meaning.YES, Meaning.NO):
        return message("nothing-asked")
    return message("not-now", answer=answer.key)
