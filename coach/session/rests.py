"""Rests: absolute ends, words that come at a time, and when a question may be asked in one."""

from dataclasses import replace
from math import ceil

from coach.model.answers import parse
from coach.model.facts import Rested
from coach.model.messages import Message, message
from coach.model.plan import Step, StepKind
from coach.model.questions import MOST
from coach.model.routine import BlockKind
from coach.planning import levels, recovery, timeline
from coach.planning import try_trend as judged
from coach.session import coaching, drilling, own_rests, windows
from coach.session.dialogue import After
from coach.session.draft import Draft
from coach.session.effects import EndNote
from coach.session.state import Phase
from coach.session.timers import Resting
from coach.session.waits import breath_back

#: What may be told of the last try in the rest after it, the most useful first.
_BESIDE = ("keep", "feel:tired", "cause:skin", "filmed")
#: The same where there was no try yet.
_BEFORE_ANY = ("keep", "feel:tired")
#: Rests shorter than this open no window.
SHORT_REST = 20.0
#: Rests of at least this many seconds tell when they are nearly over, NEARLY seconds before.
LONG_REST = 90.0
NEARLY = 30.0
#: Seconds before the end of a rest between hard tries at which it is told once more.
LAST_SECONDS = 10.0
#: The first rest between tries tells what to do in it.
FIRST = "rest-first"
#: Words that come at a time of a rest are not said so many seconds later: they would not be so.
STALE = 3.0
#: Waits of fewer seconds are none.
SHORTEST = 0.5


def suggested(draft: Draft, step: Step) -> float:
    """Seconds of a rest that is a step: between tries, as the climber's own rests have taught.

    Of several people whoever is ready first is waited for, and nobody else.
    """
    if step.block is not BlockKind.HARD:
        return step.seconds
    if len(draft.s.people) > 1:
        call = own_rests.next_call(draft)
        return call.wait if call is not None else step.seconds
    who = draft.s.people[0]
    if own := dict(draft.rests.own).get(who, 0.0):
        return own
    shorter = max(step.seconds - draft.rests.sooner, min(step.seconds, recovery.LEAST))
    return max(shorter, recovery.learnt(own_rests.taken_by(draft, who)))


def of_step(draft: Draft, step: Step) -> None:
    """The rest that is a step begins, with what the last try asked for more.

    Of several people that stands in what was promised to each; where one is ready there is none.
    """
    several = step.block is BlockKind.HARD and len(draft.s.people) > 1
    if several and draft.course.steps:
        drilling.past_kept(draft)
    seconds = suggested(draft, step)
    if step.block is BlockKind.HARD:
        seconds += 0.0 if several else draft.rests.more
        draft.rests = replace(draft.rests, more=0.0)
    if several and seconds <= SHORTEST:
        draft.go_on = True
    else:
        begin_rest(draft, seconds, step.name, step)


def called(draft: Draft, step: Step) -> Step | None:
    """The try that begins now: this one, or of several people that of whoever is ready sooner.

    None where everybody still rests; then a rest has begun.
    """
    if len(draft.s.people) == 1:
        return step
    call = own_rests.next_call(draft)
    assert call is not None
    step = draft.course.steps[0]
    if call.wait <= SHORTEST:
        own_rests.learn_of(draft, call.who)
        return step
    whole = ceil(call.wait)
    rest = Step(f"{step.name}.wait", StepKind.REST, BlockKind.HARD, (), whole, float(whole))
    begin_rest(draft, call.wait, step.name, rest)
    return None


def no_more_tries(draft: Draft) -> None:
    """Where nobody has a hard try left, nothing is rested for: the rest that runs ends, too."""
    steps = draft.course.steps
    if any(step.kind is StepKind.TRY for step in steps):
        return
    left = tuple(s for s in steps if s.kind is not StepKind.REST or s.block is not BlockKind.HARD)
    draft.course = replace(draft.course, steps=left)
    stands = draft.standing.paused_since is not None
    if draft.rests.resting is not None and own_rests.between_tries(draft) and not stands:
        end_rest(draft)


