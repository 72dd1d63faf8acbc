"""How a session ends before its time: well and now, or called away with words for home."""

from coach.model.answers import Answer, Meaning
from coach.model.messages import Message, message
from coach.model.plan import StepKind
from coach.model.routine import BlockKind
from coach.session import asking as questions
from coach.session import interrupts, noting, working
from coach.session.draft import Draft
from coach.session.replanning import plan
from coach.session.state import Phase


def finish(draft: Draft, who: int, answer: Answer) -> None:
    """End well, now: what is left is dropped, the debrief stays."""
    s = draft.s
    if not s.planned:
        draft.hush()
        draft.set(how="ended")
        interrupts.end_pause(draft)
        questions.close(draft, None)
        return
    if s.phase is Phase.DEBRIEF:
        draft.hush()
        questions.close(draft, s.effort)
        return
    _end(draft, away=False)


def leaving(draft: Draft, who: int, answer: Answer) -> None:
    """Called away: over within a minute, with what to do at home; the others go on with theirs."""
    s = draft.s
    if not s.planned or s.phase is Phase.DEBRIEF:
        finish(draft, who, answer)
    elif any(one.kind is StepKind.TRY and one.turn != who for one in s.steps):
        draft.tell(home(draft, who))
        plan(draft, who, Answer(Meaning.ENOUGH), quiet=True)
    else:
        _end(draft, away=True)


def home(draft: Draft, who: int) -> Message:
    """What to do at home: the first of what would have wound the session down."""
    left = (step.form(who) for step in draft.s.steps if step.block is BlockKind.COOL_DOWN)
    movement = next((form.movement for form in left if form is not None and form.movement), "")
    return message("leave-home", movement=movement) if movement else message("leave-home-rest")


def _next_time(draft: Draft) -> Message:
    """What waits for the next time: the boulder that was last tried and not topped."""
    last = draft.s.went[-1] if draft.s.went else None
    if last is None or not last.today or last.result == "topped":
        return message("leave-next")
    return message("leave-next-boulder", boulder=last.boulder)


def _end(draft: Draft, *, away: bool) -> None:
    """Drop what is left and go to the debrief; away, with words for home and for next time."""
    s = draft.s
    words = (home(draft, s.people[0]), _next_time(draft)) if away else ()
    interrupts.end_pause(draft)
    noting.end(draft)
    draft.hush()
    if s.running is not None:
        working.leave(draft, "cut")
    draft.set(
        how="hurt" if s.how == "hurt" else "ended",
        steps=(),
        running=None,
        resting=None,
        pending=(),
        asking=None,
    )
    draft.go_on = False
    questions.debrief(draft, words)
