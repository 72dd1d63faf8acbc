"""Back after a break: what its reason leaves out, whatever the caps of single parts say.

After birth the stricter reading holds: no running or jumping before three months or with any
symptom (Goom T, Donnelly G, Brockwell E 2019, expert guidance for returning runners); for falls
off boulders nothing was found, so they wait with it. That hard pulls, planks and lying on the
front wait as well is our choice. Nobody here knows a date or a symptom, so it holds until it is
cleared.

After an illness seven days without symptoms come first, then two weeks of least effort (Salman D
et al. 2021, BMJ 372:m4721): nothing, and then the same gentle mobility.
"""

from dataclasses import replace

from coach.model.body import Cap, CapReason, Part
from coach.model.day import Day
from coach.model.demands import Does
from coach.model.movement import Movement

BIRTH, INJURY, ILLNESS = "break:birth", "break:injury", "break:illness"
#: A break of which nobody told the reason: it may have been any of them.
UNEXPLAINED = "break"
#: Not seven days without symptoms yet, or nobody knows.
ILL = "ill"
#: A warning sign of an earlier day whose part nobody told.
SIGN_UNTOLD = "sign:untold"
#: The breaks after which a clinician decides.
CLINICAL = (UNEXPLAINED, ILLNESS, INJURY, BIRTH)
#: What a birth is kept as on the record, where it stands until it is cleared.
BIRTH_SIGN = "after-birth"
#: What an illness is kept as in the easy weeks, and while there are symptoms.
ILLNESS_SIGN, ILL_SIGN = "after-illness", "ill"
#: What part is loaded again for the first time: 'well:wrists', or all of them.
WELL, ALL = "well:", "all"
#: What nobody does after birth until it is cleared, nor in the easy weeks after an illness.
LEFT_OUT = frozenset(
    {
        Does.JUMPS,
        Does.CATCHES,
        Does.CATCHES_WITH_ONE_HAND,
        Does.DROPS_OFF,
        Does.CLIMBS,
        Does.HANGS,
        Does.PULLS,
        Does.LEANS_ON_HANDS,
        Does.LEANS_ON_FOREARMS,
        Does.LIES_ON_FRONT,
    }
)


#: The rules of caps on every part: an injury or a sign whose part nobody told, an illness.
SOMEWHERE, UNTOLD, NOT_YET_WELL = "injury-somewhere", "sign-untold", "not-yet-well"
EVERYWHERE = (SOMEWHERE, UNTOLD, NOT_YET_WELL)


def sparing(day: Day) -> Day:
    """The day in which whoever may load no part at all spares every part."""
    sign = CapReason.SIGN
    signed = {cap.who for cap in day.caps if cap.reason is sign}
    spare = [(who, SOMEWHERE) for who, tag in day.told if tag == INJURY and who not in signed]
    spare += [(who, UNTOLD) for who, tag in day.told if tag == SIGN_UNTOLD]
    spare += [(who, NOT_YET_WELL) for who, tag in day.told if tag == ILL]
    caps = tuple(Cap(who, part, 0, sign, rule) for who, rule in spare for part in Part)
    return replace(day, caps=(*day.caps, *caps)) if caps else day


def mobility_only(day: Day, who: int) -> bool:
    """Whether a person is back after an uncleared birth, an illness, or nobody knows what."""
    return any((who, tag) in day.told for tag in (BIRTH, ILLNESS, UNEXPLAINED))


def mobility(movement: Movement) -> bool:
    """Whether it is gentle mobility; what nobody said anything of is not."""
    return bool(movement.does) and LEFT_OUT.isdisjoint(movement.does)
