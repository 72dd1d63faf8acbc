"""What somebody types about their body, as answers: 'left shoulder sore', 'ring finger pop'.

The option of the commands and the limits of a roster read the same words. What nobody here knows
is kept as a sign of that name: it counts as hurting, is said back, and is asked about.
"""

import re
from collections.abc import Sequence
from dataclasses import replace

from coach.model.answers import Answer, Meaning
from coach.model.body import Feel, Part, Tissue
from coach.model.signs import SIGNS

#: Sign -> words of which all have to be there, one group or another. Words are compared by how they
#: begin: 'swell' is 'swelling' and 'swells'.
_WORDS: dict[str, tuple[str, ...]] = {
    "knocked-out": ("knocked out", "blacked out", "unconscious"),
    "head-knock": ("head knock", "hit head", "hit my head", "knock head", "concuss"),
    "neck-pain": ("neck pain", "neck hurt"),
    "chest-pain": ("chest",),
    "back-pain": ("back fall", "back after fall", "fell back"),
    "double-vision": ("double vision", "seeing double", "blurred"),
    "headache": ("headache", "head hurt", "head pain"),
    "seizure": ("seizure", "convuls"),
    "vomiting": ("vomit", "nausea", "threw up"),
    "confused": ("confus",),
    "drowsy": ("drows",),
    "faint": ("faint", "dizz", "light-headed"),
    "breathless": ("breathless", "can't breathe"),
    "fever": ("fever", "feverish", "temperature"),
    "bleeding": ("bleed",),
    "weak-limbs": ("weak arms", "weak legs", "both legs numb", "both arms numb"),
    "cannot-bear-weight": ("bear weight", "can't stand", "can't walk"),
    "pop": ("pop", "snap", "crack"),
    "swelling": ("swell", "swollen"),
    "numb": ("numb", "tingl", "pins needles"),
    "cannot-bend": (
        "can't bend",
        "cannot bend",
        "won't bend",
        "can't straighten",
        "locked",
        "stuck",
    ),
    "gives-way": ("gives way", "giving way"),
    "deformed": ("odd angle", "deform", "changed shape"),
    "pale": ("pale", "blue", "white"),
    "wound": ("wound", "deep cut"),
}
#: Words for the kind of sore; the first that is there counts.
_TISSUES = {
    "joint": Tissue.JOINT, "joints": Tissue.JOINT, "tendon": Tissue.JOINT,
    "tendons": Tissue.JOINT, "ligament": Tissue.JOINT, "pulley": Tissue.JOINT,
    "muscle": Tissue.MUSCLE, "muscles": Tissue.MUSCLE, "skin": Tissue.SKIN,
}  # fmt: skip
#: The parts that sore skin is usually named with.
_SKIN_OF = frozenset({Part.FINGERS, Part.WRISTS, Part.SKIN})
_PARTS: dict[str, Part] = {part.value.rstrip("s"): part for part in Part}
_PAINS = {
    "slight": 2, "mild": 2, "little": 2,
    "moderate": 5, "medium": 5,
    "severe": 8, "bad": 8, "strong": 8, "terrible": 8,
}  # fmt: skip
#: Words that a part may come with and that say nothing more of it.
_PLAIN = frozenset(
    "a an the my our his her their this that it is are was in on at of to and both left right "
    "ring middle index little thumb side feels feeling got have has had some again still today "
    "hurt hurts hurting pain pains painful ache aches aching".split()
)
_HURTS = frozenset("hurt hurts pain pains painful ache aches aching".split())
_NO = frozenset({"no", "not", "without", "never"})
NOTHING = frozenset({"", "no", "none", "nothing"})
#: The worst word of a clause counts.
_WORST = (Feel.HURTING, Feel.SORE, Feel.STIFF, Feel.TIRED, Feel.FINE, Feel.FRESH)
_WELL = (Feel.FINE, Feel.FRESH)
#: Clauses of nothing but these say that all is well, as do those of "no" and a pain.
_ALL_WELL = frozenset("all everything i'm i am is feel feeling good ok okay great well".split())
_PAIN = frozenset("pain pains hurting painful ache aches hurts any at".split())


