"""The day bends to the key move of the hard boulder: focus, board, middle ones, and its drill.

Nothing here loads more than it may: a drill is a movement like any other, and the first of its
table that today's caps, age and answers allow is done, in the forms of `coach.planning.forms`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import zip_longest

from coach.model.day import Day, Library
from coach.model.key_moves import KeyMove
from coach.model.movement import Movement
from coach.model.plan import LEFT, RIGHT, Drill, Form, Step, StepKind
from coach.model.routine import BlockKind
from coach.model.tries import Boulder
from coach.planning import forms, timeline
from coach.planning.offers import hopeful

#: Tiers of drills in the order in which they are looked through: before the first try both hands
#: come before the single one; after two falls the closest comes first (common practice).
FIRST, AGAIN = ("middle", "easy"), ("hard", "middle", "easy")
#: Goes of a drill before a try (our choice of two to four: enough to feel it, far from fatigue).
LEAST, MOST = 2, 3
#: Seconds of rest between the drill and the try: the warmth and the feel of it are still there.
BEFORE_TRY = 90.0
#: And after the drill that comes once more: a whole rest stood before it.
BEFORE_AGAIN = 75.0

#: The try before which it is kept for two falls at the move.
THIRD = 3
#: How the steps of a drill are called by what they are for.
_CALLED = {Drill.FIRST: "", Drill.KEPT: ".again", Drill.ASKED: ".asked"}

On = Mapping[int, Boulder]


def key_move(library: Library, boulder: Boulder | None) -> KeyMove | None:
    """What is known of the key move of a boulder; None where nobody told it."""
    return library.key_moves.moves.get(boulder.about) if boulder is not None else None


def drill(
    day: Day, library: Library, who: int, boulder: Boulder | None, tiers: Sequence[str] = FIRST
) -> Movement | None:
    """The drill that a person may do now; None where there is none that they may."""
    move = key_move(library, boulder)
    if move is None:
        return None
    today = forms.of(day, library)
    person = next(person for person in day.people if person.who == who)
    for tier in tiers:
        for name in move.drills.get(tier, ()):
            movement = library.movements.get(name)
            if movement is not None and today.allowed(movement, person):
                return movement
    return None


def goes(movement: Movement) -> int:
    """How many goes of it are done before a try."""
    return max(LEAST, min(movement.amount, MOST))


def steps_of(
    day: Day,
    library: Library,
    who: int,
    boulder: Boulder | None,
    piece: str,
    why: Drill = Drill.FIRST,
) -> tuple[Step, ...]:
    """The drill as steps, each side for itself, the last one followed by the rest before the try.

    `piece` is that of the try, with which they stay and go. Only the hand that does the
    key move practises, where it was told.
    """
    tiers = FIRST if why is Drill.FIRST else AGAIN
    movement = drill(day, library, who, boulder, tiers)
    if movement is None:
        return ()
    laid = forms.of(day, library).lay("", movement, goes(movement), BlockKind.HARD, (who,))
    if laid is None:
        return ()
    found, sides = [], _sides(movement, boulder)
    for side in sides:
        name = f"{piece}{_CALLED[why]}.drill-{who}"
        found.append(
            replace(
                laid,
                name=f"{name}.{side}" if side else name,
                side=side,
                half=side,
                other="".join(f"{name}.{one}" for one in sides if one != side),
                turn=who,
                piece=piece,
                drill=why,
                forms=_of(laid.forms, who),
                intended=_of(laid.intended, who),
            )
        )
    before = BEFORE_TRY if tiers == FIRST else BEFORE_AGAIN
    found[-1] = replace(found[-1], rest=max(before, found[-1].rest))
    return tuple(found)


def _of(each: Sequence[Form], who: int) -> tuple[Form, ...]:
    return tuple(form for form in each if form.who == who)


def _sides(movement: Movement, boulder: Boulder | None) -> tuple[str, ...]:
    if movement.sides == 1:
        return ("",)
    if boulder is not None and boulder.hand:
        return (boulder.hand,)
    return (LEFT, RIGHT)


def before_first_tries(
    steps: Sequence[Step], day: Day, library: Library, on: On
) -> tuple[Step, ...]:
    """The steps with the drills of everybody who has one before the first round of tries.

    They are laid as if every gate were open, like the tries; what is done of them before that is
    for `coach.planning.consequences`. Whoever has one there already gets no other.
    """
    day = hopeful(day)
    first = next((i for i, step in enumerate(steps) if step.kind is StepKind.TRY), None)
    there = {step.turn for step in steps if is_drill(step) and not is_kept(step)}
    if first is None:
        return tuple(steps)
    piece = steps[first].whole
    round_ = [s.turn for s in steps[first:] if s.whole == piece]
    each = [
        steps_of(day, library, who, on.get(who), piece)
        for who in dict.fromkeys(turn for turn in round_ if turn and turn not in there)
    ]
    drilled = _one_after_the_other([steps for steps in each if steps], library)
    return (*steps[:first], *drilled, *steps[first:])


def once_more(steps: Sequence[Step], day: Day, library: Library, on: On) -> tuple[Step, ...]:
    """The steps with the drill of each person once more before the third try, closest to the move.

    It is done only after two falls at the move, else it goes: so its load and seconds are planned
    from the start, and nothing is added to a day that is under way.
    """
    found, day = list(steps), hopeful(day)
    for who, boulder in on.items():
        tries = [one for one in found if one.kind is StepKind.TRY and one.turn == who]
        if len(tries) < THIRD or any(is_kept(one) and one.turn == who for one in found):
            continue
        third = tries[THIRD - 1]
        at = found.index(third)
        found[at:at] = steps_of(day, library, who, boulder, third.whole, Drill.KEPT)
    return tuple(found)


def fitting(
    steps: Sequence[Step], library: Library, who: int, boulder: Boulder
) -> tuple[Step, ...]:
    """The steps without the drills of a person that resemble nothing of this boulder."""
    move = key_move(library, boulder)
    names = {name for tier in move.drills.values() for name in tier} if move is not None else set()
    return tuple(
        step
        for step in steps
        if not (is_drill(step) and step.turn == who and step.forms[0].movement not in names)
    )


def is_kept(step: Step) -> bool:
    """Whether a step is the drill that is kept for two falls at the move."""
    return step.drill is Drill.KEPT


def put_off(steps: Sequence[Step]) -> tuple[Step, ...]:
    """The steps with the kept drill, now first, before the try after the next; else without it."""
    who = steps[0].turn
    mine = [one for one in steps if is_kept(one) and one.turn == who]
    left = [one for one in steps if one not in mine]
    tries = [at for at, one in enumerate(left) if one.kind is StepKind.TRY and one.turn == who]
    if len(tries) > 1:
        left[tries[1] : tries[1]] = mine
    return tuple(left)


def _one_after_the_other(each: Sequence[Sequence[Step]], library: Library) -> list[Step]:
    """The drills of several people: while one rests before the try, the next one drills."""
    found: list[Step] = []
    for steps in each[:-1]:
        *before, last = steps
        movement = library.movements[last.forms[0].movement]
        found += [*before, replace(last, rest=movement.rest)]
    return [*found, *(each[-1] if each else ())]


def is_drill(step: Step) -> bool:
    """Whether a step is the drill before a try: goes by feel that are one person's turn."""
    return step.drill is not None


def seconds(day: Day, library: Library, on: On) -> float:
    """Seconds that the drills take before the first tries and again: the plan leaves them free."""
    day = hopeful(day)
    found = 0.0
    for who, boulder in on.items():
        for why in (Drill.FIRST, Drill.KEPT):
            steps = steps_of(day, library, who, boulder, "", why)
            found += timeline.seconds_of(steps) + (steps[-1].rest if steps else 0.0)
    return found


def focuses(library: Library, boulders: Sequence[Boulder]) -> tuple[str, ...]:
    """The focuses that the key moves want, the best first, each once."""
    wanted = [move.focus for one in boulders if (move := key_move(library, one)) is not None]
    in_turn = [name for names in zip_longest(*wanted) for name in names if name is not None]
    return tuple(dict.fromkeys(in_turn))
