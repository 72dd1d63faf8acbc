"""An outside judge of what a movement uses: poses of a body, and the joints that bear in each.

It knows the names of our movements and what somebody looking on sees in them, and nothing of the
catalogue's loads, of the program's table of demands, or of planning. Anatomy as in any first
course: what touches the floor, the wall or a hold bears, and so does every joint between it and
the trunk; a joint that turns or bends on purpose is used, and one that holds what is beyond it.
What draws the shoulder blades is fixed along neck and spine. Where an onlooker could doubt, the
joint is in. Facts taken from elsewhere: gripping works both sides of the elbow (Forman DA et al.
2019, J Electromyogr Kinesiol 45:53-60); hands on the floor bear from the wrist up (Mier CM et al.
2014, Int J Exerc Sci 7:161-168).
"""

HAND = "fingers wrists elbows"
ARM = f"{HAND} shoulders"
LEG = "hips knees ankles"
TRUNK = "back neck"

#: Pose -> the parts that bear or are used in it.
POSES: dict[str, str] = {
    "lying still": "",
    "sitting": "",
    "standing": f"{LEG} back",
    "standing on one leg": f"{LEG} back",
    "walking": f"{LEG} back",
    "hopping": f"{LEG} back neck",
    "squatting": f"{LEG} back",
    "a knee on the floor": LEG,
    "a foot in front of a knee": f"{LEG} back",
    "weight on flat hands": f"{ARM} {TRUNK} skin",
    "weight on forearms": f"elbows shoulders {TRUNK}",
    "hips turning or folding": f"{LEG} back",
    "hips lifted off the floor": f"{LEG} {TRUNK} shoulders",
    "spine rounding or leaning": TRUNK,
    "spine turning": TRUNK,
    "head turning": "neck",
    "face down": f"{TRUNK} shoulders",
    "arm above the head or behind": "elbows shoulders neck",
    "arms swinging": "elbows shoulders neck",
    "shoulder blades moving": f"shoulders {TRUNK}",
    "fingers opening and closing": HAND,
    "wrists turning": HAND,
    "fingers pressed or pulled": f"{HAND}",
    "a hand round something": f"{HAND} skin",
    "a hand rubbing an arm": f"{HAND} skin",
    "pulling with the arms": f"{ARM} {TRUNK}",
    "hanging from the hands": f"{ARM} {TRUNK} skin",
    "stepping off": f"{LEG} back",
    "on the wall": f"{ARM} {TRUNK} {LEG} skin",
    "falling or landing": f"{ARM} {TRUNK} {LEG}",
}

_ALL_FOURS = ("a knee on the floor", "weight on flat hands")
_HANG = ("hanging from the hands", "a hand round something", "stepping off")
_HANG_ON_FEET = ("hanging from the hands", "a hand round something", "standing")
_CLIMB = ("on the wall", "falling or landing")
_BOULDERS = (
    "easy-traverse easy-boulders middle-boulders hard-try still-reach soft-catch far-catch "
    "two-hands-together step-off-landings quiet-feet long-arms hips-close soft-grip "
    "plan-from-the-floor step-through free-leg heel-first breathe-out slow-hands rest-spot "
    "climb-and-reverse hips-first hands-once past-and-settle one-hand-hop catch-and-still "
    "edge-settle low-under-the-slope pinch-and-lean stand-into-it low-press heel-and-pull "
    "rock-over-low squeeze-and-step quick-steps"
).split()

