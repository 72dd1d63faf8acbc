"""Simulated climbers whose truth is known: `python -m tests.bench.years [CLIMBERS] [SESSIONS]`.

Each climber has a true effect of rest on how high a try ends (or none), of fatigue within the day
and of earlier sessions, by the published fitness-fatigue form, p(n) = p0 + k1 sum w e^(-(n-i)/t1)
- k2 sum w e^(-(n-i)/t2), the sum to n (the same day counted), with the values of Clarke and Skiba
2013 (Adv Physiol Educ 37:134-152: k 0.18 and 0.23, t 36 and 21 days). It is a picture of a climber
for testing, and is shown to none. The digests are made here, not by a session: what is tried is
the arithmetic of what is told, after every session of a year.

Prints how often a null effect was told as one, how often a true one was, after how many sessions,
and in how many of the weeks in which the model stands lowest an easier week was proposed.
"""

import math
import sys
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from random import Random
from statistics import median

from coach.record.digest import HEIGHTS, Digest
from coach.record.entry import Entry
from coach.record.helped import helped
from coach.record.weeks import easier

K1, K2, TAU1, TAU2 = 0.18, 0.23, 36.0, 21.0
BEGUN = datetime(2026, 1, 5, 18, 0, tzinfo=UTC)


@dataclass
class Truth:
    """What is true of one climber."""

    effect: float
    """Steps of height that a rest longer than usual brings."""
    tires: float
    """Steps of height that each try costs."""


def form(loads: list[tuple[int, float]], day: int) -> float:
    """The model's state on a day, the loads of that day counted."""
    fit = sum(load * math.exp(-(day - at) / TAU1) for at, load in loads if at <= day)
    tired = sum(load * math.exp(-(day - at) / TAU2) for at, load in loads if at <= day)
    return K1 * fit - K2 * tired


def year(dice: Random, truth: Truth, sessions: int) -> tuple[list[Entry], list[tuple[int, float]]]:
    """The sessions of one climber, two or three a week, with the loads of their days."""
    entries: list[Entry] = []
    loads: list[tuple[int, float]] = []
    day = 0
    base = dice.gauss(1.2, 0.3)
    for number in range(sessions):
        day += dice.choice((2, 2, 3, 3, 4))
        tired = form(loads, day)
        tried, rests = [], []
        today = dice.gauss(0.0, 0.4)
        for n in range(dice.choice((4, 5, 6, 7))):
            taken = dice.uniform(110.0, 330.0)
            more = truth.effect if n and taken > 220.0 else 0.0
            mean = base + today + more - truth.tires * n + 0.005 * tired
            height = min(max(round(dice.gauss(mean, 0.9)), 0), 3)
            tried.append((f"slate {dice.choice((3, 4))}", HEIGHTS[height]))
            if n:
                rests.append((200.0, taken))
        effort = min(max(round(6 + dice.gauss(0, 1) - 0.02 * tired), 1), 10)
        loads.append((day, effort * 75.0 / 10.0))
        made = Digest(
            seconds=75 * 60.0, effort=effort, how="done", tried=tuple(tried), rests=tuple(rests)
        )
        begun = BEGUN + timedelta(days=day)
        entries.append(Entry(number, f"s{number}", begun, "full", 75, "hall", 1, 0, "done", made))
    return entries, loads


def first_claim(entries: list[Entry], name: str) -> int | None:
    """After how many sessions a comparison was first told as a difference."""
    for n in range(6, len(entries) + 1):
        if any(one.name == name and one.claimed for one in helped(entries[:n])):
            return n
    return None


def main() -> None:
    """Run them and print the table."""
    climbers = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    sessions = int(sys.argv[2]) if len(sys.argv) > 2 else 120
    for name, effect in (("none", 0.0), ("0.5 steps", 0.5), ("1 step", 1.0)):
        claims = []
        for seed in range(climbers):
            dice = Random(f"{effect} {seed}")
            entries, _ = year(dice, Truth(effect, 0.0 if effect == 0.0 else 0.05), sessions)
            claims.append(first_claim(entries, "rest"))
        told = [n for n in claims if n is not None]
        after = f", after {median(told):.0f} sessions (median)" if told else ""
        print(f"true effect of a longer rest {name:10}: told by {len(told)} of {climbers}{after}")
    lowest = proposed = asked = weeks = 0
    for seed in range(min(climbers, 60)):
        entries, loads = year(Random(f"week {seed}"), Truth(0.0, 0.05), sessions)
        last = (entries[-1].day - BEGUN.date()).days
        states = {week: form(loads, 7 * week) for week in range(4, last // 7)}
        worst = sorted(states, key=lambda week: states[week])[: len(states) // 5]
        for week in states:
            today = BEGUN.date() + timedelta(days=7 * week)
            found = easier([e for e in entries if e.day < today], today) is not None
            weeks += 1
            asked += found
            lowest += week in worst
            proposed += found and week in worst
    print(f"easier week proposed in {asked} of {weeks} weeks")
    print(f"in the fifth of weeks in which the model stands lowest: {proposed} of {lowest}")


if __name__ == "__main__":
    main()
