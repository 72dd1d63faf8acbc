"""Every figure of every panel, counted again by a judge that imports nothing of the program."""

import math
from collections import Counter
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest

from coach.journal import Journal
from coach.journal.entries import entries
from coach.journal.persons import known_people
from coach.model.person import Person
from coach.record.panel import Panel
from coach.record.periods import PeriodLength
from coach.record.trends import PanelSource, trends
from tests.record import real
from tests.record.recount import Judge, Rows

#: Sessions in the tests; the bench runs 300 (`python -m tests.bench.record figures`).
SESSIONS, DIFFERENT = 56, 28


@pytest.fixture(scope="module")
def folder() -> Path:
    """A journal of real sessions and its export."""
    return real.recorded(SESSIONS, DIFFERENT)


def compared(
    folder: Path,
    name: str,
    by: PeriodLength,
    counts: Counter[str] | None = None,
    later: int = 3,
) -> Iterator[str]:
    """What differs between the panels and the judge, a line each; counts the figures."""
    with Journal.open(folder / "journal.db", write=False) as journal:
        someone = known_people(journal).named(name) if name else Person(1)
        assert someone is not None
        found = entries(journal, someone)
    today = found[-1].day + timedelta(days=later)
    panels = {one.name: one for one in trends(PanelSource(found, by, today))}
    judged = Judge(folder / "journal.jsonl").panels(name, by.value, today)
    assert judged.keys() == panels.keys()
    for title, rows in judged.items():
        if counts is not None:
            counts["figures"] += sum(len(_told(row)) for row in rows.values())
        yield from differing(panels[title], rows)


def differing(panel: Panel, rows: Rows) -> Iterator[str]:
    """Where a panel and the judge's rows differ."""
    drawn = {one.name: one.values for one in panel.series}
    drawn |= {one.name: one.values for one in panel.levels}
    drawn.pop("lower limit", None)
    rows = {name: row for name, row in rows.items() if name in drawn or any(_told(row))}
    if panel.name in ("edge", "edge-readings"):
        labels = tuple(str(n) for n in range(len(panel.labels)))
    elif panel.name == "tops":
        labels = tuple(label.split(" (")[0] for label in panel.labels)
    else:
        labels = panel.labels
    for name in rows.keys() | drawn.keys():
        mine = dict(zip(labels, drawn.get(name, ()), strict=False))
        theirs = rows.get(name, {})
        for label in mine.keys() | theirs.keys():
            one, other = mine.get(label), theirs.get(label)
            if one is None or other is None:
                if one != other:
                    yield f"{panel.name}, {name}, {label}: {one} and {other}"
            elif not math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-9):
                yield f"{panel.name}, {name}, {label}: {one} and {other}"


def _told(row: dict[str, float | None]) -> list[float]:
    return [value for value in row.values() if value is not None]


@pytest.mark.no_cover
@pytest.mark.parametrize("name", ["", "Runa", "Tarn"])
@pytest.mark.parametrize("by", PeriodLength)
def test_every_figure_is_that_of_the_judge(folder: Path, name: str, by: PeriodLength) -> None:
    assert list(compared(folder, name, by)) == []


@pytest.mark.parametrize(
    ("by", "later"), [("day", 400), ("week", 400), ("week", 1200), ("week", 4200), ("month", 400)]
)
def test_so_is_every_figure_long_after(folder: Path, by: str, later: int) -> None:
    """Of more than 60 weeks the median week of longer periods is drawn."""
    assert list(compared(folder, "Tarn", PeriodLength(by), later=later)) == []


def test_the_panels_of_real_sessions_are_not_empty(folder: Path) -> None:
    """What the core writes reaches every panel: a judge of empty panels would judge nothing."""
    with Journal.open(folder / "journal.db", write=False) as journal:
        found = entries(journal, Person(1))
    panels = trends(PanelSource(found, PeriodLength.MONTH, date(2026, 12, 31)))
    assert [panel.name for panel in panels if panel.empty] == []


def test_a_wrong_figure_is_found(folder: Path) -> None:
    judged = Judge(folder / "journal.jsonl").panels("", "month", date(2026, 12, 31))
    with Journal.open(folder / "journal.db", write=False) as journal:
        found = entries(journal, Person(1))
    (panel,) = trends(PanelSource(found, PeriodLength.MONTH, date(2026, 12, 31)), ["rests"])
    label = next(label for label, value in judged["rests"]["taken"].items() if value)
    judged["rests"]["taken"][label] = (judged["rests"]["taken"][label] or 0.0) + 0.5
    assert len(list(differing(panel, judged["rests"]))) == 1
