"""Simulated climbers whose truth is known, over a year of sessions.

`python -m tests.bench.years [CLIMBERS] [SESSIONS] [--processes N]`; `... weeks CLIMBERS SESSIONS`
only chooses weeks.

Each climber has a true least rest below which a try loses height (or none), a number of tries after
which they fall (or none), and fatigue of earlier sessions by the published fitness-fatigue form,
p(n) = k1 sum w e^(-(n-i)/t1) - k2 sum w e^(-(n-i)/t2), the sum to n (the same day counted), with
the values of Clarke and Skiba 2013 (Adv Physiol Educ 37:134-152: k 0.18 and 0.23, t 36 and 21
days). It is a picture of a climber for testing, and is shown to none. The digests are made here,
not by a session: what is tried is the arithmetic of what is told, after every session of a year.

Every climber follows every proposal of a trial, in the rests and the tries of its sessions. What
is told of rest, tries, again, hour, days and focus is counted where all of it is null, after every
session, and where rest and tries have true effects, after every third.

The weeks: climbers whose load comes in waves, so that the model falls and rises. An easier week is
called for in the fifth of their weeks in which the model stands lowest against the mean of the
eight weeks before.
"""

import math
import sys
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from random import Random
from statistics import fmean, median

from coach.record.breakpoints import best_rest, drop_off
from coach.record.comparisons import helped
from coach.record.digest import HEIGHTS, Digest
from coach.record.entry import Entry
from coach.record.proposal import Beside, propose
from coach.record.suggest import Grounds
from coach.record.trial import Trial, outcomes, running, since
from coach.record.weeks import easier

K1, K2, TAU1, TAU2 = 0.18, 0.23, 36.0, 21.0
BEGUN = datetime(2026, 1, 5, 18, 0, tzinfo=UTC)
#: What may be told of a climber: the comparisons, the bends, the trials.
TOLD = ("rest", "early", "again", "hour", "days", "focus", "bend-rest", "bend-tries", "trial")
#: Where there is something to be told, it is looked for after every so-many-th session.
THIRD = 3
#: Seconds to the true best rest within which it counts as found.
WITHIN = 30.0


@dataclass(frozen=True)
class Truth:
    """What is true of one climber."""

    best: float = 0.0
    """Seconds of rest below which a try loses height; 0 for no effect of rest."""
    short: float = 0.0
    """Steps of height that each minute below it costs."""
    last: int = 99
    """The try after which they fall."""
    tires: float = 0.0
    """Steps of height that each try after it costs."""
    waves: bool = False
    """Whether the load comes in waves of weeks."""
    feels: float = 0.01
    """Steps of height that a point of the model brings, and twice that of effort."""


def form(loads: Sequence[tuple[int, float]], day: int) -> float:
    """The model's state on a day, the loads of that day counted."""
    fit = sum(load * math.exp(-(day - at) / TAU1) for at, load in loads if at <= day)
    tired = sum(load * math.exp(-(day - at) / TAU2) for at, load in loads if at <= day)
    return K1 * fit - K2 * tired


