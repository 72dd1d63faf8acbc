"""What a window takes beside the answers that it asks for, and which question is answered late."""

from dataclasses import replace

from coach.model.answers import SHOWN, Meaning, parse
from coach.model.day import Day
from coach.model.nature import Tendency
from coach.model.plan import StepKind
from coach.model.questions import DESCRIBED, OF_A_TRY, QUESTIONS
from coach.model.routine import BlockKind
from coach.model.tries import MOST_MOVES
from coach.session import home_time
from coach.session.dialogue import Missed
from coach.session.state import Phase, Session

#: What may still be said of a go-ahead that met silence.
LATE_GO = (Meaning.NOT_TODAY.value, Meaning.GO.value)
#: What only a session with something left to do can tell or change.
_OF_WHAT_IS_LEFT = frozenset(
    {Meaning.HOW_LONG, Meaning.LONGER, Meaning.SHORT_OF_TIME, Meaning.FEWER}
)
#: Seconds for which a late answer counts.
LATE = 120.0
#: Seconds of a session in which its minutes may be told late (our choice).
MINUTES_LATE = 300.0


def moving(session: Session) -> bool:
    """Whether somebody hangs or climbs just now."""
    running = session.course.running
    return running is not None and running.since is not None and running.step.on_the_wall


def beside(session: Session, answers: tuple[str, ...]) -> tuple[str, ...]:
    """What else counts: more of the same, yes or no, a late answer, and alone what is shown.

    While somebody hangs nothing does, on a hard try the moves at which it may have ended, and
    on easy boulders only a late answer.
    """
    running, late, known = session.course.running, missed(session), session.library.words
    if running is not None and running.since is not None and running.step.strains:
        # who fell is down: every move that the boulder has can be told
        moves = _moves_of(session, running.step.turn or 1) if _by_number(answers) else ()
        return tuple(key for key in moves if key not in answers and (not known or key in known))
    asking = session.questions.asking
    keys: list[str] = []
    if asking is not None:
        keys += QUESTIONS[asking.question].also
        early = not session.course.planned and len(session.people) == 1
        if early:
            keys += DESCRIBED
        if early or QUESTIONS[asking.question].boulder:
            keys += [f"circuit:{one.name}" for one in session.library.place.circuits]
        keys += [plain for plain, _ in QUESTIONS[asking.question].plain]
    if on_the_landing(session):
        keys.append(Meaning.DOWN.value)
    keys += _times_of_day(session)
    keys += LATE_GO if unopened(session) else ()
    keys += _of_the_last_try(session)
    if _before_a_try(session):
        keys += (*Meaning.OWN_REST.numbered, Meaning.LAST_GO.value, Meaning.ENOUGH.value)
    if late is not None:
        keys += late.asking.offered if late.whose else QUESTIONS[late.asking.question].answers
    keys += late_minutes(session)
    keys += other_parts(session)
    if not moving(session):
        keys += [key for key in SHOWN if _shown_to_all(session, key)]
    return tuple(
        key for key in dict.fromkeys(keys) if key not in answers and (not known or key in known)
    )


def _times_of_day(session: Session) -> tuple[str, ...]:
    """By when it is to be over: as an answer to the minutes, and alone where nothing runs."""
    asking, alone = session.questions.asking, len(session.people) == 1
    asked = asking is not None and QUESTIONS[asking.question].clock
    rests = asking is None and session.phase in (Phase.REST, Phase.PAUSED)
    told = asked or (alone and rests and session.course.planned)
    return home_time.times_ahead(session) if told else ()


def on_the_landing(session: Session) -> bool:
    """Whether everybody stands still because nobody has said that the landing is clear."""
    running = session.course.running
    waits = session.standing.by_itself and session.phase is Phase.STOPPED
    return waits and running is not None and running.step.kind is StepKind.TRY


def _before_a_try(session: Session) -> bool:
    """Whether the rest before a hard try runs."""
    step = session.rests.resting.step if session.rests.resting is not None else None
    return step is not None and step.block is BlockKind.HARD


def _of_the_last_try(session: Session) -> tuple[str, ...]:
    """In the rest after a try: what is still untold of it."""
    tries = session.tries
    if session.rests.resting is None or not tries.last:
        return ()
    if any(one[0] == tries.last for one in tries.untold):
        return (*OF_A_TRY, *_moves_of(session, tries.last))
    if not _before_a_try(session):
        return ()
    mine = [one for one in tries.went if one.today and one.who == tries.last]
    if not mine or mine[-1].result == "topped":
        return ()
    told = {"end", "cause" if mine[-1].cause else "", "effort" if mine[-1].felt else ""}
    return tuple(key for key in OF_A_TRY if parse(key).meaning.nature.tells not in told)


