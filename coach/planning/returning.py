"""Back after a break: what its reason leaves out, whatever the caps of single parts say.

After birth the stricter reading holds: no running or jumping before three months or with any
symptom (Goom T, Donnelly G, Brockwell E 2019, expert guidance for returning runners); for falls
off boulders nothing was found, so they wait with it. That hard pulls, planks and lying on the
front wait as well is our choice. Nobody here knows a date or a symptom, so it holds until it is
cleared.
"""

from dataclasses import replace

from coach.model.body import Cap, CapReason, Part
from coach.model.day import Day
from coach.model.demands import Does
from coach.model.movement import Movement

BIRTH, INJURY = "break:birth", "break:injury"
#: The breaks after which a clinician decides.
CLINICAL = ("break", "break:illness", INJURY, BIRTH)
#: What a birth is kept as on the record, where it stands until it is cleared.
BIRTH_SIGN = "after-birth"
#: What nobody does after birth until it is cleared.
LEFT_OUT = frozenset(
    {
        Does.JUMPS,
        Does.CATCHES,
        Does.DROPS_OFF,
        Does.CLIMBS,
        Does.HANGS,
        Does.PULLS,
        Does.LEANS_ON_HANDS,
        Does.LEANS_ON_FOREARMS,
        Does.LIES_ON_FRONT,
    }
)


#: The rule of the caps of an injury whose part nobody told.
SOMEWHERE = "injury-somewhere"


def sparing(day: Day) -> Day:
    """The day in which whoever is back after an injury of an untold part spares every part."""
    sign = CapReason.SIGN
    signed = {cap.who for cap in day.caps if cap.reason is sign}
    untold = [who for who, tag in day.told if tag == INJURY and who not in signed]
    caps = tuple(Cap(who, part, 0, sign, SOMEWHERE) for who in untold for part in Part)
    return replace(day, caps=(*day.caps, *caps)) if caps else day


def after_birth(day: Day, who: int) -> bool:
    """Whether a person is back after birth, and nobody has cleared it."""
    return (who, BIRTH) in day.told


def fits_after_birth(movement: Movement) -> bool:
    """Whether it may be done after birth; what nobody said anything of may not."""
    return bool(movement.does) and LEFT_OUT.isdisjoint(movement.does)
