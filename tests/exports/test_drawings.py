"""Charts on a terminal, on paper and in a page; each says the same in words."""

import html
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.errors import CoachError, UsageError
from coach.exports.charts import page, picture, text, write_charts
from coach.exports.text_charts import draw
from coach.journal import Journal
from coach.journal.entries import entries
from coach.journal.transfer import put_all
from coach.model.person import Person
from coach.record.panel import LevelLine, Panel, Series, Shape, thinned
from coach.record.periods import PeriodLength
from coach.record.trends import PanelSource, trends
from tests.record.invented import library, sessions

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def panels(tmp_path_factory: pytest.TempPathFactory) -> tuple[Panel, ...]:
    """Every panel of an invented half-year."""
    with Journal.open(tmp_path_factory.mktemp("x") / "journal.db", write=True) as journal:
        put_all(journal, sessions(13))
        found = entries(journal, Person(1))
    return trends(
        PanelSource(found, PeriodLength.MONTH, date(2025, 7, 7), library().place.circuits)
    )


numbers = st.one_of(st.none(), st.floats(-1e6, 1e6))


@st.composite
def any_panel(draw_: st.DrawFn) -> Panel:
    length = draw_(st.integers(1, 40))
    shape = draw_(st.sampled_from(Shape))
    value = st.integers(0, 4).map(float) if shape is Shape.GRID else st.floats(0, 1e6)
    if shape is Shape.LINE:
        value = st.floats(-1e6, 1e6)
    row = st.lists(st.one_of(st.none(), value), min_size=length, max_size=length).map(tuple)
    series = tuple(Series(f"s{n}", draw_(row)) for n in range(draw_(st.integers(1, 3))))
    levels = tuple(LevelLine("level", draw_(row)) for _ in range(draw_(st.integers(0, 2))))
    labels = tuple(f"2026-{n:02}" for n in range(length))
    marked = tuple(i for i in range(length) if draw_(st.booleans()))
    return Panel("p", "Title", "unit", shape, labels, series, ("words",), levels, (), marked)


@given(any_panel(), st.integers(40, 200))
def test_a_drawing_fits_the_terminal(panel: Panel, width: int) -> None:
    lines = draw(panel, width)
    assert lines[0] == "Title (unit)"
    assert all(len(line) <= width for line in lines[1:])
    assert all(line.isprintable() for line in lines)


@pytest.mark.parametrize("width", [60, 120])
def test_every_line_of_every_panel_fits(panels: tuple[Panel, ...], width: int) -> None:
    for panel in panels:
        assert [line for line in draw(panel, width) if len(line) > width] == []


@given(st.lists(st.integers(0, 4000), min_size=1, max_size=200), st.integers(5, 60))
def test_a_crowded_row_is_drawn_by_its_middles(at: list[int], most: int) -> None:
    days = tuple(date.fromordinal(738000 + day) for day in sorted(at))
    values = tuple(float(n % 7) for n in range(len(days)))
    labels = tuple(map(str, days))
    row = Series("x", values)
    panel = Panel("p", "T", "kg", Shape.LINE, labels, (row,), (), marked=(0,), days=days)
    drawn = thinned(panel, most)
    if len(days) <= 2 * most:
        assert drawn is panel
        return
    assert len(drawn.days) <= most
    assert list(drawn.days) == sorted(drawn.days)
    assert {len(drawn.labels), len(drawn.days)} == {len(drawn.series[0].values)}
    assert all(value in range(7) or 2 * value % 1 == 0 for value in drawn.series[0].values if value)
    assert "each mark the middle" in drawn.unit


def test_middles_are_those_of_days_near_each_other() -> None:
    days = tuple(date.fromordinal(738000 + n) for n in (0, 1, 2, 30, 31, 60, 61, 62, 63))
    row = Series("x", (1.0, 5.0, 3.0, 8.0, None, 2.0, 2.0, 9.0, 9.0))
    panel = Panel("p", "T", "kg", Shape.LINE, ("d",) * 9, (row,), (), marked=(5, 6, 7), days=days)
    drawn = thinned(panel, 3)
    assert drawn.series[0].values == (3.0, 8.0, 5.5)
    assert drawn.marked == (2,)
    # half of them is not most
    assert thinned(replace(panel, marked=(0, 3, 5, 6)), 3).marked == ()
    assert thinned(replace(panel, marked=(0, 1, 3, 4)), 3).marked == (0, 1)
    assert drawn.labels == ("d",) * 3
    assert drawn.days == (days[1], days[4], days[7])


def test_bars_are_as_long_as_their_amounts() -> None:
    series = (Series("a", (10.0, 5.0)), Series("b", (10.0, None)))
    panel = Panel("p", "T", "min", Shape.STACK, ("jan", "feb"), series, ())
    drawn = draw(panel, 60)
    assert drawn[1].count("█") == drawn[1].count("▒") == 2 * drawn[2].count("█")
    assert drawn[1].endswith(" 20")
    assert "█ a   ▒ b" in drawn[-1]


def test_the_floor_is_drawn_last() -> None:
    row = Series("x", (600.0, 2.0))
    panel = Panel("p", "T", "boulders", Shape.STAIRS, ("easy", "hard"), (row,), ())
    high, low = draw(panel, 60)[1:]
    assert low.split() == ["easy", "█" * 47, "600"]
    assert high.split() == ["hard", "2"]


