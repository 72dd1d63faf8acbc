"""A judge of the panels: every figure again, from the JSON Lines export, by other means.

Imports nothing of `coach`: it reads the file as any program could, and counts by the definitions
of docs/journal.md. `Judge(path).panels(person, by, today)` gives, for each panel, what stands on
each label of each row.
"""

import json
from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from statistics import median, stdev
from typing import Any

Rows = dict[str, dict[str, float | None]]
"""Row -> label -> value."""

PLACES = ["start", "middle", "top", "topped"]
FEELS = {"fresh": 5.0, "fine": 4.0, "stiff": 3.0, "tired": 3.0, "sore": 2.0, "hurting": 1.0}
DEGREES = {"stiff": 1, "tired": 2, "sore": 3, "hurting": 4}
#: From the worst to the best.
WORST = ["hurting", "sore", "tired", "stiff", "fine", "fresh"]
MOBILITY = ("mat", "hands", "shoulders", "cool-down")


@dataclass
class Sitting:
    """One person in one session, as the lines of the file say."""

    uid: str
    day: date
    place: str
    instant: float
    facts: list[dict[str, Any]]
    """Each with its kind; theirs and everybody's, in order, everybody else's marked `other`."""
    movements: dict[str, Any]
    who: int

    def of(self, kind: str) -> list[dict[str, Any]]:
        return [f for f in self.facts if f["kind"] == kind and not f["other"]]

    @property
    def seconds(self) -> float:
        ends = self.of("Finished")
        own = [f["at"] for f in self.facts if not f["other"]]
        return float(ends[-1]["seconds"]) if ends else max(own, default=0.0)

    @property
    def effort(self) -> int | None:
        ends = self.of("Finished")
        return ends[-1]["effort"] if ends else None

    @property
    def tried(self) -> list[tuple[str, str]]:
        tries = sorted(self.of("Tried"), key=lambda f: f["number"])
        anew = {f["number"]: f["result"] for f in self.of("Retold")}
        return [(f["boulder"], anew.get(f["number"], f["result"])) for f in tries]

    @property
    def tops(self) -> list[str]:
        return sorted({boulder for boulder, result in self.tried if result == "topped"})

    def key(self, boulder: str) -> tuple[str, str, str]:
        nameless = boulder.split(" ", maxsplit=1)[0] == "boulder" and len(boulder.split(" ")) == 2
        return (self.place, self.uid if nameless else "", boulder)

    def dose(self, step: dict[str, Any]) -> str:
        known = self.movements.get(step["movement"])
        if known is None:
            return {"mat": "mobility", "board": "hangs"}.get(step["block"], "")
        if known["family"] == "focus":
            return "focus"
        if known["hang"] is not None:
            return "hangs"
        return "mobility" if known["family"] in MOBILITY else ""

    @property
    def rests(self) -> list[tuple[float, float]]:
        """Suggested and taken between each two of their tries."""
        marks = [
            n
            for n, f in enumerate(self.facts)
            if f["kind"] == "StepEnded" and f["what"] == "try" and f["amount"] > 0
            and f["who"] == self.who
        ]  # fmt: skip
        found = []
        for begin, end in pairwise(marks):
            between = self.facts[begin + 1 : end]
            rested = [f for f in between if f["kind"] == "Rested" and not f["other"]]
            wall = sum(
                f["seconds"]
                for f in between
                if f["kind"] == "StepEnded" and f["what"] == "try" and f["amount"] > 0
            )
            if rested:
                found.append(
                    (
                        sum(f["suggested"] for f in rested) + wall,
                        sum(f["seconds"] for f in rested) + wall,
                    )
                )
        return found


