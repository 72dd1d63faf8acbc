"""What a movement asks of the body, and what is still offered to somebody who tells of a part.

`docs/figures/loads.md` holds both; `tests/planning/test_spared.py` judges them by poses alone.
"""

from functools import cache

from coach.files.library import load_library
from coach.group import limits
from coach.model.answers import Answer, Meaning
from coach.model.body import Feel, Part, Tissue
from coach.model.day import Day, Library
from coach.model.demands import DEMANDS
from coach.model.person import AgeBand, Person
from coach.model.signs import SIGNS
from coach.model.start import Options
from coach.planning import adapt, forms, open_day
from coach.session.events import Started
from coach.session.step import new_session, step
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
        rows.append((f"`{does}`", parts or "nothing", demand.source))
    return table(("does", "asks at least", "what was published of it"), rows)


MODES = ("alone", "pair", "group", "roster", "--hurting")
#: What has to be asked after the first word: no roster and no option says it.
STAGED = frozenset({"sore skin", "sore muscle", "sore joint"})


@cache
def _library() -> Library:
    return load_library("full", "tarnwick")


def day_of(answers: tuple[Answer, ...], part: Part, mode: str) -> Day:
    """The day of somebody, the first of two but alone, after what they told of a part."""
    library = _library()
    people = tuple(Person(n, age=AgeBand.ADULT) for n in ((1,) if mode == "alone" else (1, 2)))
    first = answers[0]
    about = Answer(first.meaning, part, first.feel, sign=first.sign)
    if mode == "roster":
        return limits.day_of(Options(people, 90.0, (), complaints=((1, about.key),)), library)
    if mode == "--hurting":
        options = Options(people, 90.0, (), True, complaints=((1, about.key),))
        session, _ = step(new_session(library, options), Started(0.0))
        assert session.day is not None
        return session.day
    day = open_day(people, 90, library)
    if mode == "group" and len(answers) == 1:
        return limits.careful(limits.told(day, 1, about, library, "hurting"), 1, library)
    for answer in (about, *answers[1:]):
        question = "tissue" if answer.meaning is Meaning.TISSUE else "hurting"
        day = adapt(day, (), 0.0, 1, answer, question, library).day
    return day


def offered(answers: tuple[Answer, ...], part: Part, mode: str) -> tuple[int, int, int]:
    """How many kinds of boulders, hangs and other movements are still offered."""
    day, library = day_of(answers, part, mode), _library()
    able, person = forms.of(day, library), day.people[0]
    found = [m for m in library.movements.values() if able.allowed(m, person)]
    boulders = [m for m in found if "wall" in m.equipment]
    hangs = [m for m in found if m.hang is not None]
    return len(boulders), len(hangs), len(found) - len(boulders) - len(hangs)


def parts() -> str:
    """Part by what is told: boulders, hangs and other movements that are left, in every mode."""
    rows = []
    for part in Part:
        row = [part.value]
        for told, answers in TOLD.items():
            modes = MODES[:3] if told in STAGED else MODES
            left = {mode: _written(offered(answers, part, mode)) for mode in modes}
            same = len(set(left.values())) == 1
            row.append(left["alone"] if same else ", ".join(f"{m} {x}" for m, x in left.items()))
        rows.append(tuple(row))
    return table(("part", *TOLD), rows)


def signs() -> str:
    """Each sign: what is left of a day on which it is told, of whichever part."""
    rows = []
    for sign in SIGNS.values():
        told = (Answer(Meaning.SIGN, sign=sign.name),)
        found = {
            part: offered(told, part, "alone") for part in ([sign.part] if sign.part else Part)
        }
        usual = {part: offered(TOLD["a sign"], part, "alone") for part in Part}
        if set(found.values()) == {LYING}:
            left = f"{_written(LYING)}, whatever the part"
        else:
            assert all(found[part] == usual[part] for part in found)
            left = "as in the last column above"
        rows.append((f"`{sign.name}`", sign.part.value if sign.part else "any", left))
    return table(("sign", "of", "left"), rows)


#: Lying still, in two ways.
LYING = (0, 0, 2)


def _written(left: tuple[int, int, int]) -> str:
    return " / ".join(map(str, left))
