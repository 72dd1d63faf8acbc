"""Rests: absolute ends, words that come at a time, and when a question may be asked in one."""

from dataclasses import replace
from math import ceil

from coach.model.facts import RestChosen, Rested
from coach.model.messages import Message, message
from coach.model.plan import Step, StepKind
from coach.model.questions import MOST
from coach.model.routine import BlockKind
from coach.planning import levels, recovery, timeline, turns
from coach.planning import try_trend as judged
from coach.session import coaching, drilling
from coach.session.draft import Draft
from coach.session.effects import EndNote
from coach.session.state import After, Asking, Phase, Resting
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
#: Somebody goes before their turn where they are ready so many seconds sooner.
SWAP = 20.0
#: The first rest between tries tells what to do in it.
FIRST = "rest-first"
#: Words that come at a time of a rest are not said so many seconds later: they would not be so.
STALE = 4.0
#: Waits of fewer seconds are none.
SHORTEST = 0.5


def suggested(draft: Draft, step: Step) -> float:
    """Seconds of a rest that is a step: between tries, as the climber's own rests have taught."""
    if step.block is not BlockKind.HARD:
        return step.seconds
    own = dict(draft.rests.own).get(_next_turn(draft), 0.0)
    if own and len(draft.s.people) == 1:
        return own
    shorter = max(step.seconds - draft.rests.sooner, min(step.seconds, recovery.LEAST))
    return max(shorter, recovery.learnt(draft.rests.taken))


def promise(draft: Draft, who: int) -> None:
    """Whoever has just tried rests so long before they are called again: kept in any case."""
    seconds = dict(draft.rests.own).get(who, 0.0) or _usual(draft, who)
    _ready_at(draft, who, draft.now + seconds)


def worn(draft: Draft, who: int, seconds: float) -> bool:
    """A longer rest for whoever tells that a try wore them; whether one runs or comes."""
    resting, steps = draft.rests.resting, draft.course.steps
    if resting is not None:
        draft.rests = replace(draft.rests, resting=drilling.longer(resting, seconds))
    elif any(one.kind is StepKind.TRY for one in steps):
        draft.rests = replace(draft.rests, more=seconds)
        _ready_at(draft, who, dict(draft.rests.ready_at).get(who, draft.now) + seconds)
    else:
        return False
    return True


def of_step(draft: Draft, step: Step) -> None:
    """The rest that is a step begins, with what the last try asked for more."""
    seconds = suggested(draft, step)
    if step.block is BlockKind.HARD:
        seconds += draft.rests.more
        draft.rests = replace(draft.rests, more=0.0)
    begin_rest(draft, seconds, step.name, step)


def _usual(draft: Draft, who: int) -> float:
    movement = draft.s.library.movements.get("hard-try")
    wanted = (movement.rest if movement is not None else 0.0) or recovery.PLANNED
    if levels.is_new(draft.day, who):
        wanted = min(wanted, levels.REST)
    return max(wanted, recovery.LEAST)


def not_before(draft: Draft, who: int, at: float) -> None:
    """Whoever has drilled is not called before they have rested from it."""
    _ready_at(draft, who, max(dict(draft.rests.ready_at).get(who, at), at))


def _ready_at(draft: Draft, who: int, at: float) -> None:
    ready = dict(draft.rests.ready_at) | {who: at}
    draft.rests = replace(draft.rests, ready_at=tuple(sorted(ready.items())))


def called(draft: Draft, step: Step) -> Step | None:
    """The try that begins now: this one, or of several people that of whoever is ready sooner.

    None where everybody still rests; then a rest has begun.
    """
    if len(draft.s.people) == 1:
        return step
    steps, ready = draft.course.steps, dict(draft.rests.ready_at)
    waiting = tuple(dict.fromkeys(s.turn for s in steps if s.kind is StepKind.TRY))
    call = turns.next_call(waiting, ready, draft.now, SWAP)
    assert call is not None
    if call.who != step.turn:
        mine = next(s for s in steps if s.kind is StepKind.TRY and s.turn == call.who)
        others = tuple(s for s in steps if s is not mine)
        draft.course = replace(draft.course, steps=(mine, *others))
        step = mine
    if call.wait <= SHORTEST:
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
    if draft.rests.resting is not None and between_tries(draft) and not stands:
        end_rest(draft)


def wanted_longer(draft: Draft) -> None:
    """Who wants a longer rest can say from then on how long theirs are."""
    asked = draft.questions.asked | {"rest-longer"}
    draft.questions = replace(draft.questions, asked=asked)
    renew(draft)


def renew(draft: Draft) -> None:
    """What counts in the rest between tries that runs may have changed: its window opens anew."""
    if draft.s.phase is Phase.REST and between_tries(draft):
        rest_on(draft)


def in_words(minutes: int) -> Message:
    """The rest that somebody chose."""
    return message("own-rest", minutes=minutes)