class Judge:
    """What one file holds."""

    def __init__(self, path: Path) -> None:
        self.lines = [json.loads(text) for text in path.read_text(encoding="utf-8").splitlines()]
        self.libraries = {one["digest"]: one["library"] for one in self._lines("library")}

    def _lines(self, kind: str) -> list[dict[str, Any]]:
        return [one for one in self.lines if one["line"] == kind]

    def sittings(self, name: str) -> list[Sitting]:
        """Every session of the person of a name, the earliest first; '' is the first, nameless."""
        events = defaultdict(list)
        for line in self._lines("event"):
            events[line["session"]].append(line)
        found = []
        for line in self._lines("session"):
            people = line["start"]["people"]
            for person in people:
                mine = person["name"] == name and (
                    name or (person["who"] == 1 and len(people) <= 3)
                )
                if not mine:
                    continue
                facts = []
                for event in events[line["uid"]]:
                    facts += _shared_out(event["facts"], [p["who"] for p in people], person["who"])
                begun = datetime.fromisoformat(line["start"]["wall"])
                library = self.libraries[line["library"]]
                found.append(
                    Sitting(
                        line["uid"],
                        begun.date(),
                        library["place"]["name"],
                        begun.timestamp(),
                        facts,
                        library["movements"],
                        person["who"],
                    )
                )
        return sorted(found, key=lambda one: (one.instant, one.uid))

    def panels(self, name: str, by: str, today: date) -> dict[str, Rows]:
        """Every figure that the panels should show."""
        every = self.sittings(name)
        groups = _periods(every, by, today)
        heights, firsts = _new_heights(every), _first_tops(every)

        def row(of: Any) -> dict[str, float | None]:
            return {label: of(group) for label, group in groups.items()}

        def total(of: Any) -> dict[str, float | None]:
            return row(lambda group: float(sum(of(one) for one in group)))

        def middle(of: Any) -> dict[str, float | None]:
            def value(group: list[Sitting]) -> float | None:
                values = [v for one in group for v in of(one)]
                return float(median(values)) if values else None

            return row(value)

        found: dict[str, Rows] = {
            "doses": {
                dose: row(lambda group, dose=dose: round(sum(
                    step["seconds"] for one in group for step in one.of("StepEnded")
                    if step["amount"] > 0 and one.dose(step) == dose
                ) / 60, 1))
                for dose in ("mobility", "hangs", "focus")
            },
            "tries": {
                "hard tries": total(lambda one: len(one.tried)),
                "tops": total(lambda one: len(one.tops)),
                "new heights": total(lambda one: heights[one.uid]),
            },
            "success": {"topped": row(lambda group: _share(
                [result for one in group for _, result in one.tried]
            ))},
            "tries-per-top": {"median": middle(lambda one: firsts[one.uid])},
            "best-try": {"best try": middle(_best)},
            "rests": {
                "taken": middle(lambda one: [taken for _, taken in one.rests]),
                "suggested": middle(lambda one: [asked for asked, _ in one.rests]),
            },
            "soreness": _soreness(every, groups),
            "stairs": {"boulders": _stairs(every)},
            "tops": {"boulders": _tops(every)},
            "drop-off": {"topped": _drop_off(every)},
            "rules": {"fired": _rules(every)},
            **_edges(every),
            **_weeks(every, today, by),
        }  # fmt: skip
        return found


def _shared_out(facts: list[dict[str, Any]], people: list[int], who: int) -> list[dict[str, Any]]:
    """The facts of one transaction with whose they are: a rule's, an effort's."""
    named = {one["fact"]["who"] for one in facts} - {0}
    found = []
    for one in facts:
        fact = dict(one["fact"])
        # 'kind' of a StepEnded is what it is; the line's own kind is the class
        fact |= {"what": fact.get("kind", ""), "kind": one["kind"]}
        owner = fact["who"]
        if len(people) > 1 and owner == 0:
            if fact["kind"] == "RuleFired" and len(named) == 1:
                (owner,) = named
            if fact["kind"] == "Finished" and who != people[0]:
                fact["effort"] = None
        found.append(fact | {"who": owner, "other": owner not in (0, who)})
    return found


def _label(day: date, by: str) -> str:
    return {
        "day": f"{day:%Y-%m-%d}",
        "week": f"{day:%G-W%V}",
        "month": f"{day:%Y-%m}",
        "quarter": f"{day:%Y}-Q{-(-day.month // 3)}",
        "year": f"{day:%Y}",
    }[by]


def _periods(every: list[Sitting], by: str, today: date) -> dict[str, list[Sitting]]:
    if not every:
        return {}
    first = min(one.day for one in every)
    last = max([today, *(one.day for one in every)])
    days = (first + timedelta(days=n) for n in range((last - first).days + 1))
    groups: dict[str, list[Sitting]] = {_label(day, by): [] for day in days}
    for one in every:
        groups[_label(one.day, by)].append(one)
    return groups


