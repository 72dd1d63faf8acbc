"""Whether an answer counts, and whether it is asked back; then the tables act on it."""

from dataclasses import replace

from coach.model.answers import ANYTIME, Answer, Meaning, parse
from coach.model.body import Part
from coach.model.breath import DESCRIBES, in_one_breath
from coach.model.messages import message
from coach.model.nature import Tendency
from coach.model.questions import QUESTIONS, as_asked
from coach.model.scale import READING
from coach.planning.gates import GO_AHEAD
from coach.planning.situation import LATE_READING
from coach.session import (
    asked_questions,
    batches,
    checkin,
    current_boulder,
    injury,
    late_go_ahead,
    late_minutes,
    readings,
    rests,
    speakers,
    windows,
)
from coach.session.changes import ask_now, plan
from coach.session.commands import COMMANDS, other_part
from coach.session.dialogue import Asking, Missed
from coach.session.draft import Draft
from coach.session.effects import Tone
from coach.session.events import Answered, KeyClaimed, Source, Sureness
from coach.session.replies import resolve
from coach.session.state import Phase, Session

#: Seconds after a part of how a try went in which the same breath may go on.
BREATH = 1.5


def answered(draft: Draft, event: Answered) -> None:
    """Take an answer, or say on the screen why it does not count."""
    answer, nature, s = event.answer, event.answer.meaning.nature, draft.s
    draft.listening = replace(
        draft.listening,
        heard=message("heard", answer=answer.key, source=event.source.value),
        speech=None,
    )
    if late(draft, event) or _late_minutes(draft, event):
        return
    if not admitted(draft, event):
        draft.refuse(answer)
        draft.tone(Tone.NOT_NOW if draft.refused else Tone.HEARD)
        return
    who = speakers.whose(draft, answer, event.who)
    if event.source is not Source.KEY and event.sureness is Sureness.UNSURE:
        if answer.tendency is Tendency.RAISING and answer.key not in s.listening.confirmed:
            draft.listening = replace(
                draft.listening, confirmed=(*s.listening.confirmed, answer.key)
            )
            draft.tell(message("once-more", answer=answer.key))
            return
        if nature.asked_back and (nature.numbers or not _in_question(draft, answer)):
            ask_back(draft, who, answer)
            return
    if event.source is Source.KEY and nature.goes_on:
        draft.devices = replace(draft.devices, allowed=True)
    draft.show(None)
    if in_one_breath((answer, *event.also))[:1] == (answer,):
        draft.also = event.also
    elif event.source is Source.VOICE and (nature.tells or answer.meaning in DESCRIBES):
        draft.breath = BREATH
    if nature.tells and answer.meaning is not Meaning.DOWN:
        asked_questions.answers_again(draft, "try-result", who)
    draft.spoken = True
    act(draft, who, answer)
    rests.keep_fresh(draft)
    _somebody_is_there(draft, s)
    draft.tone(Tone.NOT_NOW if draft.refused else Tone.HEARD)


def _somebody_is_there(draft: Draft, before: Session) -> None:
    """Who is hurt and says something else is asked again: 'no answer' is not so any more."""
    asking = draft.questions.asking
    if asking is None or asking != before.questions.asking or draft.refused:
        return
    if asked_questions.patient(asking) and asking.times > 1:
        draft.questions = replace(draft.questions, asking=replace(asking, times=1))


def admitted(draft: Draft, event: Answered) -> bool:
    """Whether it counts: an answer for any time, its own window, the address word, or a key.

    A key that was pressed in a window that has closed since belongs to what is over, where it
    moves something.
    """
    key, s, nature = event.answer.key, draft.s, event.answer.meaning.nature
    if key in ANYTIME:
        return True
    if event.source is Source.KEY:
        lasting = not nature.moves and not nature.asked
        now = s.window.number if s.window is not None else None
        return lasting or event.window in (None, now)
    if event.window is not None:
        window = s.window
        inside = window is not None and window.number == event.window
        if inside and window is not None and window.takes(key, event.onset):
            return True
        return in_breath(draft, event)
    on_the_wall = (
        s.course.running is not None and s.phase is Phase.WORK and s.course.running.step.on_the_wall
    )
    return event.addressed and not on_the_wall