def choose(draft: Draft, who: int, seconds: float, *, quiet: bool = False) -> None:
    """The rest between hard tries that a person wants from here on, the one that runs included."""
    seconds = recovery.within_own(seconds)
    own = dict(draft.rests.own) | {who: seconds}
    draft.rests = replace(draft.rests, own=tuple(sorted(own.items())))
    draft.record(RestChosen(draft.now, who, seconds))
    resting = draft.rests.resting
    if resting is not None and between_tries(draft) and len(draft.s.people) == 1:
        more = resting.since + seconds - resting.until
        draft.rests = replace(draft.rests, resting=drilling.longer(resting, more))
    ready = dict(draft.rests.ready_at).get(who)
    if ready is not None:
        _ready_at(draft, who, max(ready, draft.now))
    if not quiet:
        draft.tell(in_words(round(seconds / 60.0)))


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


def _learn(draft: Draft, resting: Resting) -> None:
    """Keep what was taken; three early ends ask once whether rests may be shorter.

    Only somebody alone is asked: nobody's word may shorten the rest of another.
    """
    taken = draft.now - resting.since
    draft.rests = replace(draft.rests, taken=(*draft.rests.taken, (resting.suggested, taken)))
    asking = Asking("shorter-rests", draft.s.people[0])
    alone = len(draft.s.people) == 1
    if alone and sooner(draft) > 0.0 and asking.question not in draft.questions.asked:
        draft.ask_later(asking)


def sooner(draft: Draft) -> float:
    """Seconds by which rests may be shorter, as the last ones were."""
    return recovery.early(draft.rests.taken, _usual(draft, draft.s.people[0]))


def _opening(draft: Draft) -> str:
    """The first long rest of tries tells what to do in it; after that one word is enough."""
    if not between_tries(draft) or FIRST in draft.questions.asked:
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
    resting = draft.rests.resting
    assert resting is not None
    draft.enter(Phase.REST)
    draft.questions = replace(draft.questions, asking=None)
    if resting.until - draft.now >= SHORT_REST / 2 and draft.notes.recording is None:
        draft.open_window(answers_of(draft))


def between_tries(draft: Draft) -> bool:
    """Whether the rest that runs stands before a hard try."""
    resting = draft.rests.resting
    step = resting.step if resting is not None else None
    return step is not None and step.block is BlockKind.HARD


def answers_of(draft: Draft) -> tuple[str, ...]:
    """What counts in the rest that runs, at most eight."""
    if not between_tries(draft):
        return ("ready", "more-time", "easier", "harder", "skip", "whats-next", "how-long", "why")
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
    if not between_tries(draft):
        return 0.0
    least = min(recovery.LEAST, resting.suggested)
    return least - (draft.now - resting.since)


def floor_told(draft: Draft, left: float) -> Message:
    """That the rest that runs lasts so many seconds more; between tries with its least."""
    resting = draft.rests.resting
    assert resting is not None
    if not between_tries(draft):
        return message("rest-floor", seconds=ceil(left))
    minutes = round(min(recovery.LEAST, resting.suggested) / 60.0)
    return message("rest-floor-try", minutes=minutes, seconds=ceil(left))


def may_end(draft: Draft, who: int) -> bool:
    """Whether a person may end the rest that runs: alone, or as the one who climbs next.

    A voice or key that nobody is told apart by comes as that of the first person.
    """
    if len(draft.s.people) == 1:
        return True
    turn = _next_turn(draft)
    return between_tries(draft) and who in (draft.s.people[0], turn)


def _next_turn(draft: Draft) -> int:
    return next((step.turn for step in draft.course.steps if step.kind is StepKind.TRY), 0)


def owe(draft: Draft) -> None:
    """Put the seconds that are left of the rest before the next try of anybody else.

    For others the rest counts as well: between their own tries they keep what was planned.
    """
    resting, steps = draft.rests.resting, draft.course.steps
    assert resting is not None
    turn, left = _next_turn(draft), ceil(resting.until - draft.now)
    others = (i for i, s in enumerate(steps) if s.kind is StepKind.TRY and s.turn != turn)
    place = next(others, None)
    if place is None or left < 1:
        return
    before = steps[place - 1] if place else None
    if before is not None and before.kind is StepKind.REST:
        more = replace(before, amount=before.amount + left, seconds=before.seconds + left)
        draft.course = replace(draft.course, steps=(*steps[: place - 1], more, *steps[place:]))
    else:
        name = f"{steps[place].name}.owed"
        rest = Step(name, StepKind.REST, BlockKind.HARD, (), left, float(left))
        draft.course = replace(draft.course, steps=(*steps[:place], rest, *steps[place:]))


def end_rest(draft: Draft) -> None:
    """The rest is over, by itself or by 'ready'."""
    resting = draft.rests.resting
    assert resting is not None
    draft.record(Rested(draft.now, 0, draft.now - resting.since, resting.suggested, resting.after))
    if draft.notes.recording is not None:
        draft.effects.append(EndNote())
    if between_tries(draft):
        _learn(draft, resting)
    if draft.now < resting.until:
        _ready_at(draft, _next_turn(draft), draft.now)
    draft.close_window()
    running = draft.course.running
    draft.rests = replace(draft.rests, resting=None)
    if running is not None and running.since is None and running.go > 1:
        draft.enter(Phase.LEAD_IN)
        draft.say(message("next-go", side=running.step.side), After.BEGIN)
    else:
        draft.go_on = True
