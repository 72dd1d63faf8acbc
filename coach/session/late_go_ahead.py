"""'Let's try' after a silent go-ahead counts until what follows the hard tries begins.

Nothing may have been told of the body since, and a try must still fit into the minutes.
"""

from dataclasses import replace
from itertools import chain

from coach import planning
from coach.model.answers import Answer, Meaning
from coach.model.day import Day
from coach.model.facts import Decided
from coach.model.messages import message
from coach.model.plan import Step, StepKind
from coach.model.routine import BlockKind
from coach.planning import fitting
from coach.planning.gates import GO_AHEAD
from coach.session.changes import plan
from coach.session.dialogue import Missed
from coach.session.draft import Draft
from coach.session.windows import LATE_GO, unopened

_GO = Answer(Meaning.GO)


def told(draft: Draft, answer: Answer) -> bool:
    """'Let's try' opens the hard tries that silence had left out, 'not today' leaves them so.

    False where no try fits any more. Of several who were silent each is asked once more: one voice
    decides for nobody else.
    """
    silent = unopened(draft.s)
    draft.questions = replace(draft.questions, settled=(answer.key,), settled_at=draft.now)
    if answer.meaning is Meaning.NOT_TODAY:
        draft.tell(message("not-today"))
        if len(silent) == 1:
            settled(draft, silent[0].asking.who)
            draft.record(Decided(draft.now, silent[0].asking.who, False))
        return True
    day, steps = _before_silence(draft, silent)
    who = silent[0].asking.who
    change = planning.adapt(day, steps, draft.now, who, _GO, GO_AHEAD, draft.s.library)
    if not fitting.tries(change.steps, who):
        return False
    draft.day, draft.course = day, replace(draft.course, steps=steps)
    for one in silent:
        settled(draft, one.asking.who)
    if len(silent) > 1:
        for one in silent:
            draft.ask_later(replace(one.asking, times=0, closes=None, repeated=False))
    else:
        draft.record(Decided(draft.now, who, True))
        plan(draft, who, _GO, GO_AHEAD)
    draft.go_on = draft.course.running is None and draft.questions.asking is None
    return True


def settled(draft: Draft, who: int) -> None:
    """This person has answered, or is asked anew: the silence before decides nothing any more."""
    left = tuple(one for one in draft.questions.unopened if one.asking.who != who)
    draft.questions = replace(draft.questions, unopened=left)
    window = draft.s.window
    if not left and window is not None and window.answers == LATE_GO:
        draft.close_window()


def missed(draft: Draft, what: Missed) -> None:
    """Nobody answered a go-ahead: it may still be opened."""
    settled(draft, what.asking.who)
    draft.questions = replace(draft.questions, unopened=(*draft.questions.unopened, what))


def _before_silence(draft: Draft, silent: tuple[Missed, ...]) -> tuple[Day, tuple[Step, ...]]:
    """The day and what is left of it with the hard tries of whoever was silent in it again.

    What has been loaded, climbed and told of others since stays; easy boulders that filled the
    place of the tries go, but for those that run. The first of them was asked while all the tries
    stood in the plan.
    """
    day, planned = draft.day, silent[0].steps
    for one in silent:
        day = _untold(day, one.day, one.asking.who)
    theirs = {one.asking.who for one in silent}
    steps, past = draft.course.steps, {step.name for step in draft.course.past}
    here = {step.name: step for step in steps}
    first = steps[:1] if draft.course.running is not None else ()
    before = {step.name for step in planned}
    asked = (one for one in steps if one.kind is StepKind.ASK and one.name not in before)
    kept = (_kept(step, here, theirs) for step in planned if step.name not in past)
    runs = {step.name for step in first}
    left = (one for one in chain(asked, kept) if one is not None and one.name not in runs)
    return day, (*first, *left)


def _untold(day: Day, before: Day, who: int) -> Day:
    """The day without what silence told of a person."""
    return replace(
        day,
        told=(
            *(one for one in day.told if one[0] != who),
            *(one for one in before.told if one[0] == who),
        ),
        caps=(
            *(cap for cap in day.caps if cap.who != who),
            *(cap for cap in before.caps if cap.who == who),
        ),
        home_at=min(max(day.home_at, before.home_at), day.ends_at),
    )


def _kept(step: Step, here: dict[str, Step], theirs: set[int]) -> Step | None:
    """A step of the plan before silence: their own hard ones as they were, the rest as it is."""
    hard_rest = step.kind is StepKind.REST and step.block is BlockKind.HARD
    return step if step.turn in theirs or hard_rest else here.get(step.name)