def in_breath(draft: Draft, event: Answered) -> bool:
    """Whether it goes on from an answer that told of a try or boulder, and closed its window."""
    tells, windows = event.answer.meaning.nature.tells, draft.listening.windows
    window = next((one for one in windows if one.number == event.window), None)
    if window is None or window.closes is None or event.onset > window.closes + BREATH:
        return False
    asking = draft.questions.asking
    if asking is not None and QUESTIONS[asking.question].boulder:
        return event.answer.meaning in DESCRIBES
    if not tells:
        return False
    of_a_try = any(parse(key).meaning.nature.tells for key in window.answers)
    who = draft.tries.last
    waits = any(one[0] == who for one in draft.tries.untold)
    known = draft.tries.went and draft.tries.went[-1].today
    fits = waits or (known and tells != "end")
    return of_a_try and bool(fits)


def late(draft: Draft, event: Answered) -> bool:
    """Take an answer to the last question that nobody answered in time, if it still decides.

    What silence changed is taken back first; nothing may have been told since, and nobody may be
    on the wall or standing still.
    """
    missed, answer = windows.missed(draft.s), event.answer
    if missed is None or not asked_questions.takes(missed.asking, answer.key):
        return False
    if not missed.whose and not speakers.tells_late(
        draft.s.people, missed.asking, answer, event.who
    ):
        return False
    if missed.whose and windows.moving(draft.s):
        return False  # of the batch that runs
    if answer.meaning is Meaning.GO and windows.unopened(draft.s):
        return False  # it opens by itself, or asks whose it is
    told = answer.meaning is Meaning.FEEL or bool(missed.whose)
    itself = not answer.meaning.nature.asked and not told
    asking = draft.questions.asking
    if itself or (asking is not None and asking.closes is not None and _in_question(draft, answer)):
        return False  # it answers what is asked now, or means something by itself
    running = draft.course.running
    busy = running is not None and running.since is not None and running.step.strains
    still = draft.standing.paused_since is not None or not draft.course.planned
    if busy or still or not windows.untold_since(draft.day, missed.after):
        return False
    if event.source is not Source.KEY and event.sureness is Sureness.UNSURE:
        return False
    done = {one.name for one in draft.course.past}
    left = tuple(one for one in missed.steps if one.name not in done)
    draft.questions = replace(draft.questions, missed=None)
    draft.course = replace(draft.course, steps=left)
    draft.day = windows.as_worn(missed.day, draft.day)
    draft.show(None)
    if missed.whose:
        batches.told_late(draft, missed, answer)
    else:
        _resolve(draft, missed.asking, answer)
    ran, swapped = draft.course.running is running is not None, draft.s.phase is Phase.LEAD_IN
    if draft.questions.asking is not None or ran or swapped:
        draft.go_on = False  # what is asked or runs goes on, and what was swapped leads in already
    draft.tone(Tone.HEARD)
    return True


def _late_minutes(draft: Draft, event: Answered) -> bool:
    """Take the minutes of the session, where they may still be told and were surely heard."""
    answer = event.answer
    sure = event.source is Source.KEY or event.sureness is not Sureness.UNSURE
    untold = sure and answer.key in windows.late_minutes(draft.s)
    if not untold or answer.number is None or _in_question(draft, answer):
        return False
    late_minutes.told(draft, answer.number)
    return True


def ask_back(draft: Draft, who: int, answer: Answer) -> None:
    """'Did you mean that?': on the move the question waits for the floor."""
    asking = Asking("confirm", who, about=answer)
    draft.ask_later(asking)
    running = draft.course.running
    if not (running is not None and draft.s.phase is Phase.WORK and running.step.on_the_wall):
        ask_now(draft)


def _in_question(draft: Draft, answer: Answer) -> bool:
    asking = draft.questions.asking
    return asking is not None and asked_questions.takes(asking, answer.key)


def act(draft: Draft, who: int, answer: Answer) -> None:
    """Do what the answer means: first as the answer to a question, then by the table."""
    asking = draft.questions.asking
    theirs = asking is not None and (not asking.who or who == asking.who)
    if asking is not None and theirs and asked_questions.takes(asking, answer.key):
        asked_questions.answered(draft, asking)
        _resolve(draft, asking, answer)
        return
    if asking is not None and answer.meaning in (Meaning.YES, Meaning.NO):
        _plainly(draft, who, asking, answer)
        return
    if asking is not None and not draft.course.planned and answer.meaning in DESCRIBES:
        # told beside another question of the check-in, which stays open
        current_boulder.told(draft, who, (answer, *draft.also))
        draft.show(current_boulder.in_words(draft.s, who))
        return
    if answer.key in windows.LATE_GO and windows.unopened(draft.s):
        if not late_go_ahead.told(draft, answer):
            draft.refuse(answer)
        return
    other = answer.key in windows.other_parts(draft.s)
    handler = other_part if other else COMMANDS.get(answer.meaning)
    if handler is None or not (other or windows.takes_now(draft.s, answer.meaning)):
        draft.refuse(answer)
    elif who == speakers.UNKNOWN:
        speakers.ask_whose(draft, answer)
    else:
        handler(draft, who, answer)


