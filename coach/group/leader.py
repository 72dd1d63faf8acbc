"""Whether a leader's answer counts, and which function does it.

`tempo` has what is said of time, `naming` whom it is about and how they are, `attendance` who takes
part.
"""

from collections.abc import Callable
from dataclasses import replace

from coach.group import attendance, telling, tempo
from coach.group.bench import GroupBench
from coach.group.phrases import ABOUT, LET_IN
from coach.model.answers import ANYTIME, Answer, Meaning
from coach.model.messages import message
from coach.model.nature import Tendency
from coach.model.questions import QUESTIONS, as_asked
from coach.session.events import Answered, Source, Sureness


def answered(bench: GroupBench, event: Answered) -> None:
    """Take an answer, if it counts."""
    answer = event.answer
    if not admitted(bench, event):
        bench.refused = True
        return
    asked = bench.g.asked
    if asked is not None and asked.question in QUESTIONS:
        answer = as_asked(asked.question, answer)
    handler = COMMANDS.get(answer.meaning)
    if handler is None:
        bench.refuse(answer)
        return
    if unsure(event) and bench.g.doubted != answer.key:
        bench.tell(answer, message("once-more", answer=answer.key))
        bench.g = replace(bench.g, doubted=answer.key)
        return
    bench.g = replace(bench.g, doubted="")
    bench.took(answer, None)
    bench.quiet = event.source is Source.KEY
    handler(bench, answer)


def admitted(bench: GroupBench, event: Answered) -> bool:
    """Whether it counts: at any time, in its window, after the address word, or by a key.

    What is told of somebody, and a raise, count in their own window only, whatever the source.
    """
    key, window = event.answer.key, bench.g.window
    inside = window is not None and window.takes(key, event.onset)
    if key in ANYTIME:
        return True
    yes = event.answer.meaning is Meaning.YES
    if yes or key in (*ABOUT, *LET_IN) or event.answer.meaning in telling.REPLIES:
        return inside
    if event.source is not Source.VOICE or event.addressed:
        return True
    if event.answer.meaning is Meaning.PERSON and bench.g.asked is not None:
        return True  # after any question a number or a name counts
    return inside and window is not None and window.number == event.window


def unsure(event: Answered) -> bool:
    """Whether it has to be said once more: heard unsurely, and it moves or raises something.

    What is heard the same a second time counts, however unsurely: asking on would never end.

    A number too: what is told next would be told of somebody else.
    """
    moves = event.answer.meaning in (
        Meaning.NEXT,
        Meaning.FINISH,
        Meaning.RESUME,
        Meaning.PERSON,
        Meaning.UNDO,
    )
    raises = event.answer.tendency is Tendency.RAISING
    return event.sureness is Sureness.UNSURE and (moves or raises)


COMMANDS: dict[Meaning, Callable[[GroupBench, Answer], None]] = {
    Meaning.NEXT: tempo.on,
    Meaning.DONE: tempo.on,
    Meaning.STAY: tempo.stay,
    Meaning.MORE_TIME: tempo.more_time,
    Meaning.AGAIN: tempo.again,
    Meaning.PAUSE: tempo.pause,
    Meaning.STOP: tempo.stop,
    Meaning.RESUME: tempo.resume,
    Meaning.FINISH: tempo.finish,
    Meaning.WHERE: telling.where,
    Meaning.PERSON: telling.person,
    Meaning.NO: telling.nothing,
    Meaning.YES: telling.sign_told,
    Meaning.HURT: telling.hurt,
    Meaning.HURTS: telling.hurt,
    Meaning.FEEL: telling.feel,
    Meaning.PART: telling.reply,
    Meaning.TISSUE: telling.reply,
    Meaning.SIGN: telling.sign_told,
    Meaning.OUT: attendance.out,
    Meaning.LATE: attendance.late,
    Meaning.RETURN: attendance.returns,
    Meaning.LET_IN: attendance.let_in,
    Meaning.UNDO: attendance.undo,
}

assert set(COMMANDS) == {meaning for meaning in Meaning if meaning.nature.leader}