def more(draft: Draft, who: int, seconds: float) -> None:
    """The rest that runs gets longer: of several people's that of whoever is next.

    A voice or key that nobody is told apart by comes as that of the first person. Whoever wants a
    longer rest can say from then on how long theirs are.
    """
    resting = draft.rests.resting
    assert resting is not None
    if len(draft.s.people) > 1 and own_rests.between_tries(draft):
        next_one = own_rests.next_turn(draft)
        own_rests.longer(draft, who if who != draft.s.people[0] else next_one, seconds)
    else:
        draft.rests = replace(draft.rests, resting=drilling.longer(resting, seconds))
    draft.questions = replace(draft.questions, asked=draft.questions.asked | {"rest-longer"})
    renew(draft)


def renew(draft: Draft) -> None:
    """What counts in the rest between tries that runs may have changed: its window opens anew."""
    if draft.s.phase is Phase.REST and own_rests.between_tries(draft):
        rest_on(draft)


def keep_fresh(draft: Draft) -> None:
    """After an answer the window of a rest takes what counts now: what comes next may be new."""
    resting, window, known = draft.rests.resting, draft.s.window, draft.s.library.words
    if resting is None or window is None or draft.s.phase is not Phase.REST:
        return
    now = tuple(key for key in answers_of(draft) if not known or key in known)
    if resting.suggested >= SHORT_REST and window.answers != now:
        draft.open_window(now)


def in_words(minutes: int) -> Message:
    """The rest that somebody chose."""
    return message("own-rest", minutes=minutes)


def begin_rest(draft: Draft, seconds: float, after: str, step: Step | None) -> None:
    """Rest until an absolute time; long rests open a window and tell when they are nearly over."""
    until = draft.now + seconds
    marks: tuple[tuple[float, Message], ...] = ()
    if seconds >= LONG_REST:
        marks = ((until - NEARLY, message("rest-nearly-over")),)
        if step is not None and step.block is BlockKind.HARD:
            half = (draft.now + seconds / 2.0, message("rest-half"))
            marks = (half, *marks, (until - LAST_SECONDS, message("rest-ten")))
    resting = Resting(draft.now, until, seconds, after, step, marks)
    draft.questions = replace(draft.questions, asking=None)
    draft.rests = replace(draft.rests, resting=resting)
    if draft.standing.paused_since is not None:
        draft.go_on = True  # it rests while it stands
        return
    draft.enter(Phase.REST)
    if seconds >= SHORT_REST:
        opening = _opening(draft)
        draft.say(message(opening, seconds=round(seconds)))
        if opening == FIRST and (span := _range(draft)) is not None:
            draft.say(span)
        rest_on(draft)


def _opening(draft: Draft) -> str:
    """The first long rest of tries tells what to do in it; after that one word is enough."""
    if not own_rests.between_tries(draft) or FIRST in draft.questions.asked:
        return "rest"
    draft.questions = replace(draft.questions, asked=draft.questions.asked | {FIRST})
    return FIRST