def _shown_to_all(session: Session, key: str) -> bool:
    """Whether what the screen shows counts without a call word: of several nothing raises."""
    answer = parse(key)
    alone = len(session.people) == 1
    return takes_now(session, answer.meaning) and (alone or answer.tendency is not Tendency.RAISING)


def doer(session: Session, who: int) -> int:
    """Whose form 'easier' and 'harder' are about: of what runs or comes next; 0 for nobody's.

    The person's own; where they have none in it, as it is another's turn, that of whoever does it.
    """
    step = session.course.steps[0] if session.course.steps else None
    if step is None or step.kind in (StepKind.REST, StepKind.ASK):
        return 0
    doing = [form.who for form in step.forms if form.movement]
    return who if who in doing else next(iter(doing), 0)


def _moves_of(session: Session, who: int) -> tuple[str, ...]:
    """Every move of the boulder that a person is on."""
    here = dict(session.tries.on).get(who)
    last = here.moves if here is not None and here.moves else MOST_MOVES
    return tuple(f"move:{number}" for number in range(1, last + 1))


def _by_number(answers: tuple[str, ...]) -> bool:
    """Whether a window takes some of the moves of a boulder: those that are likely."""
    return any(parse(key).meaning is Meaning.MOVE for key in answers)


def missed(session: Session) -> Missed | None:
    """The last question that may still be answered late."""
    last = session.questions.missed
    if last is None or session.at - last.at > LATE:
        return None
    if last.whose and session.day != last.after:
        return None  # of a batch: what came since goes by the plan without it
    if session.day is None or not untold_since(session.day, last.after):
        return None  # something else was told since
    return last


def as_worn(then: Day, now: Day) -> Day:
    """A day of before, with what the steps since have loaded and how long they took."""
    return replace(then, rested=now.rested, batches=now.batches)


def untold_since(now: Day, then: Day) -> bool:
    """Whether nothing was told since, and no plan made: steps that ended change nothing of that."""
    return as_worn(then, now) == now


def other_parts(session: Session) -> tuple[str, ...]:
    """What may be named after a complaint: it may be of another part than the one asked about."""
    told = session.at - session.questions.complained_at <= LATE
    open_ = told and not moving(session) and session.standing.paused_since is None
    asked = QUESTIONS["which-part"]
    named = (key for key in (*asked.answers, *asked.also) if parse(key).meaning is Meaning.PART)
    return tuple(named) if open_ else ()


def late_minutes(session: Session) -> tuple[str, ...]:
    """The minutes that may still be told: asked for, they met silence, and it has just begun."""
    silent = any(question == "minutes" for question, _ in session.questions.untold)
    young = session.at - session.began <= MINUTES_LATE
    if not silent or not young or moving(session) or session.standing.paused_since is not None:
        return ()
    return (*QUESTIONS["minutes"].answers, *QUESTIONS["minutes"].also)


def unopened(session: Session) -> tuple[Missed, ...]:
    """The go-aheads that met silence and may still be opened.

    What comes after the tries is ahead, or she has wound down for two minutes at most.
    """
    day, course = session.day, session.course
    if day is None or session.standing.paused_since is not None:
        return ()
    running = course.running
    begun = (*course.past, *((running.step,) if running is not None else ()))
    strains = running is not None and running.since is not None and running.step.strains
    blocks = {step.block for step in begun}
    if strains or BlockKind.STRENGTH in blocks:
        return ()
    # who has begun to wind down is warm for a while
    since = session.at - LATE if BlockKind.COOL_DOWN in blocks else 0.0
    return tuple(
        one
        for one in session.questions.unopened
        if one.at >= since and _told_of(day, one.asking.who) == _told_of(one.after, one.asking.who)
    )


def _told_of(day: Day, who: int) -> tuple[object, ...]:
    """All that has been told of a person, and what is left out of the warm-up."""
    marks = (*day.told, *day.signs, *day.pending, *day.gates)
    return (
        day.skipped,
        [cap for cap in day.caps if cap.who == who],
        [report for report in day.reports if report.who == who],
        [one for one in marks if one[0] == who],
    )


def takes_now(session: Session, meaning: Meaning) -> bool:
    """Whether something that no question asked for means anything now."""
    nature = meaning.nature
    if meaning is Meaning.DOWN and on_the_landing(session):
        return True
    of_a_form = meaning in (Meaning.EASIER, Meaning.HARDER)
    if of_a_form and session.course.planned and not doer(session, session.people[0]):
        return False
    if meaning in _OF_WHAT_IS_LEFT and session.phase is Phase.HURT and not session.course.steps:
        return False  # there is nothing left that could be counted, or be more or less
    if meaning is Meaning.SKIP and session.phase is Phase.ASK and not session.course.steps:
        return False  # nothing comes that could be left out
    still = session.standing.paused_since is not None or session.phase is Phase.DEBRIEF
    return (session.course.planned or nature.early) and not (still and nature.moves)
