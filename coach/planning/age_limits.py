"""Ages: what the published cautions leave out for the young, one rule for everyone.

Owns the age rule. Under 16: no intensive finger-strength training (Morrison and Schoeffl
2007, Br J Sports Med 41:852-861), so no hang and no hard tries for the fingers. Under 18:
no feet-off or dynamic campusing (UIAA Medical Commission, as given by the BMC's guidance);
that 16 and 17 hang from the largest holds with the feet on only is our stricter choice, and so
is that nobody under 18 catches a hold with both hands on the wall, or does a movement of which
nobody said what the body does in it. An age that was not told counts as under 18. No answer
changes an age.
"""

from coach.model.body import Cap, CapReason, Part
from coach.model.demands import Does
from coach.model.movement import Family, Feet, Hold, Movement
from coach.model.person import AgeBand, Person

#: Tags of `Movement.leave_out` that each band falls under.
TAGS: dict[AgeBand, frozenset[str]] = {
    AgeBand.UNDER_16: frozenset({"under-16", "under-18"}),
    AgeBand.UNDER_18: frozenset({"under-18"}),
    AgeBand.UNKNOWN: frozenset({"under-18"}),
    AgeBand.ADULT: frozenset(),
}


def caps(person: Person) -> tuple[Cap, ...]:
    """The caps that age sets on parts: under 16 the fingers never get the hardest load."""
    if person.age is AgeBand.UNDER_16:
        return (Cap(person.who, Part.FINGERS, 2, CapReason.AGE, "under-16"),)
    return ()


def allows(person: Person, movement: Movement) -> bool:
    """Whether the published cautions let this person do a movement."""
    if not TAGS[person.age].isdisjoint(movement.leave_out):
        return False
    if person.age is AgeBand.ADULT:
        return True
    if not movement.does or Does.CATCHES in movement.does:
        return False
    hangs = movement.hang is not None or (
        movement.family is Family.BOARD and movement.load.get(Part.FINGERS, 0) > 0
    )
    if not hangs:
        return True
    if person.age is AgeBand.UNDER_16 or movement.hang is None:
        return False
    return movement.hang.hold is Hold.LARGEST and movement.hang.feet is Feet.ON
