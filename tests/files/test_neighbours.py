"""A catalogue whose neighbours do not ease is refused, with the line of the wrong key."""

from pathlib import Path

import pytest

from coach.errors import ExitCode, FileError
from coach.files.movements import entries, load_movements
from coach.model.body import Part

ONE = """
[movements.{name}]
title.en = "Title"
cue.en = "Cue."
form.en = "Form."
unit = "seconds"
amount = 5
least = 5
most = 5
seconds_each = 1
load = {{ {load} }}
does = ["lies"]
spares = {spares}
order = {order}
{more}
"""


def one(name: str, load: str = "", order: int = 0, more: str = "") -> str:
    loaded = [word.split("=")[0].strip() for word in load.split(",")]
    spares = [part.value for part in Part if part.value not in loaded]
    return ONE.format(name=name, load=load, order=order, more=more, spares=spares)


def refused(tmp_path: Path, *movements: str) -> tuple[str, str, str]:
    """Text of the line that the error points at, its key, and what it says."""
    path = tmp_path / "board.toml"
    text = 'family = "mat"\n' + "".join(movements)
    path.write_text(text, encoding="utf-8")
    with pytest.raises(FileError) as caught:
        entries([path])
    error = caught.value
    assert error.code is ExitCode.USAGE
    return text.splitlines()[error.line - 1], error.key, str(error)


def test_an_unknown_neighbour_is_told_with_the_nearest_name(tmp_path: Path) -> None:
    line, key, said = refused(
        tmp_path, one("large-hang"), one("edge", order=1, more='easier = "large-hnag"')
    )
    assert line == 'easier = "large-hnag"'
    assert key == "movements.edge.easier"
    assert "Did you mean 'large-hang'?" in said


def test_an_easier_neighbour_must_not_load_more(tmp_path: Path) -> None:
    line, key, said = refused(
        tmp_path,
        one("low", "fingers = 1, skin = 1"),
        one("high", "fingers = 1", order=1, more='easier = "low"'),
    )
    assert (line, key) == ('easier = "low"', "movements.high.easier")
    assert "'low' loads the skin more" in said


def test_an_also_easier_neighbour_must_not_load_more(tmp_path: Path) -> None:
    line, key, _ = refused(
        tmp_path,
        one("low", "fingers = 1, skin = 1"),
        one("high", "fingers = 1", order=1, more='also_easier = ["low"]'),
    )
    assert (line, key) == ('also_easier = ["low"]', "movements.high.also_easier[1]")


def test_a_harder_neighbour_must_not_load_less(tmp_path: Path) -> None:
    line, _, said = refused(
        tmp_path,
        one("low", "fingers = 1, skin = 1", more='harder = "high"'),
        one("high", "fingers = 1", order=1),
    )
    assert line == 'harder = "high"'
    assert "'high' loads the skin less" in said


@pytest.mark.parametrize("order", [0, 3])
def test_an_easier_neighbour_must_rank_lower(tmp_path: Path, order: int) -> None:
    line, _, said = refused(
        tmp_path, one("low", order=order), one("high", order=0, more='easier = "low"')
    )
    assert line == 'easier = "low"'
    assert "'low' is harder by its order" in said


def test_a_harder_neighbour_must_rank_higher(tmp_path: Path) -> None:
    line, _, said = refused(
        tmp_path, one("low", order=2, more='harder = "high"'), one("high", order=1)
    )
    assert line == 'harder = "high"'
    assert "'high' is easier by its order" in said


@pytest.mark.parametrize(
    ("low", "high", "line"),
    [("rest = 31", 'rest = 30\neasier = "low"', 'easier = "low"'),
     ('rest = 1\nharder = "high"', "", 'harder = "high"')],
)  # fmt: skip
def test_the_harder_of_two_rests_at_least_as_long(
    tmp_path: Path, low: str, high: str, line: str
) -> None:
    found, _, said = refused(tmp_path, one("low", more=low), one("high", order=1, more=high))
    assert found == line
    assert "rests at least as long" in said


@pytest.mark.parametrize("way", ["easier", "harder"])
def test_a_circle_of_neighbours_is_told(tmp_path: Path, way: str) -> None:
    line, key, said = refused(
        tmp_path,
        one("a", more=f'{way} = "b"'),
        one("b", order=1, more=f'{way} = "c"'),
        one("c", order=2, more=f'{way} = "a"'),
    )
    assert line == f'{way} = "b"'
    assert key == f"movements.a.{way}"
    assert "comes round to 'a' again" in said


def test_a_movement_that_loads_needs_an_easier_way_down(tmp_path: Path) -> None:
    line, key, said = refused(tmp_path, one("a", "fingers = 2"))
    assert (line, key) == ("load = { fingers = 2 }", "movements.a.load")
    assert "no easier way down: loads the fingers above 1" in said


def test_a_way_down_must_end_gently(tmp_path: Path) -> None:
    line, _, said = refused(
        tmp_path,
        one("a", "fingers = 2", 0, 'harder = "b"'),
        one("b", "fingers = 3", 1, 'easier = "a"'),
    )
    assert line == "load = { fingers = 2 }"
    assert "no easier way down" in said


def test_a_neighbour_of_another_family_is_refused(tmp_path: Path) -> None:
    user = tmp_path / "routines" / "movements"
    user.mkdir(parents=True)
    path = user / "mine.toml"
    path.write_text(
        'family = "mat"\n' + one("mine", order=9, more='easier = "wrist-circles"'), "utf-8"
    )
    with pytest.raises(FileError, match="'wrist-circles' is of the family 'hands', not 'mat'"):
        load_movements((tmp_path,))


@pytest.mark.parametrize(("amount", "said"), [(4, "least 5"), (6, "most 5")])
def test_the_usual_dose_lies_between_least_and_most(tmp_path: Path, amount: int, said: str) -> None:
    text = one("a").replace("amount = 5", f"amount = {amount}")
    line, key, what = refused(tmp_path, text)
    assert (line, key) == (f"amount = {amount}", "movements.a.amount")
    assert said in what


def test_who_is_left_out_at_17_is_left_out_at_15(tmp_path: Path) -> None:
    line, _, said = refused(tmp_path, one("a", more='leave_out = ["under-18"]'))
    assert line == 'leave_out = ["under-18"]'
    assert "but not under-16" in said


def test_a_users_movement_wins_by_name_and_the_others_stay(tmp_path: Path) -> None:
    ours = load_movements()
    user = tmp_path / "routines" / "movements"
    user.mkdir(parents=True)
    (user / "hands.toml").write_text(
        'family = "hands"\n'
        + "".join(
            one(name, "fingers = 1, wrists = 1, elbows = 1, head = 1, chest = 1")
            for name in ("wrist-circles", "mine")
        ),
        encoding="utf-8",
    )

    movements = load_movements((tmp_path,))

    assert movements["wrist-circles"].amount == 5 != ours["wrist-circles"].amount
    assert movements.keys() == ours.keys() | {"mine"}
    assert movements["palm-rocks"] == ours["palm-rocks"]
