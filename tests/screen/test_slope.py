"""The slope shows each effort at its height, each gate where it stands, and where we are."""

from hypothesis import given
from hypothesis import strategies as st

from coach.screen.rows import Look, row_cells, row_text
from coach.screen.shapes import ASCII, BLOCKS
from coach.screen.slope import block_names, columns_of, draw_slope
from coach.session.view import Stretch
from tests.screen.scene import day


def stretch(
    seconds: float, load: int, state: str = "ahead", gate: str = "", block: str = "b"
) -> Stretch:
    return Stretch(block, seconds, load, gate, state)


@st.composite
def slopes(draw: st.DrawFn) -> tuple[Stretch, ...]:
    count = draw(st.integers(1, 40))
    now = draw(st.integers(-1, count))
    return tuple(
        stretch(
            draw(st.sampled_from([0.0, 1.0, 10.0, 60.0, 600.0])),
            draw(st.integers(0, 3)),
            "past" if index < now else "now" if index == now else "ahead",
            draw(st.sampled_from(["", "", "go-ahead"])),
            draw(st.sampled_from(["mat", "board", "hard"])),
        )
        for index in range(count)
    )


@given(slopes(), st.integers(0, 210), st.floats(0, 1))
def test_one_column_is_here_and_the_heaviest_effort_keeps_its_load(
    slope: tuple[Stretch, ...], width: int, done: float
) -> None:
    columns = columns_of(slope, width, done)
    total = sum(part.seconds for part in slope)
    if not width or not total:
        assert columns == ()
        return
    assert len(columns) == width
    assert sum(column.here for column in columns) == 1
    heaviest = max(part.load for part in slope if part.seconds)
    assert max(column.load for column in columns) == heaviest
    here = next(index for index, column in enumerate(columns) if column.here)
    assert all(column.past == (index < here) for index, column in enumerate(columns))


@given(slopes(), st.integers(1, 210), st.integers(2, 25))
def test_rows_are_as_many_and_as_wide_as_asked(
    slope: tuple[Stretch, ...], width: int, rows: int
) -> None:
    columns = columns_of(slope, width, 0.5)
    for shapes in (BLOCKS, ASCII):
        lines = draw_slope(columns, rows, shapes)
        assert len(lines) == rows
        assert {row_cells(line) for line in lines} == {len(columns)}
        drawn = "".join(row_text(line) for line in lines)
        assert drawn.count(shapes.here) == (1 if columns else 0)


@given(slopes(), st.floats(0, 1), st.floats(0, 1))
def test_the_mark_never_goes_back_while_time_goes_on(
    slope: tuple[Stretch, ...], one: float, other: float
) -> None:
    early, late = (columns_of(slope, 80, done) for done in sorted((one, other)))
    assert (
        [column.here for column in early].index(True)
        <= [column.here for column in late].index(True)
        if early
        else late == ()
    )


def test_height_is_load() -> None:
    slope = (stretch(100, 0, "now"), stretch(100, 1), stretch(100, 2), stretch(100, 3))
    drawn = [row_text(line) for line in draw_slope(columns_of(slope, 80, 0.0), 7, BLOCKS)]
    heights = [sum(line[column] == "█" for line in drawn) for column in (30, 50, 70)]
    assert heights == sorted(heights)
    assert len(set(heights)) == 3
    assert drawn[-1][5] == "▁"


def test_a_short_effort_between_long_rests_is_not_lost() -> None:
    slope = (stretch(2700, 0, "now"), stretch(5, 3), stretch(2700, 0))
    columns = columns_of(slope, 80, 0.0)
    assert max(column.load for column in columns) == 3


def test_a_rest_between_two_efforts_lies_lower_than_both() -> None:
    slope = (stretch(300, 3, "now"), stretch(900, 0), stretch(300, 3), stretch(300, 0))
    top = [row_text(line) for line in draw_slope(columns_of(slope, 90, 0.0), 6, BLOCKS)][1]
    assert top[5] == "█"
    assert top[37] == " "
    assert top[65] == "█"


def test_a_gate_is_a_post_and_a_shut_one_is_barred() -> None:
    slope = (
        stretch(100, 1, "past"),
        stretch(0, 0, "past", gate="gate-body"),
        stretch(100, 1, "now"),
        stretch(0, 0, gate="go-ahead"),
        stretch(100, 3),
        stretch(100, 0),
    )
    columns = columns_of(slope, 80, 0.5)
    assert {column.gate for column in columns} == {"", "gate-body", "go-ahead"}
    drawn = "\n".join(row_text(line) for line in draw_slope(columns, 6, BLOCKS))
    assert drawn.count(BLOCKS.barred) == 1
    assert drawn.count(BLOCKS.post) == 1


def test_what_lies_behind_has_another_shape_not_only_another_shade() -> None:
    columns = columns_of(day(30), 80, 0.5)
    bottom = row_text(draw_slope(columns, 6, BLOCKS)[-1])
    here = next(index for index, column in enumerate(columns) if column.here)
    assert set(bottom[3:here]) == {BLOCKS.past}
    assert BLOCKS.past not in bottom[here:]


def test_the_block_we_are_in_is_named_in_brackets_even_where_others_have_no_room() -> None:
    names = block_names(day(5), 80, lambda block: block)
    assert "[mat]" in row_text(names)
    assert next(span.look for span in names if "[mat]" in span.text) is Look.MARK
    assert row_text(block_names(day(5), 8, lambda block: block)).strip() == "[mat]"
    assert block_names(day(5), 3, lambda block: block) == ()
    assert block_names((), 80, lambda block: block) == ()


def test_names_never_run_into_each_other() -> None:
    slope = tuple(part._replace(block=f"block{index}") for index, part in enumerate(day(3)))
    line = row_text(block_names(slope, 80, lambda block: block))
    assert len(line) <= 80
    assert all(name.strip("[]").startswith("block") for name in line.split())
