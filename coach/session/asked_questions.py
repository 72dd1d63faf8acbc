"""Questions: asked once, once more, then silence is taken. Their answers go to planning."""

from dataclasses import replace

from coach.model.answers import Answer, Meaning, parse
from coach.model.messages import Message, message
from coach.model.nature import About
from coach.model.questions import INJURY, OF_TRIES, QUESTIONS
from coach.model.signs import FITTING, advice, known
from coach.session import readings
from coach.session.dialogue import After, Asking
from coach.session.draft import Draft
from coach.session.effects import Tone
from coach.session.state import Phase, Session

#: Questions with a phase of their own; every other question is asked in ASK.
_PHASES = {
    "minutes": Phase.CHECK_IN,
    "age": Phase.CHECK_IN,
    "climbed": Phase.CHECK_IN,
    "comfortable": Phase.CHECK_IN,
    "hurting": Phase.CHECK_IN,
    "break": Phase.CHECK_IN,
    "place": Phase.CHECK_IN,
    "seen-film": Phase.CHECK_IN,
    "learn-voice": Phase.CHECK_IN,
    "lesson": Phase.CHECK_IN,
    "carry-on": Phase.STOPPED,
    "after-hurt": Phase.HURT,
    "effort": Phase.DEBRIEF,
}
#: How often a question is asked; an offer is made once.
TIMES = 2
#: The names of what is offered in the words of its question.
_PLACES = ("first", "second", "third")
_OF = {2: "-of-two", 3: "-of-three"}
#: What keeps somebody safe is asked whoever is silent, but for these, which follow what was told;
#: any other question that met silence once is not asked again.
STAGED = frozenset({"which-part", "how-is-it"})
#: Questions that a report of a part leads to: no more than TIMES for the same report.
FOLLOWS = frozenset({"tissue", "sign"})
#: Questions about a body that are never dropped because somebody else tells of theirs.
BODY = INJURY | FOLLOWS | STAGED
#: Questions that wait for ever: nothing may be concluded from silence.
WAITS = frozenset({"carry-on", "after-hurt"})
#: Seconds of patience for somebody who is hurt, each time the question is asked; from the fourth on
#: it is asked whether somebody is there, and then said once a minute what to do.
PATIENCE = (10.0, 30.0, 60.0, 60.0, *(10 * (60.0,)))
_ANYBODY = 3
#: Seconds that each question waits longer for somebody who answered only when asked once more.
SLOW = 10.0


def _kind(question: str) -> str:
    """What stops being asked together: how a try went is one thing, her own view another."""
    return "try" if question in OF_TRIES and question != "own-view" else question


def answers_again(draft: Draft, question: str, who: int) -> None:
    """Somebody tells what they had left unanswered: it may be asked once more."""
    draft.questions = replace(
        draft.questions, untold=draft.questions.untold - {(_kind(question), who)}
    )


def patient(asking: Asking) -> bool:
    """Whether it is asked of somebody who is hurt: silence is no answer then."""
    return asking.question in INJURY or asking.step == "hurt"


def answers_of(asking: Asking) -> tuple[str, ...]:
    """The answers that count: what is offered this time comes first, then its places."""
    answers = QUESTIONS[asking.question].answers
    if not asking.offered or set(asking.offered) <= set(answers):
        return asking.offered or answers
    if asking.question in ("boulder-about", "comfortable", "all-climbed"):
        return asking.offered
    if asking.question == "go-ahead":
        return (*answers, *asking.offered)
    return (*asking.offered, *answers[: len(asking.offered)])


def takes(asking: Asking, key: str) -> bool:
    """Whether an answer answers it, shown or not."""
    question = QUESTIONS[asking.question]
    circuit = question.boulder and key.startswith(Meaning.CIRCUIT.value + ":")
    clock = question.clock and key.startswith(Meaning.UNTIL.value + ":")
    return circuit or clock or key in answers_of(asking) or key in question.also


