"""The script: every sentence that can be spoken, composed with all kinds of values.

It is for reading aloud. What stands in a pack with slots is only half a sentence; whether "1 hard
tries" can come of it is seen once every slot has been filled with nothing, one and several.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import product

from coach.language.pack import Language
from coach.model.messages import Message, Value
from coach.model.voice_profile import seconds

#: Heads of keys that are only ever shown or printed.
SHOWN = ("screen-", "word-", "web-", "large-", "label-", "sure-", "dose-")
#: What a slot that counts is filled with.
COUNTS: tuple[int, ...] = (0, 1, 2, 12)
#: And where a sentence has several of them.
FEW: tuple[int, ...] = (0, 1, 3)
#: What the other slots are filled with, by name; every name here is of the invented hall.
VALUES: Mapping[str, tuple[Value, ...]] = {
    "part": ("fingers", "back"),
    "who": (2,),
    "people": ("2 5", "1+2 5+6"),
    "answer": ("easier",),
    "about": ("skip",),
    "first": ("slate",),
    "second": ("flint",),
    "third": ("basalt",),
    "boulder": ("slate 4",),
    "device": ("microphone",),
    "station": ("wall",),
    "name": ("Runa",),
    "reading": ("42.5",),
    "sure": ("our choice",),
    "gate": ("gate-fingers",),
    "because": ("ended-by-foot", "because-age"),
    "block": ("easy",),
    "side": ("left",),
    "source": ("voice",),
    "what": ("mobility",),
    "instead": ("easier",),
    "kind": ("climb",),
    "variation": ("one-swing",),
    "result": ("height-middle",),
    "height": ("height-top",),
    "hand": ("hand-left",),
    "plan": ("Left foot high, then the pinch.",),
    "parts": ("hips", "hips ankles"),
    "sign": ("weird clicky thing",),
    "tries": ("2 5",),
    "gone": (0, "cat-arch"),
}
#: Counts of which one is part of the other; a mix in which it is more can't be spoken.
PART_OF: Mapping[str, tuple[str, ...]] = {
    "times": ("within",),
    "least": ("most",),
    "done": ("weeks", "count"),
    "move": ("moves",),
}
#: What the slots are called that a movement fills.
OF_MOVEMENTS = frozenset({"cue", "form", "movement", "dose", "to", "meant"})
_SLOT = re.compile(r"\{([a-z_]+)(\?)?")
_END = re.compile(r"(?<=[.?!;:])\s+")


@dataclass(frozen=True, slots=True)
class ScriptLine:
    """One thing that may be said."""

    key: str
    text: str

    @property
    def sentences(self) -> list[str]:
        """Its sentences; a semicolon or colon ends one as well, for the voice rests there."""
        return [one for one in _END.split(self.text) if one]

    @property
    def words(self) -> int:
        """Words of its longest sentence."""
        return max((len(one.split()) for one in self.sentences), default=0)

    def seconds(self, pace: float) -> float:
        """Seconds that it takes at so many words a minute."""
        return seconds(self.text, pace)


def script(language: Language) -> Iterator[ScriptLine]:
    """Every line, key by key, in the order of the pack; a line that two keys share comes twice."""
    for key, sentence in language.says.items():
        if key.startswith(SHOWN):
            continue
        told: set[str] = set()
        for values in _values(language, key, sentence):
            text = language.text(Message(key, tuple(sorted(values.items()))))
            if text and text not in told:
                told.add(text)
                yield ScriptLine(key, text)


def _values(language: Language, key: str, sentence: str) -> Iterator[dict[str, Value]]:
    """The fillings of a sentence: movements in turn, counts in every mix."""
    slots = dict.fromkeys(name for name, _ in _SLOT.findall(sentence))
    counting = [name for name in slots if _counts(name, sentence)]
    some = COUNTS if len(counting) < 2 else FEW
    fixed = {name: VALUES.get(name, ("",)) for name in slots if name not in counting}
    moved = OF_MOVEMENTS & slots.keys()
    names = tuple(language.movements) if moved & {"cue", "form"} else tuple(language.movements)[:3]
    for movement in names if moved else ("",):
        for filled in product(*fixed.values()):
            for counts in product(some, repeat=len(counting)):
                made: dict[str, Value] = dict(zip(fixed, filled, strict=True))
                made |= dict(zip(counting, counts, strict=True))
                made |= {name: movement for name in ("movement", "to", "meant") if movement}
                if _possible(made):
                    yield made


def _possible(made: Mapping[str, Value]) -> bool:
    """Whether no part is more than its whole, and no whole is nothing."""
    for part, wholes in PART_OF.items():
        for whole in wholes:
            some, every = made.get(part), made.get(whole)
            if isinstance(some, int) and isinstance(every, int) and not some <= every > 0:
                return False
    return True


def _counts(name: str, sentence: str) -> bool:
    """Whether a slot takes a number."""
    if name == "gone":
        return False  # a movement, or none
    return f"{{{name}?" in sentence or (name not in VALUES and name not in OF_MOVEMENTS)
