"""The drill before a hard try: once before the first, and once more after two falls at the move.

`coach.planning.drills` lays it; here it is decided when it comes, and put into words.
"""

from dataclasses import replace

from coach.model.messages import Message, message
from coach.model.plan import Drill, Step, StepKind
from coach.model.tries import Boulder, Went
from coach.planning import drills, variations
from coach.session import current_boulder
from coach.session.draft import Draft
from coach.session.state import Session
from coach.session.timers import Resting, Running

#: Falls at one place after which the drill is done again.
AGAIN = 2
#: Causes that lengthen the rest at once.
WORN = frozenset({"tired", "skin"})


def consider(draft: Draft, who: int, here: Boulder, log: list[Went]) -> None:
    """After what was told of a try: whether the drill comes once more, or gives way to rest."""
    if _at_the_move(here, log):
        _comes(draft, who, here)
    elif variations.cause_of(log) in WORN:
        _goes(draft, who, here)


def _mark(who: int, boulder: str, had: bool = False) -> str:
    """Kept in what was asked: once on a boulder the drill is offered once more, and once had."""
    return f"drill-{'had-' if had else ''}{who}-{boulder}"


def _laid(s: Session, who: int) -> tuple[Step, ...]:
    """The drill before the next try of a person, closest to the move; none where there is none."""
    steps, day = s.course.steps, s.day
    next_try = next((one for one in steps if one.kind is StepKind.TRY and one.turn == who), None)
    if next_try is None or day is None:
        return ()
    here = current_boulder.boulder_of(s, who)
    return drills.steps_of(day, s.library, who, here, next_try.whole, Drill.ASKED)


def _at_the_move(here: Boulder, log: list[Went]) -> bool:
    """Whether the last two falls were at the key move, and no wear ended them."""
    if variations.falls_there(log) < AGAIN or variations.cause_of(log) in WORN:
        return False
    return not (here.key_at and log[-1].move) or here.key_at == log[-1].move


def _comes(draft: Draft, who: int, here: Boulder) -> None:
    """Once on a boulder, after two falls at its move: the drill that was kept for it comes.

    Where the plan kept none, it takes her own word, for it is more.
    """
    mark = _mark(who, here.name)
    if mark in draft.questions.asked:
        return
    kept = any(drills.is_kept(one) and one.turn == who for one in draft.course.steps)
    if not kept and not _laid(draft.s, who):
        return
    marks = {mark, _mark(who, here.name, had=True)} if kept else {mark}
    draft.questions = replace(draft.questions, asked=draft.questions.asked | marks)
    draft.tell(message("drill-once-more" if kept else "drill-offer", who=draft.to(who)))


def offer(draft: Draft, who: int) -> None:
    """It is known what a boulder is about that comes later in the day: its drill, by her word."""
    here = current_boulder.boulder_of(draft.s, who)
    begun = current_boulder.tried_today(draft.s, who)
    if begun and here.about and not current_boulder.tries_on(draft.s, who, here.name):
        _comes(draft, who, here)


def _goes(draft: Draft, who: int, here: Boulder) -> None:
    """It turns out that she is worn: a drill that was announced gives way to rest.

    Of one that has begun no further go comes: what was done of it stands on the record.
    """
    steps, running = draft.course.steps, draft.course.running
    begun = running is not None and drills.is_kept(running.step) and running.step.turn == who
    if begun and running is not None:
        done = running.go if running.since is not None else running.go - 1
        cut = replace(running.step, amount=max(done, 1))
        steps = tuple(cut if one.name == cut.name else one for one in steps)
        draft.course = replace(draft.course, steps=steps, running=replace(running, step=cut))
    left = tuple(
        one
        for one in steps
        if not (drills.is_kept(one) and one.turn == who)
        or (begun and running is not None and one.name == running.step.name)
    )
    if _mark(who, here.name) in draft.questions.asked and (begun or left != steps):
        draft.course = replace(draft.course, steps=left)
        draft.tell(message("drill-dropped", who=draft.to(who)))


def past_kept(draft: Draft) -> Step | None:
    """The step that comes next: a drill that is kept and not needed yet is put off, or goes.

    None where nothing is left then.
    """
    while (steps := draft.course.steps) and _not_needed(draft, steps[0]):
        draft.course = replace(draft.course, steps=drills.put_off(steps))
    return steps[0] if steps else None


def _not_needed(draft: Draft, step: Step) -> bool:
    if not drills.is_kept(step):
        return False
    here = current_boulder.boulder_of(draft.s, step.turn)
    log = current_boulder.tries_on(draft.s, step.turn, here.name)
    due = _mark(step.turn, here.name) in draft.questions.asked
    return not (due and log and log[-1].today and variations.fell(log[-1]))


def over(running: Running) -> bool:
    """Whether no further go comes of the drill that stands between two goes."""
    return drills.is_drill(running.step) and running.go > running.step.amount


def _once_more(step: Step) -> bool:
    return step.drill in (Drill.KEPT, Drill.ASKED)


def waits(s: Session) -> bool:
    """Whether the drill was offered to whoever tried last, and can still be had."""
    who = s.tries.last
    here = current_boulder.boulder_of(s, who).name if who else ""
    asked = s.questions.asked
    had = _mark(who, here, had=True) in asked
    return _mark(who, here) in asked and not had and bool(_laid(s, who))


def again(draft: Draft, who: int) -> bool:
    """The drill comes before her next try; False where it was not offered. The rest stays whole.

    It was offered to whoever tried last: nobody else takes it.
    """
    if who != draft.s.tries.last or not waits(draft.s):
        return False
    steps = draft.course.steps
    at = next(i for i, one in enumerate(steps) if one.kind is StepKind.TRY and one.turn == who)
    laid = _laid(draft.s, who)
    mark = _mark(who, current_boulder.boulder_of(draft.s, who).name, had=True)
    draft.questions = replace(draft.questions, asked=draft.questions.asked | {mark})
    draft.course = replace(draft.course, steps=(*steps[:at], *laid, *steps[at:]))
    return True


def left_out(draft: Draft) -> None:
    """One word leaves out the drill that runs with its other side."""
    running, steps = draft.course.running, draft.course.steps
    if running is None:
        return
    mine = running.step
    draft.course = replace(
        draft.course,
        steps=tuple(
            one
            for one in steps
            if one.name == mine.name
            or not (drills.is_drill(one) and one.turn == mine.turn)
            or (one.whole, one.drill) != (mine.whole, mine.drill)
        ),
    )


def longer(resting: Resting, seconds: float) -> Resting:
    """The rest with so many seconds more, its words moved to its new half and end."""
    moved = tuple(
        (at + (seconds / 2.0 if what.key == "rest-half" else seconds), what)
        for at, what in resting.marks
    )
    return replace(resting, until=resting.until + seconds, marks=moved)


def why(s: Session, step: Step) -> list[Message]:
    """Why a drill comes before a try, once for all its sides."""
    more = _once_more(step)
    marked = [one for one in s.course.past if drills.is_drill(one) and one.turn == step.turn]
    if any(_once_more(one) == more for one in marked):
        return []
    return [] if more else [message("drill-low", who=step.turn if len(s.people) > 1 else 0)]
