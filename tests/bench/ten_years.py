"""Ten invented years, every session run by the real core: `python -m tests.bench.ten_years`.

Each climber has a few different days that the core runs, again and again on the days of a year, and
looks at the proposal before every session. Prints each proposal that came up as a row of a table:
who, the first time, how often, what, because of what, and how sure that is. Nobody follows any
proposal, apart from those of whom it is said.
"""

import re
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from functools import cache
from typing import Any

from coach.files.library import load_library
from coach.model.body import Feel, Part
from coach.model.facts import Fact, Felt, SignTold
from coach.model.person import AgeBand, Person
from coach.model.tries import Boulder
from coach.record.digest import digest
from coach.record.entry import Entry
from coach.record.proposal import Beside, propose
from coach.record.standing import JournalPlace, Told, standing
from coach.record.suggest import Grounds
from tests.climber import rehearsed

FIRST = datetime(2025, 1, 6, 18, 0, tzinfo=UTC)
SLATE = ((1, Boulder("slate 4", "overhang", 7, "leap")),)
ADULT = (Person(1, age=AgeBand.ADULT, edge="medium"),)
PAIR = (*ADULT, Person(2, "Runa", AgeBand.ADULT, edge="medium"))
YOUTH = (Person(1, age=AgeBand.UNDER_16),)


@dataclass(frozen=True)
class Sort:
    """One sort of day."""

    minutes: float = 75.0
    answers: tuple[tuple[str, str], ...] = ()
    people: tuple[Person, ...] = ADULT
    routine: str = "full"
    place: str = "tarnwick"
    hurting: tuple[tuple[int, Part, Feel], ...] = ()
    told: tuple[tuple[int, str], ...] = ()


LOW = (("try-cause", "cause:tired"), ("try-result", "ended-start"))
GOOD = (("try-result", "ended-top"), ("try-cause", "cause:grip"))
USUAL, ALL_OUT = Sort(answers=GOOD), Sort(90.0, (*GOOD, ("effort", "effort:10")))
SPENT = Sort(90.0, (*LOW, ("effort", "effort:10")))
SHORT_NIGHT = replace(USUAL, told=((1, "short-of-sleep"),))


def _sore(part: Part, feel: Feel = Feel.SORE) -> Sort:
    return replace(USUAL, hurting=((1, part, feel),))


@dataclass(frozen=True)
class Life:
    """One climber's year: which weekdays, and which sort of day it is in a week; None for none."""

    title: str
    days: tuple[int, ...]
    sort: Callable[[int, int], Sort | None]
    cleared: Mapping[int, Part] = field(default_factory=dict)
    """Week -> the part that a clinician cleared in it."""


def _injured(week: int, n: int) -> Sort | None:
    if 12 <= week < 20:
        return _sore(Part.FINGERS, Feel.HURTING) if week == 12 or n == 0 else None
    return USUAL


def _over(week: int, n: int) -> Sort | None:
    if week < 6:
        return USUAL if n < 2 else None
    return SPENT if week % 10 > 4 else ALL_OUT


def _ignores(week: int, n: int) -> Sort | None:
    if week % 13 == 7:
        return _sore(Part.SHOULDERS) if n else _sore(Part.FINGERS)
    return SHORT_NIGHT if week % 9 == 4 else USUAL


LIVES = (
    Life("steady", (0, 3), lambda week, n: USUAL),
    Life("injured", (0, 3), _injured, {20: Part.FINGERS}),
    Life("overreaching", (0, 2, 4, 5), _over),
    Life("on holiday", (1, 4), lambda week, n: None if week in (20, 21, 22, 38) else USUAL),
    Life("parent", (2,), lambda week, n: Sort(45.0, GOOD)),
    Life("youth", (2, 5), lambda week, n: Sort(75.0, GOOD, YOUTH)),
    Life("a pair", (1, 4), lambda week, n: Sort(90.0, GOOD, PAIR)),
    Life(
        "outdoors in summer",
        (2, 5),
        lambda week, n: (
            Sort(120.0, GOOD, routine="outdoors", place="umbershaw") if 20 <= week < 36 else USUAL
        ),
    ),
    Life("comeback", (0, 3), lambda week, n: None if 8 <= week < 30 else USUAL),
    Life("ignores it all", (0, 2, 4), _ignores),
)