def _plainly(draft: Draft, who: int, asking: Asking, answer: Answer) -> None:
    """A bare yes or no to a question that sounds like one; where it would raise, ask for more."""
    meant = dict(QUESTIONS[asking.question].plain).get(answer.meaning.value)
    if meant:
        act(draft, asking.who or who, parse(meant))
    elif meant is None:
        draft.refuse(answer)
    else:
        draft.tell(message("say-so", answer=asked_questions.answers_of(asking)[0]))
        wait = draft.now + QUESTIONS[asking.question].wait
        draft.questions = replace(draft.questions, asking=replace(asking, closes=wait))


def _resolve(draft: Draft, asking: Asking, answer: Answer) -> None:
    """The answer to a question; 'confirm' and 'who' are the questions of this module."""
    about, answer = asking.about, as_asked(asking.question, answer)
    alike = (plain for plain, meant in QUESTIONS[asking.question].plain if meant == answer.key)
    by_silence = asking.offered[:1] if answer.meaning is Meaning.SILENCE else ()
    settled = (answer.key, *alike, *by_silence)
    draft.questions = replace(draft.questions, settled=settled, settled_at=draft.now)
    if asking.question == "who" and about is not None:
        draft.go_on = True
        theirs = speakers.meant(draft, asking, answer)
        draft.together = len(theirs) > 1
        if about.meaning in speakers.DANGERS:
            for other in set(draft.s.people) - set(theirs) - speakers.may_be_hurt(draft):
                injury.placed(draft, other)
        for who in theirs:
            _of_person(draft, who, about, asking.step)
    elif asking.question == "confirm" and about is not None:
        draft.go_on = True
        if answer.meaning is Meaning.YES:
            _confirmed(draft, asking.who, about)
    else:
        resolve(draft, asking, answer)


def _confirmed(draft: Draft, who: int, answer: Answer) -> None:
    """It was meant: it answers the question that was put off for it, or acts by itself."""
    pending = draft.questions.pending
    meant = next((one for one in pending if asked_questions.takes(one, answer.key)), None)
    if meant is None or not answer.meaning.nature.asked:
        act(draft, who, answer)
        return
    left = tuple(one for one in pending if one is not meant)
    draft.questions = replace(draft.questions, pending=left)
    _resolve(draft, meant, answer)


def _of_person(draft: Draft, who: int, answer: Answer, times: str) -> None:
    """It is known now whose answer it was; `times` is that of the check-in's question."""
    if times:
        checkin.of_person(draft, who, answer, times)
    elif answer.meaning is Meaning.HURT:
        injury.begin(draft, who, answer)
    else:
        act(draft, who, answer)


def unanswered(draft: Draft) -> None:
    """The window of the question has closed."""
    asking = asked_questions.unanswered(draft)
    if asking is None:
        return
    if asked_questions.patient(asking):
        injury.nobody(draft)
        return
    answer = asked_questions.silence_of(asking.question)
    if asking.question == GO_AHEAD and draft.s.library.routine.only_tries:
        answer = Answer(Meaning.SILENCE)
    day, steps = draft.s.day, draft.course.steps
    draft.silent = True
    _resolve(draft, asking, answer)
    draft.silent = False
    if QUESTIONS[asking.question].late and day is not None and draft.course.planned:
        missed = Missed(asking, draft.now, day, steps, draft.day)
        draft.questions = replace(draft.questions, missed=missed)
        if asking.question == GO_AHEAD and answer.meaning is Meaning.NOT_TODAY:
            late_go_ahead.missed(draft, missed)


def claimed(draft: Draft, event: KeyClaimed) -> None:
    """What only a key may state: 'cleared:fingers' counts from the next session on.

    The event itself is the record; a cap from a warning sign stays for this session. A scale's
    reading counts for the edge check before it.
    """
    kind, _, name = event.claim.partition(":")
    if kind == "cleared" and name in list(Part):
        draft.show(message("cleared", part=name))
    elif event.claim.startswith(READING):
        if readings.told(draft, event.who, name):
            plan(draft, event.who, Answer(Meaning.DONE), LATE_READING)
    else:
        draft.show(message("not-now", answer=event.claim))