def _share(results: list[str]) -> float | None:
    told = [result for result in results if result != "untold"]
    return round(100.0 * told.count("topped") / len(told), 1) if told else None


def _new_heights(every: list[Sitting]) -> dict[str, int]:
    best: dict[Any, int] = {}
    found = {}
    for one in every:
        today: dict[Any, int] = {}
        for boulder, result in one.tried:
            if result in PLACES:
                key = one.key(boulder)
                today[key] = max(today.get(key, 0), PLACES.index(result))
        found[one.uid] = sum(place > best.get(key, 2) for key, place in today.items())
        for key, place in today.items():
            best[key] = max(best.get(key, 0), place)
    return found


def _first_tops(every: list[Sitting]) -> dict[str, list[int]]:
    log: dict[Any, list[tuple[str, str]]] = defaultdict(list)
    for one in every:
        for boulder, result in one.tried:
            log[one.key(boulder)].append((one.uid, result))
    found: dict[str, list[int]] = {one.uid: [] for one in every}
    for tries in log.values():
        results = [result for _, result in tries]
        if "topped" in results:
            number = results.index("topped")
            found[tries[number][0]].append(number + 1)
    return found


def _best(one: Sitting) -> list[int]:
    places = [PLACES.index(result) if result in PLACES else -1 for _, result in one.tried]
    if sum(place >= 0 for place in places) < 3:
        return []
    return [places.index(max(places)) + 1]


def _soreness(every: list[Sitting], groups: dict[str, list[Sitting]]) -> Rows:
    def worst(one: Sitting, part: str) -> int:
        feels = [f["feel"] for f in one.of("Felt") if f["part"] == part]
        return DEGREES.get(min(feels, key=WORST.index), 0) if feels else 0

    parts = {f["part"] for one in every for f in one.of("Felt")}
    found: Rows = {}
    for part in parts:
        if any(worst(one, part) for one in every):
            found[part] = {
                label: float(max((worst(one, part) for one in group), default=0)) or None
                for label, group in groups.items()
            }
    return found


def _stairs(every: list[Sitting]) -> dict[str, float | None]:
    found: dict[str, float] = defaultdict(float)
    for one in every:
        for fact in one.of("Climbed"):
            found[fact["tier"]] += fact["boulders"]
        found["hard, topped"] += len(one.tops)
    return {name: number for name, number in found.items() if number}


def _tops(every: list[Sitting]) -> dict[str, float | None]:
    """By what a name begins with; the label of the chart may go on with the grades."""
    found: dict[str, float] = defaultdict(float)
    for one in every:
        for boulder in one.tops:
            first, _, number = boulder.rpartition(" ")
            nameless = first == "boulder"
            found["no name" if nameless else first if number.isdigit() else boulder] += 1
    return dict(found)


def _drop_off(every: list[Sitting]) -> dict[str, float | None]:
    by_number: dict[int, list[str]] = defaultdict(list)
    for one in every:
        for number, (_, result) in enumerate(one.tried, 1):
            by_number[min(number, 10)].append(result)
    shares = {
        f"try {number}{' and later' if number == 10 else ''}": _share(results)
        for number, results in sorted(by_number.items())
    }
    return {name: share for name, share in shares.items() if share is not None}


def _rules(every: list[Sitting]) -> dict[str, float | None]:
    found: dict[str, float] = defaultdict(float)
    for one in every:
        for fact in one.of("RuleFired"):
            name = fact["rule"].replace("-", " ")
            found[name.replace("make up", "make-up").replace("warm up", "warm-up")] += 1
    return dict(found)


def _edges(every: list[Sitting]) -> dict[str, Rows]:
    checks: list[dict[str, Any]] = []
    for one in every:
        last = None
        for fact in one.facts:
            if fact["other"]:
                continue
            if fact["kind"] == "EdgeChecked":
                last = fact | {"day": one.day.isoformat()}
                checks.append(last)
            elif fact["kind"] == "ScaleRead" and last is not None:
                last["reading"] = fact["reading"]
    same = [c for c in checks if all(c[k] == checks[-1][k] for k in ("edge", "grip", "feet"))]
    feels = [(check["day"], FEELS[check["feel"]]) for check in same]
    read = [(check["day"], check["reading"]) for check in same if check["reading"] is not None]
    return {"edge": _rolling(feels, 0.5, 0.0), "edge-readings": _rolling(read, 0.0, 0.027)}


