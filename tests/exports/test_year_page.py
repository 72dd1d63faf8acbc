"""The year on one page, judged by the export: weeks, doses, lines of 80 columns, one HTML page."""

import re
from collections import defaultdict
from collections.abc import Callable
from datetime import date, timedelta
from html.parser import HTMLParser
from pathlib import Path

import pytest

from coach.cli import commands, diagnostics
from coach.errors import ExitCode
from coach.journal import Journal
from coach.journal.lines import export
from tests.record import real
from tests.record.recount import Judge, Sitting

#: Nothing for two months in the middle of what was climbed.
SESSIONS, DIFFERENT, PAUSE = 24, 12, timedelta(days=63)
Typed = Callable[..., str]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A journal of real sessions with a pause in it, and its export."""
    made = tmp_path_factory.mktemp("year")
    with Journal.open(made / "journal.db", write=True) as journal:
        real.fill(journal, SESSIONS, DIFFERENT)
        last = real.FIRST + PAUSE + timedelta(days=4 * SESSIONS)
        real.put(journal, real.day(3, "alone"), last, "after the pause")
        with (made / "journal.jsonl").open("w", encoding="utf-8") as to:
            export(journal, to)
    return made


@pytest.fixture
def typed(folder: Path, capsys: pytest.CaptureFixture[str]) -> Typed:
    def run(*line: str) -> str:
        asked = ["year", *line, "--journal", str(folder / "journal.db")]
        assert diagnostics.guarded(commands, asked) is ExitCode.OK
        return capsys.readouterr().out

    return run


def sittings(folder: Path) -> list[Sitting]:
    return [one for one in Judge(folder / "journal.jsonl").sittings("") if one.day.year == 2025]


def weeks(folder: Path) -> dict[date, list[Sitting]]:
    found: dict[date, list[Sitting]] = defaultdict(list)
    for one in sittings(folder):
        found[one.day - timedelta(days=one.day.weekday())].append(one)
    return found


def figures(every: list[Sitting]) -> tuple[int, int, int]:
    """Sessions, minutes, hard tries."""
    minutes = round(sum(one.seconds for one in every) / 60)
    return len(every), minutes, sum(len(one.tried) for one in every)


def week_of(text: str) -> date:
    day, month = text.split()
    months = ("Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec").split()
    return date(2025, months.index(month) + 1, int(day))


def test_every_week_stands_there_as_it_was(folder: Path, typed: Typed) -> None:
    out = typed("2025").splitlines()
    assert max(map(len, out)) <= 80
    every = weeks(folder)
    shown: dict[date, tuple[int, int, int]] = {}
    for line in out:
        if together := re.match(r"(\d\d \w{3}) to (\d\d \w{3}): (\d+) weeks without", line):
            first, last = week_of(together[1]), week_of(together[2])
            run = [first + timedelta(days=7 * n) for n in range(int(together[3]))]
            assert run[-1] == last
            assert not every.keys() & set(run)
            shown |= dict.fromkeys(run, (0, 0, 0))
        elif re.match(r"\d\d \w{3}(  |$)", line):
            cells = (line[6:14], line[14:20], line[20:26])
            shown[week_of(line[:6])] = tuple(int(cell.strip() or 0) for cell in cells)  # type: ignore[assignment]
    assert {day: row for day, row in shown.items() if row[0]} == {
        day: figures(some) for day, some in every.items()
    }
    # from the first to the last of the year none is missing
    assert sorted(shown) == [min(every) + timedelta(days=7 * n) for n in range(len(shown))]
    assert max(shown) == date(2025, 12, 29)


def test_doses_are_what_was_practised(folder: Path, typed: Typed) -> None:
    out = typed("2025")
    every = sittings(folder)
    for dose in ("mobility", "hangs", "focus"):
        told = re.search(rf"{dose}: (?:(\d+) h (\d+)|(\d+) (min|s)) in (\d+) session", out)
        assert told is not None
        steps = [[s for s in one.of("StepEnded") if s["amount"] > 0] for one in every]
        seconds = [
            sum(s["seconds"] for s in some if one.dose(s) == dose)
            for one, some in zip(every, steps, strict=True)
        ]
        hours, minutes, number, unit, times = told.groups()
        size = 1.0 if unit == "s" else 60.0
        shown = 60.0 * (60 * int(hours) + int(minutes)) if hours else size * int(number)
        assert abs(shown - sum(seconds)) <= size / 2
        assert int(times) == sum(one > 0 for one in seconds)


class Page(HTMLParser):
    """What a page asks for from elsewhere, its cells, and tags that never end."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.asked: list[str] = []
        self.cells: list[str] = []
        self.open: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.asked += [str(value) for name, value in attrs if name in ("src", "href")]
        if tag not in ("meta", "link"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "td" in self.open:
            self.cells.append(data)


def test_the_page_says_the_same_and_needs_nothing_else(
    folder: Path, typed: Typed, tmp_path: Path
) -> None:
    typed("2025", "--out", str(tmp_path / "year.html"))
    page = Page((tmp_path / "year.html").read_text(encoding="utf-8"))
    assert page.asked == []
    assert page.open == []
    for day, some in weeks(folder).items():
        at = page.cells.index(f"{day:%d %b}")
        assert page.cells[at + 1] == str(len(some))
        assert str(figures(some)[1]) in page.cells[at + 1 : at + 3]


def test_a_year_with_nothing_in_it_says_so(typed: Typed) -> None:
    out = typed("2024")
    assert "No session" in out
    assert "week of" not in out
