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
    path, easier = tmp_path / "own.toml", 'easier = "low"' if "climbs" in more else ""
    text = OWN.format(family=family, more=f"{more}\n{easier}", unit=unit)
    path.write_text(text + EASIER, "utf-8")
    return entries([path])["own"].movement


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
    spares = 'spares = ["fingers", "wrists", "elbows"]'
    assert offered(own(tmp_path, "mat", spares, "seconds")) == []


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