@cache
def facts_of(sort: Sort) -> tuple[Fact, ...]:
    """What the core records of a day of a sort."""
    library = load_library(sort.routine, sort.place)
    more: dict[str, Any] = {"boulders": SLATE, "told": sort.told, "hurting": sort.hurting}
    made = rehearsed(
        sort.minutes, people=sort.people, library=library, answers=dict(sort.answers), **more
    )
    return tuple(made.facts)


def sessions(life: Life, weeks: int) -> Iterator[tuple[datetime, Sort]]:
    """When each session begins, and of which sort it is."""
    for week in range(weeks):
        for n, weekday in enumerate(life.days):
            sort = life.sort(week, n)
            if sort is not None:
                yield FIRST + timedelta(days=7 * week + weekday), sort


@dataclass(frozen=True)
class Proposed:
    """One proposal: what, because of what, how sure."""

    what: str
    because: tuple[str, ...]
    sure: tuple[str, ...]


def year(life: Life, weeks: int = 52) -> Iterator[tuple[date, Proposed, Sequence[Entry], Grounds]]:
    """Before each session of a year what is proposed, with what was known."""
    entries: list[Entry] = []
    told: list[Told] = []
    cleared = dict(life.cleared)
    for number, (begun, sort) in enumerate(sessions(life, weeks)):
        week = (begun - FIRST).days // 7
        for when in [one for one in cleared if one <= week]:
            place = JournalPlace(number, 0, begun.timestamp() - 3600.0)
            told.append(Told(place, begun.date(), f"cleared:{cleared.pop(when)}"))
        stands = standing(told, lambda a, b: (a.instant, a.seq) < (b.instant, b.seq))
        lasting = [one for one in stands if one.sign or one.feel is Feel.HURTING]
        known = Grounds(tuple(entries), begun.date(), tuple(lasting), focuses=("quiet-feet",))
        beside = Beside(routines=frozenset({"full", "outdoors"}), now=begun)
        made = propose(known, beside)
        reasons = [one for one in made.reasons if not _NEWS.search(one.text)]
        what = made.kind
        if made.hard_from is None:
            what += "; no hard tries until it is well or cleared"
        elif (most := made.tries(begun.date())) is not None:
            what += f"; {most} hard tries at most" if most else "; no hard tries today"
        if made.trial:
            what += "; a trial"
        yield (
            begun.date(),
            Proposed(
                what,
                tuple(dict.fromkeys(_plain(one.text) for one in reasons))
                or ("nothing against it",),
                tuple(dict.fromkeys(one.sure for one in reasons)) or ("-",),
            ),
            tuple(entries),
            known,
        )
        library = load_library(sort.routine, sort.place)
        facts = facts_of(sort)
        entries.append(
            Entry(
                number,
                f"{number:04}",
                begun,
                sort.routine,
                round(sort.minutes),
                sort.place,
                1,
                len(sort.people) - 1,
                "done",
                digest(facts, 1, library.movements),
            )
        )
        for seq, fact in enumerate(facts):
            if isinstance(fact, Felt | SignTold) and fact.who == 1:
                told.append(
                    Told(JournalPlace(number, seq + 1, begun.timestamp()), begun.date(), fact)
                )


#: Reasons that stand beside every proposal: they say how long, where and which, and forbid nothing.
_NEWS = re.compile(
    r"^(Your last sessions took|quiet-feet: least|Routine |Place |You mostly climb|slate 4 waits)"
)


def _plain(text: str) -> str:
    """A reason without its numbers and days, so that alike ones are one row."""
    text = re.sub(r"on [A-Z][a-z]{2} \d\d [A-Z][a-z]{2}", "on a day", text)
    text = re.sub(r"told on \d+ [A-Z][a-z]+ \d{4}", "told on a day", text)
    return re.sub(r"\b\d+\b", "N", text)


def table(weeks: int = 52) -> Iterator[tuple[str, ...]]:
    """The rows: who, first time, how often, what, because, how sure."""
    for life in LIVES:
        rows: dict[Proposed, list[date]] = {}
        for day, made, *_ in year(life, weeks):
            rows.setdefault(made, []).append(day)
        for made, days in rows.items():
            yield (
                life.title,
                f"{days[0]:%d %b}",
                str(len(days)),
                made.what,
                " ".join(made.because),
                ", ".join(made.sure),
            )


def main(weeks: str = "52") -> None:
    """Print the table in Markdown."""
    print("| who | first | times | proposal | because | how sure |")
    print("| --- | --- | --- | --- | --- | --- |")
    for row in table(int(weeks)):
        print(f"| {' | '.join(row)} |")


if __name__ == "__main__":
    main(*sys.argv[1:])
