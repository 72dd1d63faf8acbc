"""What the body does in a movement, and the least that each of those asks of every part.

One table, `DEMANDS`. A movement of the catalogue names what is done in it (`does`); its load on a
part is at least the most that any of those asks. A part that the movement neither loads nor says
that it spares counts as loaded: what nobody looked at counts as risky.

All of it is our choice: which parts take part is anatomy as we read it, and a source stands beside
what was published of a part or of an order. 1 is the least load there is, so that a part that hurts
is kept from everything that uses it at all.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from coach.model.body import HIGHEST_LOAD, Load, Part


class Does(StrEnum):
    """Something that the body does in a movement."""

    LIES = "lies"
    SITS = "sits"
    STANDS = "stands"
    STEPS = "steps"
    JUMPS = "jumps"
    SQUATS = "squats"
    LUNGES = "lunges"
    KNEELS = "kneels"
    MOVES_HIPS = "moves-hips"
    LIFTS_HIPS = "lifts-hips"
    BENDS_BACK = "bends-back"
    TURNS_BACK = "turns-back"
    TURNS_HEAD = "turns-head"
    LIES_ON_FRONT = "lies-on-front"
    MOVES_SHOULDERS = "moves-shoulders"
    RAISES_ARMS = "raises-arms"
    SWINGS_ARMS = "swings-arms"
    STROKES_ARMS = "strokes-arms"
    MOVES_FINGERS = "moves-fingers"
    MOVES_WRISTS = "moves-wrists"
    PRESSES_FINGERS = "presses-fingers"
    DRAWS_FINGERS = "draws-fingers"
    LEANS_ON_HANDS = "leans-on-hands"
    LEANS_ON_FOREARMS = "leans-on-forearms"
    GRIPS = "grips"
    PULLS = "pulls"
    HANGS = "hangs"
    STEPS_DOWN = "steps-down"
    DROPS_OFF = "drops-off"
    #: a hold is caught with both hands, or nobody says with how many
    CATCHES = "catches"
    CATCHES_WITH_ONE_HAND = "catches-with-one-hand"
    #: hands and feet are placed, one at a time: no hold is caught
    PLACES = "places"
    CLIMBS = "climbs"


@dataclass(frozen=True, slots=True)
class Demand:
    """The least load that something asks of the parts that it uses."""

    load: Load
    source: str = ""
    """What was published of these parts or of their order; '' for nothing that was found."""


_HAND = (Part.FINGERS, Part.WRISTS, Part.ELBOWS)
_ARM = (*_HAND, Part.SHOULDERS, Part.NECK, Part.BACK, Part.SKIN)
_LEG = (Part.HIPS, Part.KNEES, Part.ANKLES)
#: Effort: the pulse rises, and the head comes along. Only lying and sitting still asks none.
_EFFORT = (Part.HEAD, Part.CHEST)


def _of(*parts: Part, source: str = "", **more: int) -> Demand:
    load = dict.fromkeys((*parts, *_EFFORT), 1)
    load |= {Part(name): amount for name, amount in more.items()}
    return Demand(load, source)


_FORMAN = "Forman DA et al. (2019) J Electromyogr Kinesiol 45:53-60: wrist extensors in every grip"
_PRINOLD = "Prinold JAI et al. (2016) J Sci Med Sport 19:629-635: the space in the shoulder narrows"
_MIER = "Mier CM et al. (2014) Int J Exerc Sci 7:161-168: 80 to 98 % of body weight on the hands"
_HART = "Hart HF et al. (2022) Br J Sports Med: walking loads the kneecap with 0.9 body weights"
_NIU = "Niu W et al. (2014) Biomed Res Int 126860: the force of landing grows with the height"

_CATCHING = _of(*_LEG, Part.NECK, Part.BACK, fingers=2, wrists=1, elbows=2, shoulders=2, skin=2)

DEMANDS: Mapping[Does, Demand] = {
    Does.LIES: Demand({}),
    Does.SITS: Demand({}),
    Does.STANDS: _of(*_LEG, Part.BACK),
    Does.STEPS: _of(*_LEG, Part.BACK, source=_HART),
    Does.JUMPS: _of(Part.NECK, Part.BACK, source=_NIU, hips=1, knees=2, ankles=2),
    Does.SQUATS: _of(*_LEG, Part.BACK, source=f"{_HART}, a squat with more"),
    Does.LUNGES: _of(*_LEG, Part.BACK),
    Does.KNEELS: _of(*_LEG),
    Does.MOVES_HIPS: _of(*_LEG, Part.BACK),
    Does.LIFTS_HIPS: _of(*_LEG, Part.BACK, Part.NECK, Part.SHOULDERS),
    Does.BENDS_BACK: _of(Part.BACK, Part.NECK),
    Does.TURNS_BACK: _of(Part.BACK, Part.NECK),
    Does.TURNS_HEAD: _of(Part.NECK),
    Does.LIES_ON_FRONT: _of(Part.NECK, Part.BACK, Part.SHOULDERS),
    # what draws the blades is fixed along neck and spine
    Does.MOVES_SHOULDERS: _of(Part.SHOULDERS, Part.NECK, Part.BACK),
    # the elbow holds the forearm up
    Does.RAISES_ARMS: _of(Part.SHOULDERS, Part.ELBOWS, Part.NECK),
    Does.SWINGS_ARMS: _of(Part.SHOULDERS, Part.ELBOWS, Part.NECK),
    Does.STROKES_ARMS: _of(*_HAND, Part.SKIN),
    Does.MOVES_FINGERS: _of(*_HAND),
    Does.MOVES_WRISTS: _of(*_HAND),
    Does.PRESSES_FINGERS: _of(*_HAND, Part.SKIN),
    Does.DRAWS_FINGERS: _of(*_HAND),
    Does.LEANS_ON_HANDS: _of(*_ARM, source=_MIER),
    Does.LEANS_ON_FOREARMS: _of(Part.ELBOWS, Part.SHOULDERS, Part.NECK, Part.BACK),
    Does.GRIPS: _of(*_HAND, Part.SKIN, source=_FORMAN),
    Does.PULLS: _of(*_ARM, source=_FORMAN),
    Does.HANGS: _of(*_ARM, source=_PRINOLD),
    Does.STEPS_DOWN: _of(*_LEG, Part.BACK, source=_NIU),
    # a bad fall takes arms and neck: from memory
    Does.DROPS_OFF: _of(
        *_LEG, Part.BACK, Part.NECK, Part.WRISTS, Part.ELBOWS, Part.SHOULDERS, source=_NIU
    ),
    Does.CATCHES: _CATCHING,
    Does.CATCHES_WITH_ONE_HAND: _CATCHING,
    # said of what climbs anyway: what climbing asks is asked
    Does.PLACES: Demand({}),
    # it grips, pulls, steps and comes off: it uses every part
    Does.CLIMBS: _of(*Part),
}


def demanded(does: Iterable[Does]) -> dict[Part, int]:
    """The least load of each part that these ask, 1 to 3; parts that none asks are left out."""
    found: dict[Part, int] = {}
    for one in does:
        for part, amount in DEMANDS[one].load.items():
            found[part] = max(amount, found.get(part, 0))
    return found


def whole_load(does: Iterable[Does], stated: Load, spares: Iterable[Part]) -> dict[Part, int]:
    """The load of every part that gets any: what is asked, what is stated, and what is unknown.

    `stated` is what the movement says of parts, 0 included; `spares` are parts that it says it
    leaves alone. A part that nothing is known of counts as much as the most loaded one, and at
    least 1. ValueError, with the part, where what is said to be spared is asked for.
    """
    asked = demanded(does)
    spared = {part for part, amount in stated.items() if not amount} | set(spares)
    for part in Part:
        if part in spared and part in asked:
            raise ValueError(part.value)
    known = {part: max(asked.get(part, 0), stated.get(part, 0)) for part in Part}
    unknown = min(max((*known.values(), 1)), HIGHEST_LOAD)
    return {
        part: amount or unknown for part, amount in known.items() if amount or part not in spared
    }
