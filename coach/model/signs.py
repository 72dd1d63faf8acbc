"""Warning signs by name: what follows from one, which parts it can be about, and where it is from.

Nothing here is a diagnosis. One sign is enough, and no answer takes one back: a clinician does.

The signs of the head cover, in our own words, every item of the list that sport has published for
people without medical training (Echemendia RJ et al. 2023, Br J Sports Med 57(11):692-694, and the
edition before it), and what CDC Heads Up (2015) adds. They are not that list, and its owners have
nothing to do with them. Fingers: pop or snap and sudden pain on the palm side (Schoeffl, as
reported in 2016), swelling and bowstringing (Schweizer A 2001, J Biomech 34(2):217-223). The others
are general first aid as health services print it, seen in copies.
"""

from dataclasses import dataclass
from enum import StrEnum

from coach.model.body import Part


class AfterSign(StrEnum):
    """What a sign means for the rest of the session."""

    #: the part gets no load any more
    PART = "part"
    #: nothing gets load any more, and somebody has to call for help now
    EMERGENCY = "emergency"
    #: nothing gets load any more until somebody qualified has looked
    HEAD = "head"
    #: nothing gets load any more today
    OVER = "over"


@dataclass(frozen=True, slots=True)
class Sign:
    """A warning sign."""

    name: str
    after: AfterSign
    part: Part | None = None
    """The part that it is about by itself; None where that has to be told."""
    source: str = ""
    """The publication that names it; '' for general first aid."""

    @property
    def published(self) -> bool:
        """Whether a publication names it."""
        return bool(self.source)

    @property
    def grave(self) -> bool:
        """Whether it ends the session, whatever the part."""
        return self.after is not AfterSign.PART

    @property
    def key(self) -> str:
        """Its answer key."""
        return f"sign:{self.name}"


_HEADS = "Echemendia RJ et al. (2023) Br J Sports Med 57(11):692-694"
_CDC = "CDC Heads Up (2015)"
_PULLEY = "Schoeffl, as reported in 2016; Schweizer A (2001) J Biomech 34(2):217-223"
_PART, _NOW, _HEAD = AfterSign.PART, AfterSign.EMERGENCY, AfterSign.HEAD

SIGNS: dict[str, Sign] = {
    sign.name: sign
    for sign in (
        # a part
        Sign("pop", _PART, source=_PULLEY),
        Sign("palm-pain", _PART, Part.FINGERS, _PULLEY),
        Sign("bowstring", _PART, Part.FINGERS, _PULLEY),
        Sign("swelling", _PART),
        Sign("numb", _PART),
        Sign("pale", _PART),
        Sign("cannot-bend", _PART),
        Sign("gives-way", _PART),
        Sign("deformed", _PART),
        Sign("wound", _PART),
        # the head and the neck: somebody calls for help
        Sign("knocked-out", _NOW, Part.HEAD, _HEADS),
        Sign("neck-pain", _NOW, Part.NECK, _HEADS),
        Sign("double-vision", _NOW, Part.HEAD, _HEADS),
        Sign("weak-limbs", _NOW, Part.NECK, _HEADS),
        Sign("headache", _NOW, Part.HEAD, _HEADS),
        Sign("seizure", _NOW, Part.HEAD, _HEADS),
        Sign("drowsy", _NOW, Part.HEAD, _HEADS),
        Sign("vomiting", _NOW, Part.HEAD, _HEADS),
        Sign("confused", _NOW, Part.HEAD, _HEADS),
        Sign("restless", _NOW, Part.HEAD, _HEADS),
        Sign("dented-skull", _NOW, Part.HEAD, _HEADS),
        Sign("unequal-pupils", _NOW, Part.HEAD, _CDC),
        Sign("slurred", _NOW, Part.HEAD, _CDC),
        Sign("head-danger", _NOW, Part.HEAD, _HEADS),
        # the head: out until somebody qualified has looked
        Sign("head-knock", _HEAD, Part.HEAD, _HEADS),
        Sign("unsteady", _HEAD, Part.HEAD, _HEADS),
        Sign("foggy", _HEAD, Part.HEAD, _HEADS),
        Sign("not-right", _HEAD, Part.HEAD, _HEADS),
        Sign("light-hurts", _HEAD, Part.HEAD, _HEADS),
        Sign("mood", _HEAD, Part.HEAD, _HEADS),
        Sign("head-symptom", _HEAD, Part.HEAD, _HEADS),
        # the whole body
        Sign("back-pain", _NOW, Part.BACK),
        Sign("cannot-bear-weight", _NOW),
        Sign("chest-pain", _NOW, Part.CHEST),
        Sign("breathless", _NOW, Part.CHEST),
        Sign("faint", _NOW, Part.HEAD),
        Sign("bleeding", _NOW, Part.SKIN),
        Sign("fever", AfterSign.OVER),
    )
}
#: Somebody is hurt and nobody told where yet: on the record at once, so that no power cut loses it.
HURT = "hurt"
#: It was told where since, or it was somebody else: what stands from here on is told by itself.
SETTLED = "settled"
#: A sign that is told without its name: yes to a question about several, or one of an earlier day.
NAMELESS = ("yes", "before")
#: What is no name of a sign, though one stands.
UNNAMED = (*NAMELESS, HURT)