@dataclass
class Climber:
    """One climber and a record that grows."""

    truth: Truth
    dice: Random

    def __post_init__(self) -> None:
        self.entries: list[Entry] = []
        self.loads: list[tuple[int, float]] = []
        self.trials: list[Trial] = []
        self.base = self.dice.gauss(1.2, 0.3)
        self.day = 0
        self.wave = self.dice.uniform(35.0, 90.0)
        """Days from one heavy stretch to the next."""

    def climb(self, follow: bool = False) -> Entry:
        """One session more; with `follow` the trial that is proposed is begun and kept to."""
        dice, truth = self.dice, self.truth
        hard = truth.waves and math.sin(2 * math.pi * self.day / self.wave) > 0
        self.day += dice.choice((1, 2, 2) if hard else (2, 2, 3, 3, 4))
        begun = BEGUN + timedelta(days=self.day, hours=dice.choice((-2, -1, 0, 0, 1)))
        now = self._trial(begun) if follow else None
        state = form(self.loads, self.day)
        today = dice.gauss(0.0, 0.4)
        number = dice.choice((4, 5, 6, 7, 8))
        if now is not None and now.what == "tries":
            number = min(number, int(now.value))
        tried, rests = [], []
        for n in range(number):
            taken = dice.uniform(120.0, 300.0)
            if now is not None and now.what == "rest":
                taken = float(now.value) + dice.gauss(0.0, 15.0)
            lost = truth.short * max(truth.best - taken, 0.0) / 60.0 if n else 0.0
            lost += truth.tires * max(n + 1 - truth.last, 0)
            mean = self.base + today - lost + truth.feels * state
            height = min(max(round(dice.gauss(mean, 0.9)), 0), 3)
            tried.append((f"slate {dice.choice((3, 4))}", HEIGHTS[height]))
            if n:
                rests.append((180.0, taken))
        usual = 8.0 if hard else 6.0
        effort = min(max(round(usual + dice.gauss(0, 1) - 2 * truth.feels * state), 1), 10)
        minutes = 100.0 if hard else 75.0
        self.loads.append((self.day, effort * minutes / 10.0))
        focuses = {"quiet-feet": 120.0} if dice.random() < 0.5 else {}
        made = Digest(
            seconds=minutes * 60.0,
            effort=effort,
            how="done",
            tried=tuple(tried),
            rests=tuple(rests),
            focuses=focuses,
        )
        name = len(self.entries)
        one = Entry(name, f"s{name}", begun, "full", 75, "hall", 1, 0, "done", made)
        self.entries.append(one)
        return one

    def _trial(self, begun: datetime) -> Trial | None:
        """The trial that runs; a proposed one is begun."""
        number = len(since(self.trials[-1], self.entries)) if self.trials else 0
        now = running(self.trials, number)
        if now is None and len(self.entries) >= 4:
            known = Grounds(self.entries, begun.date(), focuses=("quiet-feet",), build=None)
            made = propose(known, Beside(trials=self.trials, now=begun))
            if made.trial:
                words = made.trial.split("coach trial ")[1].split()
                value = words[1]
                if words[0] == "rest":
                    minutes, _, seconds = value.partition(":")
                    value = str(60 * int(minutes) + int(seconds))
                now = Trial(words[0], value, begun)
                self.trials.append(now)
        return now


def year(dice: Random, truth: Truth, sessions: int) -> tuple[list[Entry], list[tuple[int, float]]]:
    """The sessions of one climber, with the loads of their days."""
    one = Climber(truth, dice)
    for _ in range(sessions):
        one.climb()
    return one.entries, one.loads


# --- what is told ----------------------------------------------------------------------------


def told_of(seed: str, truth: Truth, sessions: int) -> tuple[set[str], int, int, int | None]:
    """What was told as an effect after any session; rests that were told, right ones, when right.

    A rest that was told counts as right within WITHIN of the true one.
    """
    one = Climber(truth, Random(seed))
    told: set[str] = set()
    rests = right = 0
    found: int | None = None
    for n in range(1, sessions + 1):
        one.climb(follow=True)
        if n < 6 or (n % THIRD and truth.short):
            continue
        told |= {c.name for c in helped(one.entries) if c.claimed}
        rest = best_rest(one.entries)
        if rest is not None:
            told.add("bend-rest")
            rests += 1
            good = abs(rest.at - truth.best) <= WITHIN
            right += good
            found = n if good and found is None else found
        told |= {"bend-tries"} if drop_off(one.entries) else set()
    told |= {"trial"} if any(o.claimed for o in outcomes(one.trials, one.entries)) else set()
    return told, rests, right, found


def _truths(climbers: int) -> dict[str, list[Truth]]:
    """Nothing true; half a step by the minute of rest and tries that fall."""
    dice = Random("truths")
    bests = [dice.choice((180.0, 210.0, 240.0)) for _ in range(climbers)]
    lasts = [dice.choice((3, 4, 5)) for _ in range(climbers)]
    pairs = list(zip(bests, lasts, strict=True))
    return {
        "nothing": [Truth() for _ in pairs],
        "half": [Truth(best, 0.5, last, 0.4) for best, last in pairs],
    }


