"""Whoever the leader tells nothing of has every turn, once, whatever is told of the others.

The judge reads the record alone. A partner who stays once lost the turns of both when the other
came back for the mat.
"""

import random
from pathlib import Path

import pytest

from coach.group.gathering import Group
from coach.model.facts import StepEnded
from coach.model.person import AgeBand
from coach.planning.stations import Station
from tests.group.runs import group, run

NUMBERS = "one two three four five six seven eight nine ten eleven twelve".split()
TOLD = ("is out", "is back", "is late", "is in pain", "let them in", "undo that")


def drawn(dice: random.Random) -> tuple[Group, set[int]]:
    """A group, and who is expected later."""
    people, boards = dice.randint(4, 12), dice.randint(1, 2)
    stations = [Station(f"board {n + 1}", "board", 1) for n in range(boards)]
    stations.append(Station("wall", "wall", dice.choice((2, 4, 8))))
    late = tuple(who for who in range(1, people + 1) if dice.random() < 0.1)
    ages, minutes = (AgeBand.ADULT,) * people, dice.choice((30.0, 45.0))
    return group(ages, minutes=minutes, stations=tuple(stations), late=late), set(late)


def words_about(dice: random.Random, named: list[int]) -> str:
    """What a leader tells of a few, from the end of the mat on."""
    at, lines = dice.randint(600, 900), list[tuple[int, str]]()
    for _ in range(6):
        who, told = dice.choice(named), dice.choice(TOLD)
        lines += [(at, f"number {NUMBERS[who - 1]}"), (at + 4, told)]
        if told == "is in pain":
            lines += [(at + 10, dice.choice(("my wrist", "my knee"))), (at + 16, "no")]
            at += 20
        if told == "is back":
            lines.append((at + 10, "let them in"))
        at += dice.choice((20, 60, 240, 600))
    return "".join(f"{when // 60:02d}:{when % 60:02d} {words}\n" for when, words in lines)


@pytest.mark.no_cover
@pytest.mark.parametrize("seed", [3, 22, 30])
def test_who_is_told_nothing_of_has_every_turn_once(seed: int, tmp_path: Path) -> None:
    dice = random.Random(seed)
    given, late = drawn(dice)
    named = set(dice.sample(given.people, min(3, len(given.people) - 1)))

    _, seen = run(given, words_about(dice, sorted(named)), tmp_path)

    steps = sorted(one.step.name for stop in given.programme.stops for one in stop.callouts)
    for who in set(given.people) - named - late:
        done = [
            fact.step
            for fact in seen.facts
            if isinstance(fact, StepEnded) and fact.who == who and fact.outcome == "done"
        ]
        assert sorted(step for step in done if step in steps) == steps
