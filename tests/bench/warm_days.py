"""Random days judged by rests, doses and gates: `python -m tests.bench.warm_days 20000`.

A day has random minutes, people, levels, paces and tags; its climbers say at random what they
please; on six days of ten nothing that gives the hard tries up. The judges read the record and the
catalogue's files, and know no planning: rests between loads of one part, two minutes between tries,
three from a try to strength, every item that always stays before the first hard try, ten easy and
five middle boulders that can have been climbed, every check clear, and her own go. A second number
is the first day.
Each wrong is printed.
"""

import sys
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from random import Random
from types import SimpleNamespace
from typing import Any

from coach.model.facts import Climbed, StepEnded
from coach.model.person import AgeBand, Person
from tests.climber import Day, Pace, hall, rehearsed
from tests.days import judges, warmed

#: What may be said at any moment, most of it more than once.
SAID = (
    "skip", "skip", "easier", "harder", "more-time", "ready", "ready", "done", "done", "back",
    "short-of-time", "short-of-time:20", "fewer:10", "fewer:15", "longer", "longer:15", "pause",
    "resume", "count:3", "count:5", "why", "how-long", "again", "no-questions", "not-today",
    "enough", "last-go", "long-warm-up",
)  # fmt: skip
#: What may be said on a day on which the hard tries are to come: nothing that gives them up.
MILD = (
    "harder", "more-time", "ready", "ready", "done", "done", "back", "longer", "longer:15",
    "count:3", "count:5", "why", "how-long", "again", "pause", "resume",
)  # fmt: skip
#: How many of the days are such, from this number on: the examples of the tests are below it.
GOOD, FIRST = 0.6, 1000
TAGS = ("tired", "short-of-sleep", "hard-yesterday", "crowded", "cold", "morning", "over-50",
        "late", "long-warm-up", "break:holiday", "high-or-leaping")  # fmt: skip
#: Seconds from a hard try to what strengthens: 3 min between like parts of a circuit (JSCR
#: 2006;20(4):978-984, read second-hand).
BEFORE_STRENGTH = 180.0
_WARM_UP = ("pulse", "mat", "board")


@dataclass
class Chatter:
    """Says something at random, once in so many seconds."""

    dice: Random
    every: float
    words: tuple[str, ...] = SAID
    at: float = field(init=False)

    def __post_init__(self) -> None:
        self.at = self.dice.expovariate(1 / self.every)

    def __call__(self, session: Any, now: float) -> str | None:
        """What is said now; None for nothing."""
        if now < self.at or not session.course.planned:
            return None
        self.at = now + 1.0 + self.dice.expovariate(1 / self.every)
        return self.dice.choice(self.words)


def lived(number: int) -> Day:
    """One random day of the real core."""
    dice = Random(f"warm-{number}")
    names = [circuit.name for circuit in hall().place.circuits]
    people = tuple(
        Person(
            who,
            age=AgeBand.ADULT,
            edge="medium",
            comfortable=names[0],
            best=names[dice.choice((1, 2, 3))],
            months=dice.choice((None, 3, 12, 60)),
        )
        for who in range(1, dice.choice((1, 1, 2, 3)) + 1)
    )
    good = number >= FIRST and dice.random() < GOOD
    quick = not good and dice.random() < 0.2
    easy, middle = (4, 6) if quick else (dice.randint(18, 75), dice.randint(40, 120))
    worn = () if good else ("feel:tired", "silence")
    feels = (*["feel:fine"] * 8, "feel:fresh", *worn)
    gates = {f"gate-{part}": dice.choice(feels) for part in ("body", "shoulders", "fingers")}
    return rehearsed(
        float(dice.choice((20, 30, 40, 45, 60, 75, 90, 120))),
        Pace(float(easy), float(middle), float(dice.randint(5, 60))),
        people=people,
        also=Chatter(dice, dice.choice((90.0, 300.0, 1e9)), MILD if good else SAID),
        answers={
            **gates,
            "all-climbed": dice.choice(("count:5", "count:3", "no", "silence")),
            "time-gained": dice.choice(("more-tries", "home-early", "silence")),
            "go-ahead": dice.choice(
                ("go",) if good else ("go", "go", "go", "not-today", "more-time", "silence")
            ),
            "shorter-rests": dice.choice(("shorter", "no")),
        },
        told=tuple((1, tag) for tag in dice.sample(TAGS, dice.choice((0, 0, 1, 2)))),
    )


