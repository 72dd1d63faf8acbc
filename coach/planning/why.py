"""Why a plan holds what it holds: the length of each block, and each swap of a movement.

Both are looked at as the day will be once every gate has been answered well; what waits for a gate
until then is no swap.
"""

from collections.abc import Iterator, Sequence

from coach.model.body import CapReason
from coach.model.day import Day, Library
from coach.model.messages import Message, message
from coach.model.movement import Movement
from coach.model.person import Person
from coach.model.plan import Step
from coach.model.routine import BlockKind
from coach.planning import age_limits, consequences, forms, schedule, timeline
from coach.planning.offers import hopeful


def once_open(day: Day, steps: Sequence[Step], library: Library) -> tuple[Step, ...]:
    """The steps in the forms that everybody may do once every gate is open."""
    opened = list(consequences.under_caps(steps, hopeful(day), library))
    # as in the session once the body has been asked about: what of the mat may wait is done in
    # the rests of the hangs of today
    asked = next((n for n, step in enumerate(opened) if step.question), len(opened))
    return (*opened[:asked], *schedule.again(opened[asked:], 0.0, {}))


def lengths(steps: Sequence[Step], library: Library) -> Iterator[Message]:
    """A sentence for each block of the routine: its minutes, and how many of them always stay."""
    seen = set()
    for block in library.routine.blocks:
        if block.kind in seen:
            continue
        seen.add(block.kind)
        mine = [step for step in steps if step.block is block.kind]
        if not any(step.intended for step in mine):
            yield message("why-length-none", block=block.kind.value)
            continue
        minutes = round(timeline.seconds_of(mine) / 60)
        kept = round(timeline.seconds_of([s for s in mine if s.floor or s.core]) / 60)
        if kept >= minutes:
            yield message("why-length-all", block=block.kind.value, minutes=minutes)
        else:
            yield message("why-length", block=block.kind.value, minutes=minutes, kept=kept)


def swaps(day: Day, library: Library) -> Iterator[Message]:
    """A sentence for each movement of the routine that somebody does in another form, or not."""
    hoped = hopeful(day)
    today = forms.of(hoped, library)
    several = len(day.people) > 1
    items = dict.fromkeys((b.kind, i.movement) for b in library.routine.blocks for i in b.items)
    for kind, name in items:
        movement = library.movements.get(name)
        for person in day.people if movement is not None else ():
            assert movement is not None
            eased = today.ease(name, person.who)
            if eased is movement:
                continue
            because = f"because-{_because(movement, person, hoped, library)}"
            who = person.who if several else 0
            if eased is None or kind is BlockKind.HARD:
                yield message("why-left-out", who=who, meant=name, because=because)
            else:
                yield message("why-swap", who=who, meant=name, to=eased.name, because=because)


def _because(movement: Movement, person: Person, day: Day, library: Library) -> str:
    """What keeps a person from a movement: 'gear', 'age', 'sign' or 'told'."""
    there = library.place.equipment | ({"board"} if library.place.boards else set())
    if not movement.equipment <= there:
        return "gear"
    if not age_limits.allows(person, movement):
        return "age"
    reasons = {
        cap.reason
        for cap in day.caps
        if cap.who == person.who and movement.load.get(cap.part, 0) > cap.most
    }
    if CapReason.AGE in reasons:
        return "age"
    return "sign" if CapReason.SIGN in reasons else "told"
