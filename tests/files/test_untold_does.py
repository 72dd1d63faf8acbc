"""A climber's own movement that does not say what the body does in it counts as the risk."""

from pathlib import Path

import pytest

from coach.errors import FileError
from coach.files.movements import entries, load_movements
from coach.model.body import Part
from coach.model.movement import Movement
from coach.model.person import AgeBand, Person
from coach.planning import age_limits
from tests import poses

YOUNG = [band for band in AgeBand if band is not AgeBand.ADULT]
OWN = """
family = "{family}"
[movements.own]
title.en = "Own"
cue.en = "Own cue."
form.en = "Own form."
unit = "{unit}"
amount = 2
least = 2
most = 3
seconds_each = 15
load = {{ shoulders = 1 }}
order = 1
{more}
"""


#: What a movement of more than gentle load has to have beside it.
EASIER = """
[movements.low]
title.en = "Low"
cue.en = "Low cue."
form.en = "Low form."
unit = "goes"
amount = 2
least = 2
most = 3
seconds_each = 15
load = {}
order = 0
does = ["climbs", "places"]
"""


def own(tmp_path: Path, family: str, more: str = "", unit: str = "goes") -> Movement:
    path = tmp_path / "own.toml"
    heavy = any(word in family + more for word in ("climbs", "catch", "focus", '["wall"]', '"off"'))
    easier = 'easier = "low"' if heavy and "spares" not in more else ""
    text = OWN.format(family=family, more=f"{more}\n{easier}", unit=unit)
    path.write_text(text + EASIER, "utf-8")
    return entries([path])["own"].movement


#: Fields of a movement of one's own whose `does` leaves out what they show, and the poses that
#: somebody who looks on would see.
FIELDS: dict[str, tuple[str, str, str, tuple[str, ...]]] = {
    "a hang with feet off": (
        "mat", "seconds", 'hang = { hold = "usual-edge", grip = "open", feet = "off" }',
        ("hanging from the hands", "a hand round something", "stepping off"),
    ),
    "a hang with feet on": (
        "mat", "seconds", 'hang = { hold = "largest", grip = "jug", feet = "on" }',
        ("hanging from the hands", "a hand round something", "standing"),
    ),
    "boulders": ("mat", "boulders", "", ("on the wall", "falling or landing")),
    "goes at the wall": (
        "mat", "goes", 'equipment = ["wall"]', ("on the wall", "falling or landing"),
    ),
    "a pull at a bar": (
        "mat", "repeats", 'equipment = ["bar"]',
        ("a hand round something", "pulling with the arms"),
    ),
    "a weight": ("mat", "repeats", 'equipment = ["weight"]', ("a hand round something",)),
    "a band": ("antagonist", "repeats", 'equipment = ["band"]', ("a hand round something",)),
    "a catch": ("catch", "goes", "", ("on the wall", "falling or landing")),
    "a focus": ("focus", "seconds", "", ("on the wall", "falling or landing")),
    "a pulse raiser": ("pulse", "seconds", "", ("walking",)),
    "a game": ("game", "seconds", "", ("walking",)),
    "for the hands": ("hands", "repeats", "", ("fingers opening and closing",)),
    "for the shoulders": ("shoulders", "repeats", "", ("shoulder blades moving",)),
}  # fmt: skip


@pytest.mark.parametrize("name", FIELDS)
def test_what_the_fields_show_is_loaded_whatever_does_leaves_out(tmp_path: Path, name: str) -> None:
    family, unit, more, seen = FIELDS[name]
    used = {part for pose in seen for part in poses.POSES[pose].split()}
    load = own(tmp_path, family, f'does = ["lies"]\n{more}', unit).load
    assert used <= {part.value for part, amount in load.items() if amount}
    for part in used - {"shoulders"}:  # those are stated to be loaded
        with pytest.raises(FileError, match="get no load, but it"):
            own(tmp_path, family, f'does = ["lies"]\nspares = ["{part}"]\n{more}', unit)


def test_one_that_hangs_with_its_feet_off_is_no_gentle_one(tmp_path: Path) -> None:
    """Whatever it states: a sore part gets gentle work only."""
    for hold, parts in {
        "largest": {"shoulders"},
        "larger-edge": {"shoulders", "fingers"},
        "usual-edge": {"shoulders", "fingers", "skin"},
    }.items():
        hang = f'hang = {{ hold = "{hold}", grip = "open", feet = "off" }}'
        load = own(tmp_path, "mat", f'does = ["hangs"]\n{hang}').load
        assert {part.value for part, amount in load.items() if amount > 1} == parts


def test_one_at_the_wall_that_stands_is_believed(tmp_path: Path) -> None:
    more = 'does = ["stands", "grips"]\nspares = ["neck"]\nequipment = ["wall"]'
    assert Part.NECK not in own(tmp_path, "drill", more).load


def test_one_of_which_nothing_is_said_spares_nothing(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="does not say what the body does") as caught:
        own(tmp_path, "mat", 'spares = ["fingers"]', "seconds")
    assert caught.value.key == "movements.own.spares"
    assert all(own(tmp_path, "mat", "", "seconds").load[part] for part in Part)


def test_a_board_without_its_hang_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="hangs, and does not say how"):
        own(tmp_path, "board", 'does = ["stands"]', "seconds")


def offered(movement: Movement) -> list[AgeBand]:
    return [band for band in YOUNG if age_limits.allows(Person(1, age=band), movement)]


@pytest.mark.parametrize("does", ["", 'does = ["climbs"]', 'does = ["climbs", "catches"]'])
@pytest.mark.parametrize("family", ["catch", "drill"])
def test_a_catch_that_does_not_say_how_is_no_movement_for_the_young(
    tmp_path: Path, family: str, does: str
) -> None:
    movement = own(tmp_path, family, does)
    assert offered(movement) == []
    assert age_limits.allows(Person(1, age=AgeBand.ADULT), movement)
    assert all(movement.load[part] >= 1 for part in Part)


@pytest.mark.parametrize("how", ["places", "catches-with-one-hand", "drops-off"])
def test_one_that_says_how_is(tmp_path: Path, how: str) -> None:
    assert offered(own(tmp_path, "catch", f'does = ["climbs", "{how}"]')) == YOUNG


def test_a_movement_of_which_nothing_is_said_is_no_movement_for_the_young(tmp_path: Path) -> None:
    assert offered(own(tmp_path, "mat", "", "seconds")) == []


def test_boulders_are_climbed_whatever_is_said(tmp_path: Path) -> None:
    movement = own(tmp_path, "climb", 'does = ["steps"]', "boulders")
    assert all(movement.load[part] >= 1 for part in Part)
    with pytest.raises(FileError, match="the wrists get no load, but it climbs"):
        own(tmp_path, "climb", 'does = ["steps"]\nspares = ["wrists"]', "boulders")


def test_a_hang_says_how_it_hangs(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="hangs, and does not say how") as caught:
        own(tmp_path, "hands", 'does = ["grips", "hangs"]')
    assert (caught.value.key, caught.value.line) == ("movements.own.does[2]", 14)


def test_no_shipped_movement_that_is_seen_to_catch_with_both_hands_is_for_the_young() -> None:
    """The judge has its own list of them, by their words and pictures."""
    movements = load_movements()
    assert len(poses.BOTH_HANDS) >= 3
    assert [name for name in poses.BOTH_HANDS if offered(movements[name])] == []