#: Movement -> the poses that somebody looking on sees in it.
SEEN: dict[str, tuple[str, ...]] = {
    "cat-arch": (*_ALL_FOURS, "spine rounding or leaning"),
    "seated-arch": ("sitting", "spine rounding or leaning"),
    "thread-the-arm": (*_ALL_FOURS, "spine turning", "arm above the head or behind"),
    "lying-sweep": ("spine turning", "arm above the head or behind"),
    "low-lunge": ("a knee on the floor", "a foot in front of a knee"),
    "lunge-turn": (*_ALL_FOURS, "a foot in front of a knee", "spine turning"),
    "deep-squat": ("squatting",),
    "rock-in-squat": ("a knee on the floor", "hips turning or folding"),
    "hip-switches": ("sitting", "hips turning or folding"),
    "ankle-rocks": ("a knee on the floor", "a foot in front of a knee"),
    "tall-reach": (
        "standing", "spine rounding or leaning", "arm above the head or behind",
        "a hand round something",
    ),
    "heel-pedals": ("weight on flat hands", "standing", "spine rounding or leaning"),
    "wall-heel-presses": ("weight on flat hands", "standing"),
    "heart-to-mat": (*_ALL_FOURS, "arm above the head or behind", "spine rounding or leaning"),
    "long-leg-rocks": ("a knee on the floor", "spine rounding or leaning"),
    "knee-over": ("hips turning or folding", "a hand round something", "pulling with the arms"),
    "frog-rocks": ("a knee on the floor", "weight on forearms", "hips turning or folding"),
    "steps-in-place": ("walking",),
    "mirror-steps": ("walking",),
    "statues": ("walking", "standing on one leg"),
    "number-steps": ("walking",),
    "side-steps": ("walking", "arm above the head or behind"),
    "knee-lifts": ("walking", "hips turning or folding"),
    "easy-shuffle": ("hopping",),
    "arm-swings": ("standing", "arms swinging"),
    "climb-the-air": ("walking", "arm above the head or behind"),
    "wrist-circles": ("wrists turning", "fingers opening and closing"),
    "palm-rocks": (*_ALL_FOURS, "wrists turning"),
    "finger-fans": ("fingers opening and closing",),
    "finger-waves": ("fingers opening and closing",),
    "fingertip-press": ("fingers pressed or pulled",),
    "palm-lowers": ("wrists turning", "fingers pressed or pulled"),
    "standing-pulls": ("standing", "a hand round something", "pulling with the arms"),
    "shoulder-circles": ("shoulder blades moving",),
    "wall-slides": ("standing", "arm above the head or behind", "weight on forearms"),
    "band-pulls": ("standing", "a hand round something", "shoulder blades moving"),
    "blade-push-ups": (*_ALL_FOURS, "shoulder blades moving"),
    "blade-wall-presses": ("standing", "weight on flat hands"),
    "band-turn-outs": ("standing", "a hand round something", "shoulder blades moving"),
    "wall-push-ups": ("standing", "weight on flat hands"),
    "knee-push-ups": _ALL_FOURS,
    "push-ups": ("weight on flat hands", "standing"),
    "band-fingers": ("fingers opening and closing", "fingers pressed or pulled"),
    "wrist-raises": ("wrists turning", "a hand round something"),
    "front-raises": ("face down", "arm above the head or behind"),
    "knee-plank": ("a knee on the floor", "weight on forearms"),
    "plank": ("weight on forearms", "standing"),
    "bridge-lifts": ("hips lifted off the floor",),
    "one-leg-stands": ("standing on one leg", "head turning"),
    "calf-raises": ("standing",),
    "slow-walk": ("walking",),
    "forearm-stroke": ("a hand rubbing an arm",),
    "palm-stretch": ("fingers pressed or pulled", "wrists turning"),
    "chest-opener": ("standing", "weight on forearms", "spine turning"),
    "quiet-breaths": ("lying still",),
    "legs-up": ("lying still",),
    "lying-twist": ("spine turning", "hips turning or folding"),
    "heel-rest": ("a knee on the floor", "spine rounding or leaning"),
    "feel-the-holds": ("standing", "a hand round something", "arm above the head or behind"),
    "largest-hang-feet-on": _HANG_ON_FEET,
    "scapular-pull-ups-feet-on": (*_HANG_ON_FEET, "shoulder blades moving"),
    "uneven-hang-feet-on": _HANG_ON_FEET,
    "edge-check-feet-on": _HANG_ON_FEET,
    "largest-hang": _HANG,
    "scapular-pull-ups": (*_HANG, "shoulder blades moving"),
    "uneven-hang": _HANG,
    "edge-check-larger": _HANG,
    "edge-check": _HANG,
    **dict.fromkeys(_BOULDERS, _CLIMB),
}  # fmt: skip
#: Where both hands leave their holds at once, or an onlooker could not say that they do not.
BOTH_HANDS = ("two-hands-together", "far-catch", "catch-and-still", "quick-steps")
#: What tires a part: nobody does it with a part that is sore.
STRENUOUS = frozenset("hard-try middle-boulders soft-catch far-catch two-hands-together".split())
#: What nobody does with these parts sore: they carry the whole of it.
TOO_MUCH: dict[str, frozenset[str]] = {
    "fingers": frozenset("uneven-hang edge-check edge-check-larger".split()),
    "shoulders": frozenset(
        "largest-hang scapular-pull-ups uneven-hang edge-check edge-check-larger plank push-ups "
        "knee-push-ups blade-push-ups".split()
    ),
    "elbows": frozenset("push-ups knee-push-ups".split()),
    "wrists": frozenset("push-ups knee-push-ups".split()),
    "knees": frozenset("deep-squat easy-shuffle".split()),
    "ankles": frozenset({"easy-shuffle"}),
    "back": frozenset({"plank"}),
    "skin": frozenset({"edge-check"}),
}
#: With the head or the chest in pain nothing but lying still is left.
WHOLE_BODY = frozenset({"head", "chest"})


def uses(movement: str, part: str) -> bool:
    """Whether a movement uses a part; one that nobody has looked at uses every part."""
    if movement not in SEEN:
        return True
    if part in WHOLE_BODY:
        return SEEN[movement] != ("lying still",)
    return any(part in POSES[pose].split() for pose in SEEN[movement])


def too_much_for_sore(movement: str, part: str) -> bool:
    """Whether a movement is more than a sore part should carry."""
    strenuous = movement in STRENUOUS and part not in WHOLE_BODY
    return movement not in SEEN or strenuous or movement in TOO_MUCH.get(part, ())
