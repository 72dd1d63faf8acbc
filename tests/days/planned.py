"""Plans by seed, and what becomes of them as answers come: no clock, no voice, planning alone.

`walk(seed)` gives a line for each change: the minute, what was told, what the plan says to it, the
minutes of each block and the hard tries left, the rules that fired, and a digest of all of it.
"""

import hashlib
from collections import defaultdict
from collections.abc import Callable
from random import Random

from coach.model.person import Person
from coach.model.plan import StepKind
from coach.model.questions import QUESTIONS
from coach.planning.day_tags import TAGS
from tests.days.told_before import AGES
from tests.planning.days import UNASKED, library
from tests.planning.walker import CLEAR, Walker

ROUTINES = ("full", "full", "full", "quick", "technique-day", "outdoors", "at-home", "easy-day")
HURTING = ("", "", "feel:fingers:sore", "feel:shoulders:hurting", "feel:knees:stiff", "sign:pop")
#: Changes of one plan.
CHANGES = 14


def walk(seed: int, plain: Callable[[object], str]) -> str:
    """The lines of a seed; `plain` puts a value into words that are the same on any machine."""
    dice = Random(f"planned-{seed}")
    people = tuple(
        Person(who, age=dice.choice(AGES), months=dice.choice((None, 0, 6, 24)), edge="medium")
        for who in range(1, dice.choice((1, 1, 2, 3)) + 1)
    )
    routine = dice.choice(ROUTINES)
    files = library(routine)
    minutes = max(dice.choice((20, 30, 45, 60, 75, 90, 120, 180)), files.routine.least_minutes)
    told = tuple(
        (one.who, dice.choice(sorted(TAGS)))
        for one in people
        for _ in range(dice.choice((0, 0, 1, 2)))
    )
    hurting = dice.choice(HURTING)
    given = Walker(people, minutes, told=told, library=files, hurting=hurting)
    ages = ", ".join(one.age.value for one in people)
    because = " ".join([*(f"{who}:{tag}" for who, tag in told), hurting])
    lines = [f"{routine}, {minutes} min, {ages}; {because}", _line(given, "", plain)]
    for _ in range(CHANGES):
        if len(given.steps) < 2:
            break
        lines.append(_line(given, _changed(given, dice, len(people)), plain))
    return "\n".join([*lines, ""])


def _changed(given: Walker, dice: Random, many: int) -> str:
    """Let one thing happen: what it was."""
    question, lot, who = given.steps[0].question, dice.random(), dice.randint(1, many)
    if question and lot < 0.75:
        usual = "go" if question == "go-ahead" else CLEAR.get(question, "")
        key = usual if usual and dice.random() < 0.6 else dice.choice(QUESTIONS[question].answers)
        who = given.steps[0].forms[0].who if given.steps[0].forms else who
        given.answer(key, who)
        return f"{question}: {who} {key}"
    if lot < 0.25:
        seconds = dice.choice((30.0, 120.0, 400.0, 900.0))
        given.late(seconds)
        return f"{seconds:.0f} s late"
    if lot < 0.3:
        seconds = dice.choice((300.0, 700.0, 1500.0))
        given.idle(seconds)
        return f"{seconds:.0f} s idle"
    if lot < 0.6:
        key = dice.choice(UNASKED)
        given.tell(key, who=who)
        return f"{who} {key}"
    gone = 0
    for _ in range(dice.choice((1, 3, 8, 20))):
        if len(given.steps) > 1 and (not gone or not given.steps[0].question):
            given.past()
            gone += 1
    return f"{gone} done"


def _line(given: Walker, what: str, plain: Callable[[object], str]) -> str:
    blocks = defaultdict[str, float](float)
    for step in given.steps:
        blocks[step.block.value] += step.seconds + step.rest
    parts = " ".join(f"{block} {seconds / 60:.1f}" for block, seconds in blocks.items())
    tries = sum(step.kind is StepKind.TRY for step in given.steps)
    rules = " ".join(given.fired[-3:])
    digest = hashlib.sha256(plain(given.change).encode()).hexdigest()[:6]
    return (
        f"{given.now / 60:5.1f}  {what} | {given.say} | {parts}; {tries} tries | {rules}  #{digest}"
    )
