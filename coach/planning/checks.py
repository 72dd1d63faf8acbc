"""Where a part is checked, and who is asked at all.

Owns which of the two questions about the fingers a person is asked, and where it stands: on the
edge, or on the first easy boulders where none is used. Both hold back the same until a clear
answer; only the words fit another moment. And it owns that whoever spares a part is not asked
what decides nothing any more: its gate stays shut, and holds back what is not there.
"""

from collections.abc import Sequence

from coach.model.body import Part, ceiling
from coach.model.day import Day, Library
from coach.model.movement import Hold, Movement
from coach.model.plan import Step, StepKind
from coach.model.routine import BlockKind
from coach.planning import allowance, break_limits, forms, gates
from coach.planning.gates import FINGERS, FINGERS_NOW, GATES, GO_AHEAD
from coach.planning.offers import hopeful
from coach.planning.situation import PlanDraft


def spared(day: Day, who: int) -> bool:
    """Whether nothing may load the fingers of a person: then there is nothing to check."""
    return ceiling(day.caps, who, Part.FINGERS) == 0


def signed(day: Day, who: int) -> bool:
    """Whether a person spares something all day: no check lifts a cap that leaves no load."""
    return break_limits.mobility_only(day, who) or allowance.unloaded(day, who)


def decides(steps: Sequence[Step], day: Day, library: Library, who: int, question: str) -> bool:
    """Whether a gate holds back anything that is left for a person, were every other one open."""
    hoped = forms.of(hopeful(day), library)
    meant = {form.movement for step in steps for form in step.intended if form.who == who}
    eased = (hoped.ease(name, who) for name in sorted(meant) if name)
    return any(movement is not None and _held(movement, question) for movement in eased)


def _held(movement: Movement, question: str) -> bool:
    above = any(movement.load.get(part, 0) > most for part, most in GATES[question].caps)
    return above or gates.waits(movement, frozenset({question}))


def without_an_edge(steps: Sequence[Step], day: Day, library: Library, who: int) -> bool:
    """Whether a person is asked about an edge and has none in hand before, every gate open.

    The largest holds are no edge: at 16 and 17 there is nothing else to hang from.
    """
    place = _asked(steps, who)
    if place is None:
        return False
    hoped = forms.of(hopeful(day), library)
    meant = [form.movement for s in steps[:place] for form in s.intended if form.who == who]
    eased = [hoped.ease(movement, who) for movement in meant if movement]
    return not any(movement is not None and _on_an_edge(movement) for movement in eased)


def _in_hand(steps: Sequence[Step], library: Library, who: int) -> bool:
    """Whether a person has an edge in hand, as the gates are now, before it is asked about."""
    forms_of = (step.form(who) for step in steps[: _asked(steps, who)])
    movements = (library.movements.get(f.movement) for f in forms_of if f is not None)
    return any(movement is not None and _on_an_edge(movement) for movement in movements)


def _on_an_edge(movement: Movement) -> bool:
    return movement.hang is not None and movement.hang.hold is not Hold.LARGEST


def _asked(steps: Sequence[Step], who: int) -> int | None:
    """Index of the step that asks a person about the edge."""
    asked = (i for i, s in enumerate(steps) if s.question == FINGERS and s.form(who) is not None)
    return next(asked, None)


def by_climbing(draft: PlanDraft) -> None:
    """Ask the person of the draft after the first easy boulders that follow, in words that fit.

    Where none follow the question stays in its place.
    """
    place = _asked(draft.steps, draft.who)
    assert place is not None
    easy = (i for i, s in enumerate(draft.steps) if i > place and _easy(s, draft.who))
    place = next(easy, place)
    draft.steps.insert(place + 1, draft.ask_step(FINGERS_NOW, draft.steps[place].block))
    draft.trade(FINGERS, FINGERS_NOW)


def _easy(step: Step, who: int) -> bool:
    form = step.form(who)
    climbs = step.block is BlockKind.EASY and step.kind is StepKind.CLIMB
    return climbs and form is not None and bool(form.movement)


def follow(draft: PlanDraft, before: Sequence[Step]) -> None:
    """After a change: whose edge has gone is asked elsewhere, whose fingers are spared nowhere.

    Whoever spares a part is asked nothing that decides nothing.
    """
    speaker = draft.who
    for person in draft.day.people:
        draft.who = person.who
        if signed(draft.day, person.who):
            _unask_the_idle(draft)
        if spared(draft.day, person.who):
            draft.unask(FINGERS)
            draft.unask(FINGERS_NOW)
        elif without_an_edge(draft.steps, draft.day, draft.library, person.who) and _in_hand(
            before, draft.library, person.who
        ):
            by_climbing(draft)
    draft.who = speaker


def _unask_the_idle(draft: PlanDraft) -> None:
    for question in GATES:
        asks = any(s.question == question and s.form(draft.who) is not None for s in draft.steps)
        if question == GO_AHEAD or not asks:
            continue
        if not decides(draft.steps, draft.day, draft.library, draft.who, question):
            draft.unask(question)
