"""A scale's reading beside the edge check: never needed, told by key alone, raises no load.

It is the kilograms that the hands held on the edge, both feet on the ground: what a scale at the
edge shows, or the weight of the body less what a scale under the feet shows. So a low one can only
mean weaker. With the feet off the hands hold the whole weight, whoever hangs: it takes none.
One that is below one's own usual keeps the fingers' gate shut, or shuts it again.
Only where the place has a scale, and only of somebody who hung and whose fingers may be loaded.
"""

from dataclasses import replace

from coach.model import scale
from coach.model.body import COMPLAINTS, Feel, Part, ceiling
from coach.model.day import Library
from coach.model.facts import ScaleRead
from coach.model.messages import message
from coach.model.movement import Feet
from coach.model.plan import Form, Step, StepKind
from coach.model.usual_edge import EdgeSetup
from coach.planning.edge_comparison import is_low
from coach.session.draft import Draft
from coach.session.state import Weighing

#: The question that follows the hang of the edge check.
CHECK = "gate-fingers"
_RANGE = {"least": scale.written(scale.LEAST), "most": scale.written(scale.MOST)}


def begin(draft: Draft, question: str, who: int) -> None:
    """How the edge felt is asked: from now on its reading may be told."""
    s = draft.s
    if question != CHECK or "scale" not in s.library.place.equipment or s.day is None:
        return
    form = _hung(draft, who)
    spared = ceiling(s.day.caps, who, Part.FINGERS) == 0
    if form is None or spared or _feet(form.movement, s.library) is not Feet.ON:
        draft.course = replace(draft.course, weighing=None)
    elif s.course.weighing is None or s.course.weighing.who != who or s.course.weighing.checked:
        draft.course = replace(draft.course, weighing=Weighing(who))


def setup(draft: Draft, who: int) -> EdgeSetup | None:
    """What a person hung from last, and how; None where nobody has hung yet."""
    form = _hung(draft, who)
    if form is None:
        return None
    person = next(p for p in draft.s.options.people if p.who == who)
    return EdgeSetup(person.edge, form.movement, _feet(form.movement, draft.s.library) or Feet.OFF)


def _hung(draft: Draft, who: int) -> Form | None:
    """What a person last hung in; at one board each has a turn of their own."""
    hangs = (step.form(who) for step in reversed(draft.course.past) if step.hangs)
    return next((form for form in hangs if form is not None and form.movement), None)


def _feet(movement: str, library: Library) -> Feet | None:
    found = library.movements.get(movement)
    return found.hang.feet if found is not None and found.hang is not None else None


def judge(draft: Draft, who: int, reading: float) -> bool:
    """Whether a reading is now known to be low and was not before.

    The last one told counts: one that is not low takes back what an earlier one said, and opens
    nothing.
    """
    day, mark = draft.day, (who, "edge:low")
    past = [usual for number, usual in draft.s.options.usual if number == who]
    hung = setup(draft, who)
    low = hung is not None and is_low(reading, hung, past)
    others = tuple(item for item in day.told if item != mark)
    draft.day = replace(day, told=(*others, mark) if low else others)
    return low and mark not in day.told


def checked(draft: Draft, who: int, feel: Feel) -> float | None:
    """How the edge felt is known: the reading that was told with it, None if none was yet."""
    weighing = draft.course.weighing
    if weighing is None or weighing.who != who:
        return None
    draft.course = replace(
        draft.course, weighing=None if feel in COMPLAINTS else replace(weighing, checked=True)
    )
    return weighing.reading


def step_begins(draft: Draft, step: Step) -> None:
    """A new hang or a hard try: what the scale shows from now on is not of that check."""
    if step.hangs or step.kind is StepKind.TRY:
        draft.course = replace(draft.course, weighing=None)


def told(draft: Draft, who: int, text: str) -> bool:
    """A reading was told; the last one told counts. Whether it shuts what how it felt opened."""
    weighing, reading = draft.course.weighing, scale.kilograms(text)
    draft.listening = replace(draft.listening, heard=None)
    if weighing is None or draft.s.weighs != who:
        draft.show(message("reading-not-now"))
    elif reading is None or not scale.believed(reading):
        draft.show(message("reading-range", **_RANGE))
    else:
        draft.listening = replace(
            draft.listening, did=message("reading", reading=scale.written(reading))
        )
        if weighing.checked:
            draft.record(ScaleRead(draft.now, who, reading))
            return judge(draft, who, reading)
        draft.course = replace(draft.course, weighing=replace(weighing, reading=reading))
    return False