def begin(draft: Draft, asking: Asking) -> None:
    """Ask it: the words, then a tone, then its window."""
    draft.close_window()
    draft.unask()
    readings.begin(draft, asking.question, asking.who)
    if asking.question in WAITS and draft.standing.paused_since is None:
        draft.standing = replace(draft.standing, paused_since=draft.now)
        draft.enter(_PHASES[asking.question])
    standing = draft.standing.paused_since is not None
    phase = draft.s.phase if standing else _PHASES.get(asking.question, Phase.ASK)
    draft.enter(phase)
    draft.questions = replace(
        draft.questions, asking=replace(asking, times=asking.times + 1, closes=None, unclear=False)
    )
    # of somebody who is hurt it is asked again and again, whatever was left unanswered before
    untold = (_kind(asking.question), asking.who) in draft.questions.untold
    unheard = untold and not patient(asking)
    if unheard or (draft.questions.quiet and not QUESTIONS[asking.question].safety):
        unasked = replace(asking, times=TIMES, closes=draft.now)
        draft.questions = replace(draft.questions, asking=unasked)
        return
    known = QUESTIONS[asking.question].once and asking.question in draft.questions.asked
    if known and draft.speech.saying is None:
        window_opens(draft)
    else:
        draft.questions = replace(draft.questions, asked=draft.questions.asked | {asking.question})
        if _of_one_of_several(draft, asking):
            draft.say(message("now-of", part=str(asking.part)))
        draft.say(words(draft.s, asking), After.WINDOW)


def _of_one_of_several(draft: Draft, asking: Asking) -> bool:
    """Whether the words alone leave open which of several complaints they are about."""
    if asking.question not in FOLLOWS or asking.part is None or draft.s.day is None:
        return False
    told = {one.part for one in draft.day.reports if one.who == asking.who and one.complains}
    return len(told) > 1


def go_on_asking(draft: Draft, asking: Asking, told: Message) -> None:
    """The question stays open, with all its patience: what was told beside it is said back."""
    draft.questions = replace(draft.questions, asking=replace(asking, times=1, closes=None))
    saying = draft.speech.saying
    if saying is not None and saying.what.key.startswith("about"):
        draft.hush()  # the breath went on before it was said
    draft.say(told, After.WINDOW)


def put_off(draft: Draft, *, first: bool = False) -> None:
    """What is asked waits for the next boundary; standing still asks its own question again.

    Whose danger it is comes before whatever else was told meanwhile.
    """
    asking, pending = draft.questions.asking, draft.questions.pending
    first = first or (asking is not None and _of_a_danger(asking))
    if asking is not None and asking.question not in WAITS:
        # another voice cut it short: whose danger it is has all its time again
        times = 0 if _of_a_danger(asking) and not patient(asking) else min(asking.times, TIMES - 1)
        again = replace(asking, times=times, closes=None, repeated=False)
        pending = (again, *pending) if first else (*pending, again)
    draft.questions = replace(draft.questions, asking=None, pending=pending)


def keep_of_others(draft: Draft, who: int) -> None:
    """Drop what waits to be asked but what somebody else told of a body: of who is hurt all goes.

    `who` is 0 where it is not known yet who: then nothing that was told of a body is dropped.
    """
    put_off(draft, first=True)
    kept: list[Asking] = []
    for one in draft.questions.pending:
        of_a_body = one.question in BODY or (one.question == "who" and _about_a_body(one.about))
        same = any((one.question, one.who, one.about) == (o.question, o.who, o.about) for o in kept)
        if of_a_body and not same and (not who or one.who != who):
            kept.append(one)
    draft.questions = replace(draft.questions, pending=tuple(kept))


def _of_a_danger(asking: Asking) -> bool:
    told = asking.about.meaning if asking.about is not None else None
    return patient(asking) or (asking.question == "who" and told in (Meaning.HURT, Meaning.SIGN))


def _about_a_body(answer: Answer | None) -> bool:
    return answer is not None and answer.meaning.nature.about is About.BODY


