"""Random sessions for the budget: routines of many blocks with movements of their own."""

from random import Random

from coach.model.body import Part
from coach.model.day import Library
from coach.model.movement import Family, Movement, Unit
from coach.model.person import AgeBand, Person
from coach.model.place import Place
from coach.model.routine import BlockKind, BlockSpec, Item, Routine

ALONE = (Person(1, age=AgeBand.ADULT),)
_LOADS = {BlockKind.EASY: 1, BlockKind.MIDDLE: 2, BlockKind.HARD: 3}
#: Kinds before and after the climbing, which stands once, in its order.
_BEFORE = (BlockKind.PULSE, BlockKind.MAT, BlockKind.BOARD)
_AFTER = (BlockKind.STRENGTH, BlockKind.COOL_DOWN)


def routine_of(dice: Random, blocks: int) -> Library:
    """A routine of that many blocks; with four or more it climbs in three tiers."""
    movements: dict[str, Movement] = {}
    climbing = [BlockKind.EASY, BlockKind.MIDDLE, BlockKind.HARD] if blocks >= 4 else []
    others = blocks - len(climbing)
    before = (others + 1) // 2
    kinds = [
        *(dice.choice(_BEFORE) for _ in range(before)),
        *climbing,
        *(dice.choice(_AFTER) for _ in range(others - before)),
    ]
    specs = []
    for number, kind in enumerate(kinds):
        items = []
        for place in range(1 if kind in _LOADS else dice.randint(1, 4)):
            name = f"m{number}-{place}"
            movements[name] = _movement(dice, name, kind)
            items.append(_item(dice, name, kind))
        floor = dice.choice((0.0, 30.0, 90.0)) if kind is not BlockKind.HARD else 0.0
        most = dice.choice((0.0, 0.0, 300.0, 2400.0)) if kind not in _LOADS else 0.0
        specs.append(BlockSpec(kind, tuple(items), floor, most))
    routine = Routine("random", {"en": "Random"}, 90, 1, tuple(specs))
    return Library(movements, routine, Place("anywhere", ()))


def _movement(dice: Random, name: str, kind: BlockKind) -> Movement:
    climbs = kind in _LOADS
    return Movement(
        name=name,
        family=Family.CLIMB if climbs else Family.MAT,
        unit=Unit.BOULDERS if climbs else Unit.SECONDS,
        amount=1 if climbs else dice.randint(10, 90),
        least=1,
        most=90,
        seconds_each=float(dice.randint(30, 120)) if climbs else 1.0,
        load={Part.FINGERS: _LOADS.get(kind, 0)},
        title={"en": name},
        cue={"en": name},
        form={"en": name},
        sides=1 if climbs else dice.choice((1, 2)),
        rest=float(dice.choice((0, 20, 45, 90))),
    )


def _item(dice: Random, name: str, kind: BlockKind) -> Item:
    if kind is BlockKind.EASY:
        return Item(name, 5, 3, dice.choice((0, 2)))
    if kind is BlockKind.MIDDLE:
        return Item(name, 5, 2, dice.choice((0, 1)))
    if kind is BlockKind.HARD:
        return Item(name, 1, dice.randint(1, 10))
    sets = dice.randint(1, 3)
    core = dice.random() < 0.1
    return Item(name, None, sets, sets if core else dice.choice((0, 0, 1)), core)