def _range(draft: Draft) -> Message | None:
    """How long rests between tries are, in whole minutes; None where she told it herself."""
    own = dict(draft.rests.own).get(draft.tries.last)
    usual = levels.RESTS if levels.all_new(draft.day) else recovery.suggested("hard")
    least, most = usual if own is None else (own, own)
    low, high = int(least // 60), ceil(most / 60)
    return message("rest-range", least=low, most=high) if low < high else None


def rest_on(draft: Draft) -> None:
    """Be in the rest that runs: also after a question or a pause inside it."""
    if draft.notes.recording is None:
        no_more_tries(draft)
    resting = draft.rests.resting
    if resting is None:
        return  # nothing is left to rest for
    draft.enter(Phase.REST)
    draft.questions = replace(draft.questions, asking=None)
    if resting.until - draft.now >= SHORT_REST / 2 and draft.notes.recording is None:
        draft.open_window(answers_of(draft))


def answers_of(draft: Draft) -> tuple[str, ...]:
    """What counts in the rest that runs, at most eight."""
    if not own_rests.between_tries(draft):
        told = ("ready", "more-time", "easier", "harder", "skip", "whats-next", "how-long", "why")
        comes = draft.course.steps[0].kind if draft.course.steps else None
        # what is asked next can't be left out, and has no form that could be easier
        counts = (key for key in told if windows.takes_now(draft.s, parse(key).meaning))
        return tuple(key for key in counts if comes is not StepKind.ASK or key != "skip")
    last = draft.tries.went[-1] if draft.tries.went else None
    answers = ["ready", "more-time", "other-boulder", "leaving"]
    if last is not None and judged.falling(
        judged.on_boulder(draft.tries.went, last.who, last.boulder)
    ):
        answers += ["last-go", "enough"]
    if drilling.waits(draft.s):
        answers.append("another")
    if last is not None and "move-alone" in draft.tries.agreed_on(last.who, last.boulder):
        answers.append("move-done")
    answers += coaching.offered(draft.s)
    if "rest-longer" in draft.questions.asked:
        answers += [f"own-rest:{minutes}" for minutes in (4, 5)]
    causes = coaching.likely_causes(draft.s)
    if causes and len(answers) + len(causes) < MOST:
        answers += [*causes, "feel:tired"]
    # what can as well be told at another time gives way to what decides about the next try
    beside = _BESIDE if any(count for _, count in draft.tries.counts) else _BEFORE_ANY
    return tuple(dict.fromkeys((*answers, *beside)))[:MOST]


def due(draft: Draft) -> None:
    """A time of the rest has come: words, the result of the try, or its end."""
    resting = draft.rests.resting
    assert resting is not None
    past = [(at, what) for at, what in resting.marks if at <= draft.now]
    if draft.now >= resting.until:
        end_rest(draft)
    elif past:
        draft.rests = replace(
            draft.rests, resting=replace(resting, marks=resting.marks[len(past) :])
        )
        at, what = past[-1]
        # what came due while the session stood still is not so any more
        left = STALE - (draft.now - at)
        if draft.notes.recording is None and left > 0:
            draft.say(what, within=left)
    elif draft.questions.pending and draft.now >= breath_back(resting):
        draft.go_on = True


def floor_left(draft: Draft) -> float:
    """Seconds that the rest that runs lasts at least, whatever is said.

    A rest in the warm-up is no longer than what was loaded needs; between tries the least counts.
    """
    resting = draft.rests.resting
    assert resting is not None
    if resting.step is None:
        step = draft.course.steps[0] if draft.course.steps else None
        return timeline.wait(draft.day, step, draft.now) if step is not None else 0.0
    if not own_rests.between_tries(draft):
        return 0.0
    if len(draft.s.people) > 1:
        promised = own_rests.promise_of(draft, own_rests.next_turn(draft))
        return recovery.LEAST - (draft.now - promised[0]) if promised is not None else 0.0
    least = min(recovery.LEAST, resting.suggested)
    return least - (draft.now - resting.since)


def floor_told(draft: Draft, left: float) -> Message:
    """That the rest that runs lasts so many seconds more; between tries with its least."""
    resting = draft.rests.resting
    assert resting is not None
    if not own_rests.between_tries(draft):
        return message("rest-floor", seconds=ceil(left))
    alone = len(draft.s.people) == 1
    least = min(recovery.LEAST, resting.suggested) if alone else recovery.LEAST
    minutes = round(least / 60.0)
    return message("rest-floor-try", minutes=minutes, seconds=ceil(left))


def may_end(draft: Draft, who: int) -> bool:
    """Whether a person may end the rest that runs: alone, or as the one who climbs next.

    A voice or key that nobody is told apart by comes as that of the first person.
    """
    if len(draft.s.people) == 1:
        return True
    turn = own_rests.next_turn(draft)
    return own_rests.between_tries(draft) and who in (draft.s.people[0], turn)


def end_rest(draft: Draft) -> None:
    """The rest is over, by itself or by 'ready'."""
    resting = draft.rests.resting
    assert resting is not None
    draft.record(Rested(draft.now, 0, draft.now - resting.since, resting.suggested, resting.after))
    if draft.notes.recording is not None:
        draft.effects.append(EndNote())
    if own_rests.between_tries(draft) and len(draft.s.people) == 1:
        own_rests.learn(draft, resting)
    if draft.now < resting.until:
        own_rests.ready_at(draft, own_rests.next_turn(draft), draft.now)
    draft.close_window()
    running = draft.course.running
    draft.rests = replace(draft.rests, resting=None)
    between_goes = running is not None and running.since is None and running.go > 1
    if running is not None and between_goes and not drilling.over(running):
        draft.enter(Phase.LEAD_IN)
        draft.say(message("next-go", side=running.step.side), After.BEGIN)
    else:
        draft.go_on = True