def words(s: Session, asking: Asking) -> Message:
    """The question as a message, with the name where several people are there."""
    who = asking.who if len(s.people) > 1 else 0
    words_key = QUESTIONS[asking.question].words
    if asking.question == "who":
        places = dict(zip(_PLACES, asking.offered, strict=False))
        several = any(one.question == "who" or patient(one) for one in s.questions.pending)
        if several and asking.about is not None:
            # two things were told: which of them it is asked of has to be said
            key = f"{words_key}-about{_OF[len(asking.offered)]}"
            return message(key, answer=asking.about.key, **places)
        return message(words_key + _OF[len(asking.offered)], **places)
    if patient(asking) and (hurt := _to_the_hurt(asking, who)):
        return hurt
    if asking.question == "sign" and asking.part is not None:
        return message(f"{words_key}-{FITTING[asking.part]}", who=who)
    if asking.question == "hurting" and not asking.who:
        return message(f"{words_key}-{asking.step}")
    if asking.question == "focus":
        key = words_key + ("-of-two" if len(asking.offered) == 2 else "")
        names = (parse(offered).focus or "" for offered in asking.offered)
        return message(key, who=who, **dict(zip(_PLACES, names, strict=False)))
    if asking.question == "try-cause" and not any(one[0] == asking.who for one in s.tries.untold):
        words_key = "ask-what-ended-it"
    if asking.question == "all-climbed":
        return message(words_key, who=who, amount=parse(asking.offered[0]).number or 0)
    if asking.question == "time-gained" and asking.about is not None:
        tries = asking.about.number or 0
        return message(words_key, who=who, minutes=int(asking.step), tries=tries)
    about = asking.about.key if asking.about is not None else asking.step
    part = asking.part.value if asking.part is not None else ""
    return message(words_key, who=who, part=part, about=about)


def _to_the_hurt(asking: Asking, who: int) -> Message | None:
    """What is said in place of the usual words to somebody who is hurt."""
    if asking.question == "fall-over" and asking.times != _ANYBODY:
        if not asking.times:
            return None
        told = asking.about.sign if asking.about is not None else None
        return message(advice(known(told)))
    if asking.times > _ANYBODY:
        return message("hurt-stay")
    if asking.times == _ANYBODY:
        return message("hurt-anybody")
    if asking.question == "fall-sign" and asking.part is not None:
        return message(f"ask-sign-{FITTING[asking.part]}", who=who)
    return None


def window_opens(draft: Draft) -> None:
    """The question has been said: the tone, and its answers count from now on."""
    asking = draft.questions.asking
    if asking is None:
        return
    question = QUESTIONS[asking.question]
    draft.tone(Tone.OPEN)
    teaches = asking.step if asking.question == "lesson" else ""
    draft.open_window(answers_of(asking), asking.who, teaches=teaches)
    wait = PATIENCE[asking.times - 1] if patient(asking) else question.wait + draft.questions.slow
    draft.questions = replace(draft.questions, asking=replace(asking, closes=draft.now + wait))


def answered(draft: Draft, asking: Asking) -> None:
    """It has its answer: whoever needed the second asking is waited for longer from now on."""
    draft.close_window()
    slow = SLOW if asking.repeated and not patient(asking) else draft.questions.slow
    draft.questions = replace(draft.questions, asking=None, slow=slow)
    answers_again(draft, asking.question, asking.who)


def unanswered(draft: Draft) -> Asking | None:
    """The window has closed: ask again, or give the question back as silence."""
    asking = draft.questions.asking
    assert asking is not None
    if patient(asking):
        if asking.times < len(PATIENCE):
            begin(draft, asking)
            return None
        draft.close_window()
        return asking
    if asking.times < TIMES and not QUESTIONS[asking.question].offer:
        begin(draft, replace(asking, repeated=True))
        return None
    if asking.question in WAITS:
        draft.questions = replace(draft.questions, asking=replace(asking, closes=None))
        return None
    draft.close_window()
    untold = draft.questions.untold
    question = QUESTIONS[asking.question]
    if asking.question in STAGED or question.clock or not (question.safety or question.offer):
        untold |= {(_kind(asking.question), asking.who)}
    draft.questions = replace(draft.questions, asking=None, untold=untold)
    return asking


def silence_of(question: str) -> Answer:
    """What silence stands for."""
    key = QUESTIONS[question].silence
    return parse(key) if key is not None else Answer(Meaning.SILENCE)
