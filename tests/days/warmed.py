"""What a warm-up owes whoever tries hard, judged from what was kept and from the catalogue's files.

Rests, boulders, checks and counts are read off the record. The files are read here by themselves:
nothing of the planner, and nothing of how the core reads them.
"""

import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

ROUTINES = Path(__file__).parents[2] / "routines"
#: Common practice: ten easy and five middle boulders before hard tries.
EASY, MIDDLE = 10, 5
#: Seconds below which nobody climbs a boulder and is at the next: an attempt took 28.9 +- 10.8 s
#: (White DJ, Olsen PD 2010, J Strength Cond Res 24(5):1356-1360); the numbers are our choice.
LEAST = {"easy": 15.0, "middle": 25.0}
#: Routines with a whole warm-up of their own; others leave some of it to whoever chose them.
WHOLE = frozenset({"full", "full-150"})
#: published: sets of several joints are rested 2 to 3 min (ACSM 2009, Med Sci Sports Exerc 41).
AFTER_A_TRY = 120.0
CLEAR = frozenset({"feel:fine", "feel:fresh"})
#: Somebody is asked about the fingers in one of two ways.
_FINGERS = frozenset({"gate-fingers", "gate-fingers-now"})


@cache
def catalogue() -> dict[str, dict[str, Any]]:
    """Every movement as its file states it."""
    found: dict[str, dict[str, Any]] = {}
    for file in sorted((ROUTINES / "movements").glob("*.toml")):
        found |= tomllib.loads(file.read_text("utf-8"))["movements"]
    return found


def _kept(day: Any) -> list[Any]:
    return [line.what for line in day.lines("kept")]


def kept_apart(day: Any) -> list[str]:
    """What one movement loads most rests for as long as it says before it is loaded so again.

    What moves a part gently (1 of 3) after it was loaded with more may come at once.
    """
    found: list[str] = []
    since: dict[tuple[int, str], tuple[float, str, int]] = {}
    for fact in _kept(day):
        stated = catalogue().get(getattr(fact, "movement", ""))
        if type(fact).__name__ != "StepEnded" or stated is None or fact.seconds <= 0:
            continue
        load = {part: most for part, most in stated.get("load", {}).items() if most > 0}
        begun = fact.at - fact.seconds
        for part in load if fact.kind in ("stay", "repeat", "breathe") else ():
            ready, after, with_load = since.get((fact.who, part), (0.0, "", 0))
            if begun < ready - 1.0 and load[part] >= min(2, with_load):
                found.append(
                    f"{begun:.0f} s: {part} in {fact.movement}, rests until {ready:.0f} ({after})"
                )
        rest = stated.get("rest", 0.0)
        if fact.kind == "try":
            rest = min(rest, AFTER_A_TRY)  # she may have chosen a shorter one
        for part, most in load.items():
            if most == max(load.values()):
                rested = fact.at + rest
                since[fact.who, part] = (rested, fact.movement, most)
    return found


def warmed(day: Any) -> list[str]:
    """No hard try before ten easy and five middle boulders, every check clear, and her own go."""
    if day.session is None or day.session.library.routine.name not in WHOLE:
        return []
    found: list[str] = []
    for who in day.session.people:
        climbed = {"easy": 0, "middle": 0}
        clear: dict[str, bool] = {}
        gone = False
        for fact in _kept(day):
            name = type(fact).__name__
            if getattr(fact, "who", who) not in (0, who):
                continue
            if name == "Climbed" and fact.tier in climbed:
                climbed[fact.tier] += fact.boulders
            elif name == "GateAnswered":
                clear[fact.question] = fact.answer in CLEAR
            elif name == "Decided":
                gone = fact.go
            elif name == "StepEnded" and fact.kind == "try" and fact.amount and fact.seconds > 0:
                found += list(_missing(fact.at, climbed, clear, gone=gone))
                break
    return found


def _missing(
    at: float, climbed: dict[str, int], clear: dict[str, bool], *, gone: bool
) -> Iterator[str]:
    for tier, least in (("easy", EASY), ("middle", MIDDLE)):
        if climbed[tier] < least:
            yield f"{at:.0f} s: a try after {climbed[tier]} {tier} boulders"
    for gate in ("gate-body", "gate-shoulders"):
        if not clear.get(gate):
            yield f"{at:.0f} s: a try, {gate} not clear"
    if not any(clear.get(gate) for gate in _FINGERS):
        yield f"{at:.0f} s: a try, the fingers not clear"
    if not gone:
        yield f"{at:.0f} s: a try without a go"


def believed(day: Any) -> list[str]:
    """No batch holds more boulders than its seconds can, but where she told the number herself.

    And whoever sits a batch out has climbed none of it.
    """
    found: list[str] = []
    counted = before = latest = -1e9
    out: set[tuple[float, int]] = set()
    for line in day.hall.log:
        if line.kind == "heard" and line.text.startswith("count:"):
            counted = line.at
        if line.kind == "kept" and line.text == "StepEnded" and line.what.outcome == "left-out":
            out.add((line.what.at, line.what.who))
        if line.kind == "kept" and line.text == "Climbed" and line.what.tier in LEAST:
            fact = line.what
            if fact.at != latest:
                before, latest = latest, fact.at
            least = fact.boulders * LEAST[fact.tier]
            if (fact.at, fact.who) in out:
                found.append(f"{fact.at:.0f} s: {fact.who} has climbed what she sat out")
            elif fact.seconds < least - 1.0 and counted < before:
                found.append(
                    f"{fact.at:.0f} s: {fact.boulders} {fact.tier} in {fact.seconds:.0f} s"
                )
    return found