def complaints(text: str) -> tuple[Answer, ...]:
    """The answers in a text of clauses, parted by commas, semicolons or 'and'; none for 'no'.

    What kind of sore it is, where that is told, comes right after the part.
    """
    if text.strip().lower() in NOTHING:
        return ()
    found = []
    for clause in re.split(r",|;|\band\b", text.lower()):
        if clause.strip() and not _says_nothing(clause):
            for answer in _of_each_part(clause):
                kind = tissue_of(clause) if answer.part and answer.feel is Feel.SORE else None
                kind = None if kind is Tissue.SKIN else kind
                found += [answer, Answer(Meaning.TISSUE, tissue=kind)] if kind else [answer]
    return tuple(found)


def _says_nothing(clause: str) -> bool:
    """Whether a clause says that all is well: 'all good', 'no pain'."""
    words = set(_words(clause))
    return words <= _ALL_WELL or bool(words & _NO and words & _PAIN and words <= _NO | _PAIN)


def _of_each_part(clause: str) -> list[Answer]:
    """The answer in a clause, once for each part that it names; of a hand's sore skin the skin."""
    answer = complaint(clause)
    if answer.part is None:
        return [answer]
    parts = _parts(_words(clause))
    if answer.feel is Feel.SORE and tissue_of(clause) is Tissue.SKIN:
        parts = [Part.SKIN, *(part for part in parts if part not in _SKIN_OF)]
    return [replace(answer, part=part) for part in parts]


def _words(clause: str) -> list[str]:
    return re.findall(r"[a-z'-]+|\d+", clause.lower())


def _parts(words: list[str]) -> list[Part]:
    """The parts that are named, each once, in their order."""
    found = (_PARTS[word.rstrip("s")] for word in words if word.rstrip("s") in _PARTS)
    return list(dict.fromkeys(found))


def tissue_of(clause: str) -> Tissue | None:
    """The kind of sore that a clause tells, or None."""
    words = re.findall(r"[a-z]+", clause.lower())
    return next((kind for word, kind in _TISSUES.items() if word in words), None)


def split(
    answers: Sequence[Answer], who: int
) -> tuple[tuple[tuple[int, Part, Feel], ...], tuple[tuple[int, str], ...]]:
    """What a person told of a part in a plain word, and the rest by answer key."""
    plain, rest = [], []
    for n, answer in enumerate(answers):
        staged = [one.meaning for one in answers[n + 1 : n + 2]] == [Meaning.TISSUE]
        if answer.part and answer.feel and answer.number is None and not staged:
            plain.append((who, answer.part, answer.feel))
        else:
            rest.append((who, answer.key))
    return tuple(plain), tuple(rest)


def complaint(clause: str) -> Answer:
    """The answer in one clause; whatever it is, it lowers load."""
    words = _words(clause)
    part = next(iter(_parts(words)), None)
    sign = next((name for name, ways in _WORDS.items() if any(_there(w, words) for w in ways)), "")
    feel = next((feel for feel in _WORST if feel.value in words), None)
    if feel is not Feel.SORE and _HURTS & set(words) and _NO.isdisjoint(words):
        feel = Feel.HURTING
    elif feel in _WELL and _NO & set(words):
        feel = None  # not fine
    pains = [_PAINS[word] for word in words if word in _PAINS]
    pains += [min(int(word), 10) for word in words if word.isdigit()]
    if sign and not (sign == "chest-pain" and feel in (Feel.SORE, Feel.STIFF, Feel.TIRED)):
        own = SIGNS[sign].part
        return Answer(Meaning.SIGN, part=None if own else part, sign=sign)
    strange = [word for word in words if word not in _PLAIN and word.rstrip("s") not in _PARTS]
    if part is not None and feel is None and not pains and strange and _NO.isdisjoint(words):
        return Answer(Meaning.SIGN, part=part, sign="-".join(strange))
    if part is not None or feel is not None or pains:
        known = feel or Feel.HURTING
        number = pains[0] if pains and known is Feel.HURTING else None
        return Answer(Meaning.FEEL, part=part, feel=known, number=number)
    return Answer(Meaning.SIGN, sign="-".join(words) or "yes")


def _there(way: str, words: list[str]) -> bool:
    """Whether every word of a way stands in the clause, and none of them behind a 'not'."""
    for wanted in way.split():
        places = [i for i, word in enumerate(words) if word.startswith(wanted)]
        if not places or any(word in _NO for word in words[: places[0]]):
            return False
    return True