def wrong(day: Day) -> list[str]:
    """What is wrong with a day."""
    lines = [SimpleNamespace(what=fact, text=type(fact).__name__, at=fact.at) for fact in day.facts]
    seen: Any = SimpleNamespace(session=day.session, lines=lambda kind: lines)
    return [
        *warmed.kept_apart(seen),
        *warmed.warmed(seen),
        *judges.calm(seen),
        *_before_strength(day),
        *_whole_warm_up(day),
        *_believed(day),
        *_within(day),
    ]


def _ended(day: Day, who: int) -> Iterator[StepEnded]:
    """What somebody did, in order."""
    for fact in day.facts:
        if isinstance(fact, StepEnded) and fact.who == who and fact.amount and fact.seconds > 0:
            yield fact


def _before_strength(day: Day) -> Iterator[str]:
    """Nothing that loads beyond the gentle right after a hard try."""
    for who in day.session.people:
        tried = -BEFORE_STRENGTH
        for fact in _ended(day, who):
            load = warmed.catalogue().get(fact.movement, {}).get("load", {})
            if fact.kind == "try":
                tried = fact.at
            elif fact.block == "strength" and max([0, *load.values()]) > 1:
                since = fact.at - fact.seconds - tried
                if since < BEFORE_STRENGTH - 1.0:
                    yield f"{fact.at:.0f} s: {fact.movement} {since:.0f} s after a try"


@cache
def _always() -> tuple[frozenset[str], ...]:
    """For each item of the warm-up that always stays: its movement, easier and harder forms."""
    routine = tomllib.loads((warmed.ROUTINES / "full.toml").read_text("utf-8"))
    blocks = [block for block in routine["blocks"] if block["kind"] in _WARM_UP]
    items = [item for block in blocks for item in block["items"]]
    stay = [item["movement"] for item in items if item.get("least_sets") or item.get("core")]
    every = {name: frozenset(_down_from(name)) for name in warmed.catalogue()}
    stated = {name: warmed.catalogue().get(name, {}).get("harder") for name in stay}
    harder = {
        name: {one for one, down in every.items() if name in down or one == stated[name]}
        for name in stay
    }
    return tuple(every[name] | harder[name] for name in stay)


def _down_from(name: str) -> Iterator[str]:
    ahead = [name]
    for one in ahead:
        yield one
        stated = warmed.catalogue().get(one, {})
        easier = [stated.get("easier"), *stated.get("also_easier", ())]
        ahead += [other for other in easier if other and other not in ahead]


def _whole_warm_up(day: Day) -> Iterator[str]:
    """Every item that always stays, or an easier form of it, before the first hard try."""
    for who in day.session.people:
        done: set[str] = set()
        for fact in _ended(day, who):
            if fact.kind == "try":
                missing = [forms for forms in _always() if forms.isdisjoint(done)]
                yield from (
                    f"{fact.at:.0f} s: a try without one of {len(one)} like {min(one)}"
                    for one in missing
                )
                break
            if fact.seconds >= fact.planned / 2 - 1.0:
                done.add(fact.movement)


def _believed(day: Day) -> Iterator[str]:
    """No batch holds more boulders than its seconds can, where nobody told the number."""
    counted = {entry.at for entry in day.transcript.entries if "Tell me how many" in entry.text}
    if counted or any(" boulders" in e.text and e.kind == "heard" for e in day.transcript.entries):
        return  # a number was told
    for fact in day.facts:
        if isinstance(fact, Climbed) and fact.tier in warmed.LEAST:
            least = fact.boulders * warmed.LEAST[fact.tier]
            if fact.seconds < least - 1.0:
                yield f"{fact.at:.0f} s: {fact.boulders} {fact.tier} in {fact.seconds:.0f} s"


def _within(day: Day) -> Iterator[str]:
    """It ends within its minutes and ten more, where nobody let it stand."""
    stood = any(e.kind == "heard" and "pause" in e.text for e in day.transcript.entries)
    if not stood and day.session.ended > day.session.day.ends_at + 660.0:
        yield f"ended at {day.session.ended:.0f} of {day.session.day.ends_at:.0f} s"


def main(days: int, first: int = FIRST) -> int:
    """Print what is wrong with so many days; how many there are."""
    bad = tries = 0
    for number in range(first, first + days):
        day = lived(number)
        found = wrong(day)
        tries += day.tries
        bad += bool(found)
        for one in found[:3]:
            print(f"day {number}: {one}", flush=True)
    print(f"{days} days from {first}, {tries} hard tries, {bad} days with something wrong")
    return bad


if __name__ == "__main__":
    given = [int(one) for one in sys.argv[1:] if one.isdigit()]
    sys.exit(bool(main(*(given or [20_000]))))
