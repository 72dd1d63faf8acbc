"""What helped, counted again from what it is said to compare, by a judge with rows of its own."""

from dataclasses import replace
from datetime import timedelta
from fractions import Fraction
from itertools import pairwise
from math import factorial
from random import Random
from statistics import fmean, median

import pytest

from coach.record.comparisons import helped
from coach.record.digest import Digest
from coach.record.entry import Entry
from tests.record.days import entry

STEPS = {"start": 0, "middle": 1, "top": 2, "topped": 3}
#: The chance that anything is told of nothing, and the part of it that each comparison has.
PARTS = {"rest": 40, "early": 20, "again": 8, "drill": 8, "hour": 8, "days": 8, "focus": 8}
CHANCE = Fraction(2, 100)


def lived(dice: Random, better: float, sessions: int) -> tuple[list[Entry], dict[str, set[int]]]:
    """Days with some tries each; after a long rest, a drill or a focus they go higher, or not."""
    days, drilled, day = [], {}, 0
    for number in range(sessions):
        tries = dice.randrange(8)
        focus = dice.random() < 0.5
        rests = [(180.0, float(dice.choice((90, 120, 180, 240)))) for _ in range(tries - 1)]
        after = {n for n in range(1, tries + 1) if dice.random() < 0.2}
        results = []
        for n in range(1, tries + 1):
            helps = focus or n in after or (n > 1 and rests[n - 2][1] > 150)
            height = min(3, int(dice.random() * 3 + better * helps))
            told = "untold" if dice.random() < 0.1 else list(STEPS)[height]
            results.append((f"slate {dice.randrange(3)}", told))
        made = entry(day)
        digest = Digest(
            tried=tuple(results), rests=tuple(rests), focuses={"quiet-feet": 60.0} if focus else {}
        )
        begun = made.begun + timedelta(minutes=dice.randrange(180))
        days.append(replace(made, uid=f"s{number}", begun=begun, digest=digest))
        drilled[f"s{number}"] = after
        day += dice.choice((1, 2, 2, 3, 7))
    return days, drilled


def told(one: Entry) -> list[tuple[int, str, int]]:
    """Number, boulder and height of each try whose end was told."""
    return [(n, b, STEPS[r]) for n, (b, r) in enumerate(one.digest.tried, 1) if r in STEPS]


def apart(with_it: list[int], without: list[int]) -> list[float]:
    return [fmean(with_it) - fmean(without)] if with_it and without else []


def within(name: str, one: Entry, after: set[int]) -> list[float]:
    """By how much the tries of a day that had something went higher than those that had not."""
    rows = told(one)
    if name == "again":
        first_two = [
            [height for _, boulder, height in rows if boulder == each][:2]
            for each in {boulder for _, boulder, _ in rows}
        ]
        steps = [pair[1] - pair[0] for pair in first_two if len(pair) == 2]
        return [fmean(steps)] if steps else []
    if name == "rest":
        rested = [(one.digest.rests[n - 2][1], height) for n, _, height in rows if n > 1]
        middle = median([rest for rest, _ in rested] or [0.0])
        return apart([h for r, h in rested if r > middle], [h for r, h in rested if r <= middle])
    has = (lambda n: n <= 4) if name == "early" else (lambda n: n in after)
    return apart([h for n, _, h in rows if has(n)], [h for n, _, h in rows if not has(n)])


def between(name: str, days: list[Entry]) -> list[float]:
    """Each session with something beside the nearest one before it without, or the other way."""
    if name == "hour":
        amounts = [one.begun.hour * 60.0 + one.begun.minute for one in days]
    elif name == "days":
        amounts = [0.0, *(float((b.day - a.day).days) for a, b in pairwise(days))]
    else:
        amounts = [float(bool(one.digest.focuses)) for one in days]
    found: list[float] = []
    free: list[tuple[bool, float]] = []
    for n, one in enumerate(days):
        heights = [height for _, _, height in told(one)]
        if not heights:
            continue
        if name == "focus":
            more = bool(amounts[n])
        elif n == 0:
            continue
        else:
            more = amounts[n] > sorted(amounts[:n])[n // 2]
        if free and free[-1][0] != more:
            gap = fmean(heights) - free[-1][1]
            found.append(gap if more else -gap)
            free = []
        else:
            free.append((more, fmean(heights)))
    return found


def won(gaps: list[float], bound: Fraction) -> int:
    """The side on which a bet against even signs, spread over every chance, first came to so much.

    1 for better, -1 for worse, 0 for neither.
    """
    better = worse = 0
    for gap in gaps:
        better, worse = better + (gap > 0), worse + (gap < 0)
        n = better + worse
        if Fraction(2**n * factorial(better) * factorial(worse), factorial(n + 1)) >= bound:
            return 1 if better > worse else -1
    return 0


@pytest.mark.parametrize("seed", range(12))
def test_each_comparison_is_that_of_the_judge(seed: int) -> None:
    days, drilled = lived(Random(seed), (0.0, 1.0, 2.5)[seed % 3], (3, 40, 90)[seed // 4])
    made = {one.name: one for one in helped(days, {k: frozenset(v) for k, v in drilled.items()})}
    assert list(made) == list(PARTS)
    for name, one in made.items():
        if name in ("hour", "days", "focus"):
            gaps = between(name, days)
        else:
            gaps = [gap for day in days for gap in within(name, day, drilled[day.uid])]
        assert one.seen.pairs == len(gaps)
        assert one.seen.mean == pytest.approx(fmean(gaps) if gaps else 0.0)
        assert (one.better, one.worse) == (sum(g > 0 for g in gaps), sum(g < 0 for g in gaps))
        side = won(gaps, 1 / (CHANCE * PARTS[name] / 100)) if len(gaps) >= 6 else 0
        # what most sessions showed, and what all come to, still has to lie on the side that won
        lies = side * (one.better - one.worse) > 0 and side * fmean(gaps or [0.0]) > 0
        assert one.claimed == lies


def test_a_sentence_tells_how_many_and_what_is_not_known() -> None:
    every = [one for seed in (2, 5, 8, 11) for one in helped(*_of(seed))]
    claims = [one for one in every if one.claimed]
    few = [one for one in every if one.seen.pairs < 6]
    unsure = [one for one in every if not one.claimed and one.seen.pairs >= 6]
    assert claims
    assert few
    assert unsure
    for one in claims:
        span = f"{one.seen.low:+.1f} to {one.seen.high:+.1f} steps a try, {one.seen.pairs} sessions"
        way = "higher" if one.better > one.worse else "lower"
        counts = f"{one.better} for, {one.worse} against"
        assert one.text == f"{one.what}: {way} ({span}; {counts})."
    for one in few:
        some = "1 session" if one.seen.pairs == 1 else f"{one.seen.pairs} sessions"
        assert one.text == f"{one.what}: too little to say ({some} of 6)."
    for one in unsure:
        assert one.text.startswith(f"{one.what}: no difference that the record can tell (")


def _of(seed: int) -> tuple[list[Entry], dict[str, frozenset[int]]]:
    days, drilled = lived(Random(seed), 2.5, 4 if seed == 2 else 90)
    return days, {uid: frozenset(numbers) for uid, numbers in drilled.items()}
