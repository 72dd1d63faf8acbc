"""Places: order of edges, names once, and a place that is learnt and written down."""

from pathlib import Path

import pytest

from coach.errors import FileError
from coach.files.file_checks import verify_file
from coach.files.places import ANY_PLACE, list_places, load_place, save_place
from coach.model.place import Board, Circuit, Edge, Place

GOOD = """title = "Mine"
equipment = ["mat"]
circuits = [{ name = "slate" }, { name = "granite", grades = ["6A", "6B"] }]
[[boards]]
name = "main"
edges = [
  { name = "large", depth_mm = 30 },
  { name = "unknown" },
  { name = "small", depth_mm = 14 },
]
"""


def refused(tmp_path: Path, old: str, new: str) -> tuple[int, str, str]:
    assert old in GOOD
    path = tmp_path / "places" / "mine.toml"
    path.parent.mkdir()
    path.write_text(GOOD.replace(old, new), "utf-8")
    with pytest.raises(FileError) as caught:
        verify_file(path)
    return caught.value.line, caught.value.key, str(caught.value)


@pytest.mark.parametrize(
    ("old", "new", "line", "key"),
    [
        ("depth_mm = 14", "depth_mm = 30", 9, "boards[1].edges[3].depth_mm"),
        ("depth_mm = 14", "depth_mm = -1", 9, "boards[1].edges[3].depth_mm"),
        ("depth_mm = 14", "depth_mm = nan", 9, "boards[1].edges[3].depth_mm"),
        ('"unknown"', '"large"', 8, "boards[1].edges[2].name"),
        ('"unknown"', '"Large one"', 8, "boards[1].edges[2].name"),
        ('"granite"', '"slate"', 3, "circuits[2].name"),
        ('"6A", "6B"', '"6A"', 3, "circuits[2].grades"),
        ('"6A", "6B"', '"6A", "6B", "6C"', 3, "circuits[2].grades"),
        ('"6A", "6B"', '"6A", "6D"', 3, "circuits[2].grades[2]"),
        ('"6A", "6B"', '"6a", "6B"', 3, "circuits[2].grades[1]"),
        ('"6A", "6B"', '"6B", "6A"', 3, "circuits[2].grades[2]"),
        (
            '{ name = "slate" }',
            '{ name = "slate", grades = ["7A", "7B"] }',
            3,
            "circuits[2].grades[1]",
        ),
        ('"mat"', '"matt"', 2, "equipment[1]"),
        ('title = "Mine"', 'title = ""', 1, "title"),
    ],
)
def test_mistakes(tmp_path: Path, old: str, new: str, line: int, key: str) -> None:
    found_line, found_key, _ = refused(tmp_path, old, new)
    assert (found_line, found_key) == (line, key)


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("6D", "no boulder grade is called '6D'"),
        ("V44", "The nearest is V4."),
        ("6a", "'6a' is a route grade"),
        ("7a+", "write a boulder grade such as 7A+"),
    ],
)
def test_what_is_no_boulder_grade_names_the_nearest(
    tmp_path: Path, written: str, told: str
) -> None:
    assert told in refused(tmp_path, '"6A", "6B"', f'"{written}", "8A"')[2]


def test_grades_of_two_scales_are_compared_by_their_range(tmp_path: Path) -> None:
    path = tmp_path / "places" / "mine.toml"
    path.parent.mkdir()
    slate = '{ name = "slate", grades = ["VB", "V2"] }'
    path.write_text(GOOD.replace('{ name = "slate" }', slate), "utf-8")
    verify_file(path)


def test_a_saved_place_is_found_and_the_same(tmp_path: Path) -> None:
    place = Place(
        name="mine",
        title="My hall",
        circuits=(Circuit("slate"), Circuit("granite", ("6A", "6B"))),
        boards=(Board("main", (Edge("large", 30.0), Edge("small", 0.0)), large_hold=False),),
        equipment=frozenset({"mat", "wall"}),
    )
    path = save_place(place, tmp_path)
    verify_file(path)
    assert "mine" in list_places((tmp_path,))
    assert load_place("mine", (tmp_path,)) == place


def test_a_place_with_nothing_known_can_be_saved(tmp_path: Path) -> None:
    place = Place(name="rock", title="rock", circuits=())
    save_place(place, tmp_path)
    assert load_place("rock", (tmp_path,)) == place


def test_the_place_of_a_first_session_is_not_the_one_made_up_for_examples() -> None:
    assert load_place(ANY_PLACE).title == "This hall"
    assert all(not circuit.grades for circuit in load_place(ANY_PLACE).circuits)