def _asked(job: tuple[str, Truth, int]) -> tuple[set[str], int, int, int | None]:
    return told_of(*job)


def tell(climbers: int, sessions: int, pool: ProcessPoolExecutor) -> None:
    """Print how often what is told is right, and how soon."""
    for name, truths in _truths(climbers).items():
        jobs = [(f"{name} {n}", truth, sessions) for n, truth in enumerate(truths)]
        found = list(pool.map(_asked, jobs, chunksize=4))
        counts = Counter(what for told, *_ in found for what in told)
        anything = sum(bool(told) for told, *_ in found)
        print(f"{name}: {', '.join(f'{what} {counts[what]}' for what in TOLD)} of {climbers}")
        if name == "nothing":
            print(f"  anything told of nothing: {anything} of {climbers}")
            continue
        rests, right = sum(r for _, r, _, _ in found), sum(r for _, _, r, _ in found)
        soon = [n for *_, n in found if n is not None]
        after = f"{median(soon):.0f} sessions (median)" if soon else "no session"
        print(
            f"  best rest within {WITHIN:.0f} s: {right} of {rests} times that one was told; "
            f"first for {len(soon)} of {climbers} climbers, after {after}"
        )


# --- easier weeks ----------------------------------------------------------------------------


def weeks_of(seed: int, sessions: int) -> Counter[str]:
    """In how many weeks each way of choosing proposes an easier one, and hits a lowest one."""
    entries, loads = year(Random(f"weeks {seed}"), Truth(waves=True), sessions)
    last = (entries[-1].day - BEGUN.date()).days // 7
    states = {week: form(loads, 7 * week - 1) for week in range(1, last)}
    falls = {
        week: states[week] - fmean(states[w] for w in range(week - 8, week))
        for week in range(9, last)
    }
    lowest = set(sorted(falls, key=lambda week: falls[week])[: len(falls) // 5])
    found = Counter(weeks=len(falls), lowest=len(lowest))
    for week in falls:
        today = BEGUN.date() + timedelta(days=7 * week)
        before = [entry for entry in entries if entry.day < today]
        ways = {
            "by the record": easier(before, today, None) is not None,
            "with counting": easier(before, today) is not None,
            "three to one": week % 4 == 3,
            "never": False,
        }
        for way, asks in ways.items():
            found[f"asks {way}"] += asks
            found[f"hits {way}"] += asks and week in lowest
    return found


def _week(job: tuple[int, int]) -> Counter[str]:
    return weeks_of(*job)


def choose(climbers: int, sessions: int, pool: ProcessPoolExecutor) -> None:
    """Print how the ways of choosing an easier week compare."""
    found: Counter[str] = Counter()
    for one in pool.map(_week, [(seed, sessions) for seed in range(climbers)], chunksize=4):
        found.update(one)
    weeks, lowest = found["weeks"], found["lowest"]
    print(f"easier weeks: {lowest} of {weeks} weeks of {climbers} climbers are called for")
    for way in ("by the record", "with counting", "three to one", "never"):
        asks, hits = found[f"asks {way}"], found[f"hits {way}"]
        right = f"{hits / asks:.0%}" if asks else "none"
        print(f"  {way}: asks in {asks}, {hits} of the {lowest} found; right {right}")


def main(*line: str) -> None:
    """Run them and print the figures."""
    words = list(line)
    processes = 1
    if "--processes" in words:
        at = words.index("--processes")
        processes = int(words[at + 1])
        del words[at : at + 2]
    only_weeks = words[:1] == ["weeks"]
    words = words[only_weeks:]
    climbers = int(words[0]) if words else 200
    sessions = int(words[1]) if len(words) > 1 else 120
    with ProcessPoolExecutor(processes) as pool:
        choose(climbers, sessions, pool)
        if not only_weeks:
            tell(climbers, sessions, pool)


if __name__ == "__main__":
    main(*sys.argv[1:])