def known(name: str | None) -> Sign:
    """The sign of a name; one that is not listed is about the part it was told of."""
    return SIGNS.get(name or "", Sign(name or "yes", AfterSign.PART))


def strange(name: str | None) -> bool:
    """Whether a sign has a name that nobody here knows."""
    return name is not None and name not in SIGNS and name not in UNNAMED


#: Parts that are grave by being hurt at all, and the sign that this counts as.
GRAVE: dict[Part, str] = {
    Part.HEAD: "head-knock",
    Part.NECK: "neck-pain",
    Part.CHEST: "chest-pain",
}
#: Parts of which a sign is grave, whichever it is: those, and the back and the skin.
GRAVE_SIGN: dict[Part, str] = {**GRAVE, Part.BACK: "back-pain", Part.SKIN: "bleeding"}


def meant(name: str | None, part: Part | None) -> Sign:
    """What a sign of a part counts as; one that stands since an earlier day stays its part's."""
    sign = known(name)
    if (
        sign.after is AfterSign.PART
        and part in GRAVE_SIGN
        and name != "before"
        and not strange(name)
    ):
        return SIGNS[GRAVE_SIGN[part]]
    return sign


@dataclass(frozen=True, slots=True)
class HeadQuestion:
    """One question after a knock on the head: a yes to any of its signs is enough."""

    name: str
    sign: str
    """What a yes is kept as."""
    covers: tuple[str, ...]
    """The signs that it asks for."""


_DANGER, _SYMPTOM = "head-danger", "head-symptom"
HEAD_QUESTIONS: tuple[HeadQuestion, ...] = (
    HeadQuestion("head-awake", _DANGER, ("knocked-out", "seizure", "vomiting")),
    HeadQuestion("head-mind", _DANGER, ("confused", "drowsy", "restless", "slurred")),
    HeadQuestion("head-eyes", _DANGER, ("double-vision", "unequal-pupils")),
    HeadQuestion("head-neck", _DANGER, ("neck-pain", "headache", "dented-skull")),
    HeadQuestion("head-limbs", _DANGER, ("weak-limbs",)),
    HeadQuestion("head-steady", _SYMPTOM, ("faint", "unsteady", "foggy", "light-hurts")),
    HeadQuestion("head-self", _SYMPTOM, ("mood", "not-right")),
)

_ADVICE = {
    "neck-pain": "advice-still",
    "back-pain": "advice-still",
    "weak-limbs": "advice-still",
    "chest-pain": "advice-sit",
    "breathless": "advice-sit",
    "faint": "advice-flat",
    "bleeding": "advice-press",
    "cannot-bear-weight": "advice-leg",
}
_ADVICE_AFTER = {
    AfterSign.PART: "advice-part",
    AfterSign.EMERGENCY: "advice-call",
    AfterSign.HEAD: "advice-head",
    AfterSign.OVER: "advice-home",
}


def advice(sign: Sign) -> str:
    """The key of the sentence that says what to do."""
    return _ADVICE.get(sign.name, _ADVICE_AFTER[sign.after])


#: Part -> which words ask for the signs that fit it.
FITTING: dict[Part, str] = {
    Part.FINGERS: "hand",
    Part.WRISTS: "hand",
    Part.SKIN: "skin",
    Part.ELBOWS: "arm",
    Part.SHOULDERS: "arm",
    Part.BACK: "back",
    Part.NECK: "back",
    Part.HEAD: "back",
    Part.CHEST: "back",
    Part.HIPS: "leg",
    Part.KNEES: "leg",
    Part.ANKLES: "leg",
}
