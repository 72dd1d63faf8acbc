"""Random days on which something hurts, in every mode, judged by poses and joints alone.

`python -m tests.bench.spared 20000 [SEED]` prints how many days there were and violations. A day
begins or goes on; a part hurts, is hurt, or shows a sign; then come any answers, raising ones too.
From then on nothing that is planned for that person, or open to them in a group, may use the part.
"""

import sys
from dataclasses import dataclass
from functools import cache
from random import Random

from coach.errors import UsageError
from coach.files.library import load_library
from coach.files.routines import list_routines
from coach.group import limits
from coach.model.answers import Answer, Meaning, parse
from coach.model.body import Feel, Part
from coach.model.day import Day, Library
from coach.model.person import AgeBand, Person
from coach.model.plan import Step
from coach.model.signs import SIGNS
from coach.model.start import Options
from coach.planning import adapt, forms, make_plan, open_day
from tests import poses
from tests.planning.days import UNASKED

MODES = ("alone", "pair", "group", "roster")
RAISING = (
    ("feel:fine", "gate-body"), ("feel:fresh", "gate-shoulders"), ("feel:fine", "gate-fingers"),
    ("feel:fine", "gate-fingers-now"), ("go", "go-ahead"), ("harder", ""), ("longer:30", ""),
    ("rewarm", "re-warm"), ("resume", "after-hurt"), ("yes", "confirm"), ("no", "sign"),
    ("tissue:muscle", "tissue"), ("tissue:skin", "tissue"), ("back", ""), ("silence", "which-part"),
)  # fmt: skip


@dataclass(frozen=True)
class Violation:
    """A movement that uses a part that was told to hurt."""

    day: int
    mode: str
    told: str
    movement: str


@cache
def library(name: str) -> Library:
    """A shipped routine in the invented hall."""
    return load_library(name, "tarnwick")


def hurt(dice: Random) -> tuple[Part, Answer]:
    """A part that hurts, told in any of the ways."""
    part = dice.choice(list(Part))
    kind = dice.randrange(4)
    if kind == 0:
        return part, Answer(Meaning.FEEL, part, Feel.HURTING, number=dice.choice((None, 1, 4, 9)))
    if kind == 1:
        return part, Answer(Meaning.HURT, part)
    return part, Answer(Meaning.SIGN, part, sign=dice.choice([*SIGNS, "clicky", "yes"]))


def used(steps: tuple[Step, ...], who: int, part: Part) -> list[str]:
    """The movements of somebody's steps that use a part."""
    mine = [form.movement for step in steps for form in step.forms if form.who == who]
    return [name for name in mine if name and poses.uses(name, part)]


def day_of(number: int, seed: str = "spared") -> list[Violation]:
    """One random day; its violations."""
    dice = Random(f"{seed}-{number}")
    mode = dice.choice(MODES)
    part, answer = hurt(dice)
    lib = library("group" if mode in ("group", "roster") else dice.choice(list_routines()))
    count = 1 if mode == "alone" else 2
    people = tuple(Person(n + 1, age=dice.choice(list(AgeBand))) for n in range(count))
    who = dice.randint(1, count)
    if mode in ("group", "roster"):
        found = in_group(lib, people, who, answer, part, mode)
    else:
        found = in_session(dice, lib, people, who, answer, part)
    return [Violation(number, mode, answer.key, name) for name in sorted(set(found))]


def in_group(
    lib: Library, people: tuple[Person, ...], who: int, answer: Answer, part: Part, mode: str
) -> list[str]:
    """What somebody of a group may still do that uses the part."""
    if mode == "roster" and answer.meaning is not Meaning.HURT:
        options = Options(people, 45.0, (), complaints=((who, answer.key),))
        day = limits.day_of(options, lib)
    else:
        day = limits.day_of(Options(people, 45.0, ()), lib)
        day = limits.careful(limits.told(day, who, answer, lib), who, lib)
    able, person = forms.of(day, lib), people[who - 1]
    return [m.name for m in lib.movements.values()
            if able.allowed(m, person) and poses.uses(m.name, part)]  # fmt: skip


def in_session(
    dice: Random, lib: Library, people: tuple[Person, ...], who: int, answer: Answer, part: Part
) -> list[str]:
    """What is planned for somebody after it hurt, whatever was answered since, that uses it."""
    day: Day = open_day(people, dice.choice((lib.routine.minutes, 150)), lib)
    steps: tuple[Step, ...] = ()
    before = dice.random() < 0.5
    try:
        if before:
            day = adapt(day, (), 0.0, who, answer, "hurting", lib).day
        change = make_plan(day, 0.0, lib)
        day, steps = change.day, change.steps
        if not before:
            steps = steps[dice.randrange(max(len(steps), 1)) :]
            change = adapt(day, steps, 600.0, who, answer, "", lib)
            day, steps = change.day, change.steps
    except UsageError:
        return []
    found = used(steps, who, part)
    now = 700.0
    for _ in range(dice.randrange(5)):
        key, question = dice.choice((*RAISING, (dice.choice(UNASKED), "")))
        now += 60.0
        change = adapt(day, steps, now, dice.randint(1, len(people)), parse(key), question, lib)
        day, steps = change.day, change.steps
        found += used(steps, who, part)
    return found


def main(days: int, seed: str = "spared") -> int:
    """Print the violations of some days; how many there were."""
    found = [one for number in range(days) for one in day_of(number, seed)]
    for one in found[:20]:
        print(one)
    print(f"{days} days, {len(found)} violations")
    return len(found)


if __name__ == "__main__":
    sys.exit(bool(main(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000, *sys.argv[2:3])))
