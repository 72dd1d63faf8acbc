"""Simulated days: none breaks what planning promises.

Every rule is reached in test_reached.py; `python -m tests.bench.days` tries whole sessions.
"""

from collections import Counter
from random import Random

import pytest

from coach.model.answers import Answer, Meaning
from coach.model.body import CapReason
from coach.model.plan import StepKind
from coach.planning.offers import cost
from tests import oracle
from tests.planning.simulated import DAYS, SEED, Happened, day_of


def broken(one: Happened) -> list[str]:
    """What a change breaks; empty where it keeps every promise."""
    day, steps = one.after
    if one.after == one.before:
        return []
    found = oracle.above_caps(day, steps)
    found += oracle.under_age(day, steps, dict(one.library.movements))
    if one.answer is not None and one.question != "hurting":
        unasked = oracle.unentitled(one.before, one.after, one.who, one.answer, one.question)
        found += [str(item) for item in unasked]
    elif one.question == "idle":
        found += [str(item) for item in oracle.raises(one.before, one.after)]
    first = cost(steps[0]) if steps else 0.0
    latest = max(day.ends_at, one.now + first) + 60.0
    # These days take every rest in full, also where something else would move in it: what is late
    # by that before an answer is not the answer's. `tests/days` judges when whole days end.
    late = one.now + oracle.seconds_of(one.before[1])
    if one.now + oracle.seconds_of(steps) > max(latest, late):
        found.append("it runs over the minutes by more than one")
    if len({step.name for step in steps}) < len(steps):
        found.append("a name stands twice")
    for step in steps:
        if step.kind is StepKind.TRY and any(load > 2 for load in step.forms[0].load.values()):
            shut = [c for c in day.caps if c.who == step.turn]
            if step.turn not in day.go or any(
                c.reason in (CapReason.GATE, CapReason.COLD) for c in shut
            ):
                found.append(f"{step.name}: a hard try without go, check or warm-up")
    return found


@pytest.mark.no_cover
def test_simulated_days_break_no_promise() -> None:
    raised: Counter[Meaning] = Counter()
    for number in range(DAYS):
        for one in day_of(Random(f"{SEED}-{number}")):
            assert broken(one) == [], (number, one.answer, one.question, one.now)
            if one.answer is not None and oracle.raises(one.before, one.after):
                raised[one.answer.meaning] += 1
    assert {Meaning.GO, Meaning.FEEL, Meaning.LONGER, Meaning.HARDER} <= set(raised)


def test_the_same_day_twice_gives_the_same_plans() -> None:
    assert list(day_of(Random(SEED))) == list(day_of(Random(SEED)))


@pytest.mark.parametrize(
    "meaning", [Meaning.YES, Meaning.DONE, Meaning.SILENCE, Meaning.RESUME, Meaning.AGAIN]
)
def test_the_oracle_entitles_no_cheer_to_anything(meaning: Meaning) -> None:
    assert oracle.entitled(Answer(meaning), "gate-fingers") == frozenset()
    assert oracle.entitled(Answer(meaning), "go-ahead") == frozenset()
