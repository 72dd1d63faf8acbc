"""What a movement asks of the body, and what is still offered to somebody who tells of a part.

`docs/planning.md` holds both tables; `tests/planning/test_spared.py` judges them by poses alone.
"""

from coach.files.library import load_library
from coach.group.limits import careful
from coach.group.limits import told as told_of
from coach.model.answers import Answer, Meaning
from coach.model.body import Feel, Part, Tissue
from coach.model.day import Day
from coach.model.demands import DEMANDS
from coach.model.person import AgeBand, Person
from coach.planning import adapt, forms, open_day
from docs.generate import table

#: What is told -> its answers, one after the other.
TOLD: dict[str, tuple[Answer, ...]] = {
    "sore skin": (
        Answer(Meaning.FEEL, feel=Feel.SORE), Answer(Meaning.TISSUE, tissue=Tissue.SKIN),
    ),
    "sore muscle": (
        Answer(Meaning.FEEL, feel=Feel.SORE), Answer(Meaning.TISSUE, tissue=Tissue.MUSCLE),
    ),
    "sore joint": (
        Answer(Meaning.FEEL, feel=Feel.SORE), Answer(Meaning.TISSUE, tissue=Tissue.JOINT),
    ),
    "hurting": (Answer(Meaning.FEEL, feel=Feel.HURTING),),
    "hurt": (Answer(Meaning.HURT),),
    "a sign": (Answer(Meaning.SIGN, sign="swelling"),),
}  # fmt: skip


def demands() -> str:
    """What the body does in a movement, the least load of each part, and where that is from."""
    rows = []
    for does, demand in DEMANDS.items():
        parts = ", ".join(f"{part} {amount}" for part, amount in demand.load.items())
        source = demand.source or "anatomy as we read it"
        rows.append((f"`{does}`", parts or "nothing", demand.sure, source))
    return table(("does", "asks at least", "how sure", "source"), rows)


def offered(part: Part, told: str, mode: str) -> tuple[int, int, int]:
    """How many kinds of boulders, hangs and other movements are still offered."""
    library = load_library("full", "tarnwick")
    people = tuple(Person(n, age=AgeBand.ADULT) for n in ((1,) if mode == "alone" else (1, 2)))
    day: Day = open_day(people, 90, library)
    for answer in TOLD[told]:
        about = (
            answer
            if answer.meaning is Meaning.TISSUE
            else Answer(answer.meaning, part, answer.feel, sign=answer.sign)
        )
        question = "tissue" if answer.meaning is Meaning.TISSUE else "hurting"
        if mode == "group" and question == "hurting" and len(TOLD[told]) == 1:
            day = careful(told_of(day, 1, about, library, question), 1, library)
        else:
            day = adapt(day, (), 0.0, 1, about, question, library).day
    able = forms.of(day, library)
    found = [m for m in library.movements.values() if able.allowed(m, people[0])]
    boulders = [m for m in found if "wall" in m.equipment]
    hangs = [m for m in found if m.hang is not None]
    return len(boulders), len(hangs), len(found) - len(boulders) - len(hangs)


def parts() -> str:
    """Part by what is told: boulders, hangs and other movements that are left, in every mode."""
    rows = []
    for part in Part:
        row = [part.value]
        for told in TOLD:
            alone, pair, group = (offered(part, told, mode) for mode in ("alone", "pair", "group"))
            text = " / ".join(map(str, alone))
            row.append(text if alone == pair == group else f"{text}, pair {pair}, group {group}")
        rows.append(tuple(row))
    return table(("part", *TOLD), rows)
