"""Simulated days: people, places and answers drawn from a seed, run through planning.

`python -m tests.planning.simulated` prints how often each rule fired in them.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from random import Random

from coach.errors import UsageError
from coach.files.library import load_library
from coach.model.answers import Answer, Meaning, parse
from coach.model.body import Cap, CapReason, Part
from coach.model.day import Change, Day, Library
from coach.model.person import AgeBand, Person
from coach.model.plan import Step, StepKind
from coach.model.questions import QUESTIONS
from coach.model.routine import BlockKind, Item
from coach.model.signs import SIGNS
from coach.planning import adapt, after_idle, keep_time, made_up, make_plan, open_day
from coach.planning.day_tags import TOLD, WANTED
from coach.planning.offers import cost
from coach.planning.rules import RULES
from tests.planning.days import UNASKED

State = tuple[Day, tuple[Step, ...]]
DAYS = 100
SEED = 20240229


@dataclass(frozen=True)
class Happened:
    """One change of a simulated day, with what caused it."""

    before: State
    change: Change
    who: int
    answer: Answer | None
    """None for a pause or the clock."""
    question: str
    now: float
    library: Library

    @property
    def after(self) -> State:
        return self.change.day, self.change.steps


@cache
def libraries() -> tuple[Library, ...]:
    """The full routine in a hall, without a board, and with a long still stretch on the mat."""
    hall = load_library("full", "tarnwick")
    bare = replace(hall, place=replace(hall.place, boards=()))
    still = next(m for m in hall.movements.values() if m.static_stretch)
    long = replace(still, name="long-stretch", amount=60, seconds_each=1.0, sides=1)
    blocks = tuple(
        replace(block, items=(*block.items, Item("long-stretch", None, 1, 1)), most=2000)
        if block.kind is BlockKind.MAT
        else block
        for block in hall.routine.blocks
    )
    stretched = replace(
        hall,
        movements={**hall.movements, long.name: long},
        routine=replace(hall.routine, blocks=blocks),
    )
    return hall, hall, hall, bare, stretched


def day_of(dice: Random) -> Iterator[Happened]:
    """One day: its plan, then answers in their windows and out of them."""
    library = dice.choice(libraries())
    ages = [AgeBand.ADULT] * 5 + list(AgeBand)
    people = tuple(Person(n + 1, age=dice.choice(ages)) for n in range(dice.choice((1, 1, 2, 3))))
    told = tuple(
        (dice.randint(1, len(people)), tag) for tag in TOLD if dice.random() < 1.2 / len(TOLD)
    )
    # drawn apart, so that the other draws stay as they are
    other = Random(str(dice.getstate()[1][:4]))
    if other.random() < 0.1:
        told = (*told, (1, other.choice(list(WANTED))))
    standing = (
        (Cap(1, dice.choice(list(Part)), 0, CapReason.SIGN, "warning-sign"),)
        if dice.random() < 0.05
        else ()
    )
    minutes = dice.choice((39, 45, 50, 60, 75, 90, 90, 120, 150))
    day = open_day(people, minutes, library, standing=standing, told=told)
    if dice.random() < 0.2:
        who = dice.randint(1, len(people))
        key = dice.choice([k for k in UNASKED if k.startswith("feel:")])
        change = adapt(day, (), 0.0, who, parse(key), "hurting", library)
        yield Happened((day, ()), change, who, parse(key), "hurting", 0.0, library)
        day = change.day
    try:
        change = make_plan(day, 0.0, library)
    except UsageError:
        return
    yield Happened((day, ()), change, 1, None, "plan", 0.0, library)
    yield from _onward(dice, change.day, change.steps, library)


def _onward(
    dice: Random, day: Day, steps: tuple[Step, ...], library: Library
) -> Iterator[Happened]:
    now = 0.0
    wild, slow = dice.random() < 0.5, dice.random() < 0.2
    stiff = dice.choice(list(Part)) if dice.random() < 0.2 else None
    asked: list[tuple[int, str]] = []
    while steps:
        step = steps[0]
        if step.kind is StepKind.ASK and step.question not in {q for _, q in asked}:
            asked += [(form.who, step.question) for form in step.forms]
        if asked:
            who, question = asked.pop(0)
            if step.question == question and all(q != question for _, q in asked):
                steps, now = steps[1:], now + 10.0
            answer = _answer_to(dice, question)
        elif dice.random() < (0.12 if wild else 0.02):
            who, question = dice.randint(1, len(day.people)), ""
            answer = _unasked(dice)
        elif told := _of_step(dice, step, stiff):
            question, (who, answer) = "", told
        elif dice.random() < (0.04 if slow else 0.01):
            idle = dice.choice((300.0, 950.0, 1500.0))
            change = after_idle(day, steps, now + idle, idle, library)
            yield Happened((day, steps), change, 1, None, "idle", now + idle, library)
            day, steps, now = change.day, change.steps, now + idle
            asked += [(1, change.ask)] if change.ask else []
            continue
        else:
            steps, now = steps[1:], now + cost(step) * dice.uniform(0.8, 1.35)
            change = made_up(day, steps, now, step, library)
            change = keep_time(change.day, change.steps, now, library)
            yield Happened((day, steps), change, 1, None, f"done:{step.name}", now, library)
            day, steps = change.day, change.steps
            continue
        change = adapt(day, steps, now, who, answer, question, library)
        yield Happened((day, steps), change, who, answer, question, now, library)
        day, steps = change.day, change.steps
        if change.ask in QUESTIONS:
            asked.insert(0, (who, change.ask))


def _of_step(dice: Random, step: Step, stiff: Part | None) -> tuple[int, Answer] | None:
    """What somebody says of the step that comes, and who; None for nothing.

    A part that is stiff on some days stays so, however often it is moved.
    """
    on_mat = step.block is BlockKind.MAT and step.kind is not StepKind.ASK
    if stiff and on_mat and dice.random() < 0.15:
        return step.forms[0].who, parse(f"feel:{stiff}:stiff")
    if step.makes_up and dice.random() < 0.5:
        return step.forms[0].who, Answer(Meaning.SKIP)
    if step.floor and step.kind is not StepKind.ASK and dice.random() < 0.06:
        doing = [form.who for form in step.forms if form.movement]
        return dice.choice(doing), Answer(Meaning.EASIER)
    if step.kind is StepKind.TRY and dice.random() < 0.05:
        return step.turn, parse(dice.choice(("last-go", "enough")))
    return None


def _answer_to(dice: Random, question: str) -> Answer:
    """Mostly clear, at times anything that the question takes."""
    clear = {"go-ahead": "go", "which-part": "part:fingers", "re-warm": "rewarm", "sign": "no"}
    if question.startswith("gate-"):
        usual = "feel:fine"
    else:
        usual = clear.get(question, QUESTIONS[question].answers[0])
    if question == "which-part" and dice.random() < 0.3:
        return parse("silence")
    if dice.random() < 0.8:
        return parse(usual)
    return parse(dice.choice([*QUESTIONS[question].answers, "silence"]))


def _unasked(dice: Random) -> Answer:
    kind = dice.random()
    if kind < 0.1:
        part = dice.choice((None, *Part))
        return Answer(Meaning.SIGN, part=part, sign=dice.choice((*SIGNS, "crackling", "itch")))
    if kind < 0.2:
        part = dice.choice(list(Part))
        return parse(f"feel:{part}:hurting:{dice.randint(0, 10)}")
    if kind < 0.45:
        return parse(dice.choice(("skip", "easier", "harder", "longer", "short-of-time")))
    return parse(dice.choice(UNASKED))


def reached(days: int = DAYS, seed: int = SEED) -> Counter[str]:
    """In how many of the days each rule fired."""
    found: Counter[str] = Counter({rule.name: 0 for rule in RULES})
    for number in range(days):
        fired = {
            item.rule for one in day_of(Random(f"{seed}-{number}")) for item in one.change.fired
        }
        found.update(fired)
    return found


if __name__ == "__main__":
    for name, count in reached().most_common():
        print(f"{count:5d}  {name}")
