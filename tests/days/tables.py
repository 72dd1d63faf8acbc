"""What is written as data, as the program reads it: a line an entry, with what follows from it.

Answers, questions, warning signs, what the body does in each movement and what that loads.
"""

import hashlib
from collections.abc import Callable, Iterator
from itertools import product

from coach.files.library import load_library
from coach.files.movements import load_movements
from coach.files.words import load_language
from coach.model import answers, breath, demands, movement, questions, scale, signs
from coach.model.body import Part
from coach.model.doses import dose_of
from coach.model.movement import Family, Feet, Grip, Hang, Hold, Unit
from coach.model.routine import BlockKind
from coach.model.voice_profile import seconds

Plain = Callable[[object], str]
ROUTINES = ("full", "quick", "rests", "outdoors", "technique-day")
WRITTEN = ("42.5", "42,5 kg", "-3", "1234567", "9kg", "0.1234", "kg", "")
READINGS = (0.0, 0.99, 1.0, 42.5, 42.1234, 200.0, 200.1)
NO_ANSWERS = (
    "",
    "none",
    "cause:none",
    "age:none",
    "feel:none",
    "focus:5",
    "minutes:x",
    "hand:none",
)

IN_A_BREATH = ("topped", "cause:foot", "felt-harder", "closer", "move:3", "style:roof", "hand:left")


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:6]


def _answers(plain: Plain) -> Iterator[str]:
    for meaning in answers.Meaning:
        nature = meaning.nature
        yield f"{meaning} {nature.tendency} {' '.join(meaning.numbered)} #{_digest(plain(nature))}"
    keys = sorted(load_language("en", load_movements(())).answers)
    for key in keys:
        answer = answers.parse(key)
        yield f"{answer.key} {answer.tendency} #{_digest(plain(answer))}"
    for key in NO_ANSWERS:
        try:
            yield f"{key!r} {answers.parse(key).key}"
        except ValueError as error:
            yield str(error)
    for name in ("ANYTIME", "SHOWN", "CALLED", "LETTERED", "BREAKS", "AGES", "CLEARERS"):
        yield f"{name} {' '.join(getattr(answers, name))}"
    told = [answers.parse(one) for one in IN_A_BREATH]
    for some in product(told, repeat=2):
        meant = breath.in_one_breath(some)
        yield f"{'+'.join(one.key for one in some)} {' '.join(one.key for one in meant)}"
    three = breath.in_one_breath(told[:3])
    yield f"three {[one.key for one in three]} none {breath.in_one_breath(())}"


def _questions(plain: Plain) -> Iterator[str]:
    skin = [answers.parse(one) for one in (*questions.SKIN, "part:knees", "yes")]
    for name, one in questions.QUESTIONS.items():
        meant = " ".join(questions.as_asked(name, answer).key for answer in skin)
        yield f"{name} {one.words} {plain(one)} #{_digest(meant)}"
    for kind in ("OF_TRIES", "INJURY", "OF_A_TRY", "DESCRIBED"):
        yield f"{kind} {' '.join(sorted(getattr(questions, kind)))}"
    for many in (1, 2, 8, 9):
        try:
            yield questions.Question("x", ("yes",) * many).name
        except ValueError as error:
            yield str(error)


def _signs(plain: Plain) -> Iterator[str]:
    names = (None, *signs.SIGNS, *signs.UNNAMED, "no such sign")
    for name in names:
        sign = signs.known(name)
        told = [signs.meant(name, part).name for part in (None, *Part)]
        yield (
            f"{name} {plain(sign)} {sign.published} {sign.grave} {sign.key} {signs.advice(sign)}"
            f" {signs.strange(name)} #{_digest(' '.join(told))}"
        )
    yield from (f"{one.name} {one.sign} {' '.join(one.covers)}" for one in signs.HEAD_QUESTIONS)
    yield from (f"{part} {words}" for part, words in signs.FITTING.items())


def _movements(plain: Plain) -> Iterator[str]:
    for name, one in load_movements(()).items():
        load = " ".join(f"{part} {amount}" for part, amount in sorted(one.load.items()))
        doses = [dose_of(one, block) for block in BlockKind]
        yield f"{name} {one.names_hands} {load} #{_digest(plain(one) + str(doses))}"
    yield f"no movement {[dose_of(None, block) for block in BlockKind]}"
    for does, demand in demands.DEMANDS.items():
        yield f"{does} {plain(demand.load)}"
    hangs = [None, *(Hang(*one) for one in product(Hold, list(Grip)[:1], Feet))]
    for hang in hangs:
        yield f"{plain(hang)} {plain(movement.hung(hang))}"
    some = (*((one,) for one in demands.Does), ())
    for family, unit in product(Family, Unit):
        shown = [
            plain(movement.shown(frozenset(does), family, unit, hang, things))
            for does in some
            for hang in (None, hangs[1], hangs[2])
            for things in ((), ("wall",), ("board", "band"), ("bar",), ("weight",))
        ]
        yield f"{family} {unit} #{_digest(' '.join(shown))}"
    for done in some:
        for stated in ({}, {Part.FINGERS: 3}, {Part.KNEES: 0}):
            try:
                yield f"{' '.join(done)} {plain(demands.whole_load(done, stated, (Part.SKIN,)))}"
            except ValueError as error:
                yield f"{' '.join(done)} needs {error}"


def _routines(plain: Plain) -> Iterator[str]:
    for name in ROUTINES:
        library = load_library(name, None, ())
        yield f"{name} {library.routine.least_minutes} #{_digest(plain(library.routine))}"
    for text in WRITTEN:
        yield f"{text!r} {scale.kilograms(text)} {scale.has_unit(text)}"
    for reading in READINGS:
        yield f"{reading} {scale.believed(reading)} {scale.claim(reading)}"
    yield " ".join(f"{seconds('one two three', pace):.3f}" for pace in (60.0, 160.0, 200.0))


TABLES = {
    "answers": _answers,
    "questions": _questions,
    "signs": _signs,
    "movements": _movements,
    "routines": _routines,
}


def table(name: str, plain: Plain) -> str:
    """The lines of a table; `plain` puts a value into words that are the same on any machine."""
    return "\n".join([*TABLES[name](plain), ""])