def test_a_gap_in_the_record_is_a_gap_on_the_axis() -> None:
    days = (date(2026, 1, 1), date(2026, 1, 2), date(2026, 12, 31))
    labels = tuple(day.isoformat() for day in days)
    panel = Panel("p", "T", "x", Shape.LINE, labels, (Series("x", (1.0, 1.0, 1.0)),), (), days=days)
    (row,) = [line for line in draw(panel, 110) if "●" in line]
    assert [n for n, mark in enumerate(row) if mark == "●"] == [9, 108]


def test_a_long_row_shows_its_latest_part() -> None:
    labels = tuple(f"w{n:03}" for n in range(60))
    row = Series("x", tuple(float(n) for n in range(60)))
    drawn = draw(Panel("p", "T", "x", Shape.STACK, labels, (row,), ()), 60)
    assert drawn[1] == "(the last 42 of 60)"
    assert drawn[-1].startswith("w059")


@pytest.mark.parametrize(
    ("months", "told"), [(1, "2025-01"), (13, "2025-01 to 2026-01"), (20, "2025-01      2026-08")]
)
def test_a_short_grid_keeps_its_ends_apart(months: int, told: str) -> None:
    labels = tuple(f"{2025 + n // 12}-{n % 12 + 1:02}" for n in range(months))
    row = Series("back", (1.0,) * months)
    drawn = draw(Panel("p", "T", "x", Shape.GRID, labels, (row,), ()), 60)
    assert drawn[2].strip() == told


def test_an_empty_panel_is_its_title() -> None:
    panel = Panel("p", "T", "x", Shape.LINE, (), (Series("x", ()),), ("Nothing yet.",))
    assert draw(panel, 80) == ["T (x)"]


def test_a_picture_of_every_panel(panels: tuple[Panel, ...], tmp_path: Path) -> None:
    write_charts(panels, tmp_path / "year.png", "Invented")
    data = (tmp_path / "year.png").read_bytes()
    assert data.startswith(b"\x89PNG")
    words = (tmp_path / "year.png.txt").read_text()
    assert words == text([panel for panel in panels if not panel.empty], "Invented")
    for panel in panels:
        if not panel.empty:
            assert panel.text[0] in words


def test_a_drawing_in_svg_has_a_title_and_a_description(panels: tuple[Panel, ...]) -> None:
    root = ET.fromstring(picture(panels, "svg", "Invented"))  # noqa: S314 - our own file
    assert root.get("role") == "img"
    title, description = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert description is not None
    assert title.text == "Invented"
    assert panels[0].text[0] in (description.text or "")


def test_the_same_record_makes_the_same_drawing(panels: tuple[Panel, ...]) -> None:
    assert picture(panels[:1], "svg") == picture(panels[:1], "svg")


def test_no_colour_is_used(panels: tuple[Panel, ...]) -> None:
    drawn = picture([panel for panel in panels if not panel.empty], "svg").decode()
    inks = set(re.findall(r"#([0-9a-f]{6})\b", drawn))
    assert inks
    assert {ink for ink in inks if not ink[:2] == ink[2:4] == ink[4:]} == set()


def test_the_page_needs_nothing_else(panels: tuple[Panel, ...], tmp_path: Path) -> None:
    write_charts(panels, tmp_path / "year.html", "Invented & labelled")
    made = (tmp_path / "year.html").read_text()
    assert "<h1>Invented &amp; labelled</h1>" in made
    fetched = re.findall(r"""(?:src|href)\s*=\s*["']([^"'#][^"']*)|url\(["']?([^"')#]+)""", made)
    assert fetched == []
    for panel in panels:
        if not panel.empty:
            assert html.escape(panel.text[0]) in made
    assert made.count("<figure>") == sum(not panel.empty for panel in panels)


def test_the_values_are_in_the_page() -> None:
    series, level = Series("load", (1.5, None)), LevelLine("usual", (2.0, 2.0))
    panel = Panel("p", "T", "x", Shape.LINE, ("a", "b"), (series,), ("words",), (level,))
    made = page([panel])
    assert "<tr><td>a</td><td>1.5</td><td>2</td></tr>" in made
    assert "<tr><td>b</td><td></td><td>2</td></tr>" in made


def test_another_ending_is_refused(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="no chart is of that kind"):
        write_charts((), tmp_path / "year.gif")


def test_nothing_is_overwritten(panels: tuple[Panel, ...], tmp_path: Path) -> None:
    (tmp_path / "year.svg").write_text("mine")
    with pytest.raises(CoachError, match="there already"):
        write_charts(panels[:1], tmp_path / "year.svg")
    assert sorted(item.name for item in tmp_path.iterdir() if item.is_file()) == ["year.svg"]
    assert (tmp_path / "year.svg").read_text() == "mine"


NEEDS = {
    "matplotlib": "from coach.exports.charts import picture; picture([], 'png')",
    "icalendar": "from coach.exports.calendar import calendar; calendar([], [], None)",
    "pyarrow": "from coach.exports.parquet import write_parquet; write_parquet([], None)",
}


@pytest.mark.parametrize("module", NEEDS)
def test_a_missing_library_is_named(module: str) -> None:
    call = NEEDS[module]
    code = (
        f"import sys; sys.modules[{module!r}] = None\n"
        "from coach.errors import CoachError\n"
        f"try:\n    {call}\nexcept CoachError as error:\n    print(error)\n"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert f"the library {module}" in ran.stdout
    assert "pip install" in ran.stdout