def _rolling(checks: list[tuple[str, float]], floor: float, part: float) -> Rows:
    """Usual, moving average and limits; rows are numbered, since a day may have two checks."""
    found: Rows = {"check": {}, "moving average": {}, "usual": {}, "limits": {}}
    average, number = None, 0
    for n, (_, value) in enumerate(checks):
        before = checks[max(n - 60, 0) : n]
        found["check"][str(n)] = value
        for name in ("moving average", "usual", "limits"):
            found[name][str(n)] = None
        if len(before) < 8:
            continue
        last = date.fromisoformat(before[-1][0])
        weighed = [(v, 2.0 ** ((date.fromisoformat(day) - last).days / 21.0)) for day, v in before]
        centre = _balanced(weighed)
        spread = 1.4826 * _balanced([(abs(v - centre), weight) for v, weight in weighed])
        spread = max(spread, floor, abs(centre) * part)
        average = 0.3 * value + 0.7 * (centre if average is None else average)
        number += 1
        width = 3.0 * spread * (0.3 / 1.7 * (1 - 0.7 ** (2 * number))) ** 0.5
        found["usual"][str(n)] = centre
        found["moving average"][str(n)] = average
        found["limits"][str(n)] = centre + width
    return found


def _balanced(weighed: list[tuple[float, float]]) -> float:
    """The value with as much weight below as above; the middle of two where they balance."""
    everything = sum(weight for _, weight in weighed)
    fits = []
    for value in {value for value, _ in weighed}:
        below = sum(weight for other, weight in weighed if other < value)
        above = sum(weight for other, weight in weighed if other > value)
        if max(below, above) <= everything / 2 * (1 + 1e-9):
            fits.append(value)
    return (min(fits) + max(fits)) / 2


def _weeks(every: list[Sitting], today: date, by: str) -> dict[str, Rows]:
    """Load, monotony and strain by week; of more than 60 the median week of each `by`.

    Where that is a day or a week: of each month up to three years, quarter up to eleven, or year.
    """
    load: dict[str, float | None] = {}
    same: dict[str, float | None] = {}
    strain: dict[str, float | None] = {}
    groups = _periods(every, "week", today)
    first = min((one.day for one in every), default=today)
    for label, group in groups.items():
        monday = datetime.strptime(label + "-1", "%G-W%V-%u").date()  # noqa: DTZ007 - a day
        days = [0.0] * 7
        for one in group:
            days[(one.day - monday).days] += (one.effort or 0) * one.seconds / 60
        load[label] = round(sum(days), 1)
        whole = monday >= first and monday + timedelta(days=6) <= today
        told = all(one.effort is not None for one in group)
        known = whole and told and sum(days) > 0 and len(set(days)) > 1
        same[label] = sum(days) / 7 / stdev(days) if known else None
        strain[label] = sum(days) * sum(days) / 7 / stdev(days) if known else None
    rows = {"load": load, "monotony": same, "strain": strain}
    if len(load) <= 60:
        return {name: {name: row} for name, row in rows.items()}
    if by in ("day", "week"):
        begun = first - timedelta(days=first.weekday())
        days_in_all = (today - begun).days + 1
        by = "month" if days_in_all <= 1096 else "quarter" if days_in_all <= 4018 else "year"
    return {name: {f"median {name}": _middles(row, by)} for name, row in rows.items()}


def _middles(row: dict[str, float | None], by: str) -> dict[str, float | None]:
    groups: dict[str, list[float]] = {}
    mondays = [datetime.strptime(label + "-1", "%G-W%V-%u").date() for label in row]  # noqa: DTZ007
    for n in range((mondays[-1] - mondays[0]).days + 1):
        groups.setdefault(_label(mondays[0] + timedelta(days=n), by), [])
    for monday, value in zip(mondays, row.values(), strict=True):
        if value is not None:
            groups[_label(monday, by)].append(value)
    return {label: float(median(values)) if values else None for label, values in groups.items()}
