"""Routines: what can't be met is refused, and one routine can extend another."""

from pathlib import Path

import pytest

from coach.errors import CoachError, ExitCode, FileError
from coach.files.file_checks import verify_file
from coach.files.routines import copy_routine, list_routines, load_routine
from coach.model.movement import Family
from coach.model.routine import BlockKind, Routine

PULSE = """
[[blocks]]
name = "pulse"
kind = "pulse"
floor = 60
most = 120
gate = "gate-body"
items = [
  { movement = "steps-in-place", least_sets = 1, core = true },
  { movement = "knee-lifts" },
]
"""
HEAD = 'title.en = "Mine"\nminutes = 10\nleast_minutes = 5\n'
BASE = HEAD + PULSE


def write(tmp_path: Path, text: str, name: str = "mine") -> Path:
    path = tmp_path / "routines" / f"{name}.toml"
    path.parent.mkdir(exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def load(tmp_path: Path, text: str, name: str = "mine") -> Routine:
    write(tmp_path, text, name)
    return load_routine(name, user_dirs=(tmp_path,))


def refused(tmp_path: Path, text: str) -> tuple[int, str, str]:
    path = write(tmp_path, text)
    with pytest.raises(FileError) as caught:
        load_routine("mine", user_dirs=(tmp_path,))
    assert caught.value.code is ExitCode.USAGE
    assert caught.value.path == path
    return caught.value.line, caught.value.key, str(caught.value)


def names(routine: Routine) -> list[str]:
    return [block.name for block in routine.blocks]


class TestLengths:
    """Floors and lengths that can't be met."""

    def test_floors_above_the_shortest_time_are_refused(self, tmp_path: Path) -> None:
        text = BASE.replace("least_minutes = 5", "least_minutes = 1").replace(
            "floor = 60", "floor = 100"
        )
        line, key, said = refused(tmp_path, text)
        assert (line, key) == (3, "least_minutes")
        assert "take 2 minutes" in said

    def test_least_sets_above_the_shortest_time_are_refused(self, tmp_path: Path) -> None:
        text = BASE.replace("least_sets = 1", "sets = 2, least_sets = 2")
        text = text.replace("least_minutes = 5", "least_minutes = 1")
        line, key, _ = refused(tmp_path, text)
        assert (line, key) == (3, "least_minutes")

    def test_a_shortest_time_above_the_usual_is_refused(self, tmp_path: Path) -> None:
        line, key, _ = refused(tmp_path, BASE.replace("minutes = 10", "minutes = 4"))
        assert (line, key) == (2, "minutes")

    def test_a_floor_above_the_most_is_refused(self, tmp_path: Path) -> None:
        line, key, _ = refused(tmp_path, BASE.replace("most = 120", "most = 61.5").replace(
            "floor = 60", "floor = 62"))  # fmt: skip
        assert (line, key) == (8, "blocks[1].floor")

    def test_a_floor_that_its_items_never_reach_is_refused(self, tmp_path: Path) -> None:
        line, key, said = refused(tmp_path, BASE.replace("floor = 60", "floor = 110"))
        assert (line, key) == (8, "blocks[1].floor")
        assert "take 105 s" in said

    def test_a_most_below_its_least_sets_is_refused(self, tmp_path: Path) -> None:
        text = BASE.replace("floor = 60", "floor = 10").replace("most = 120", "most = 50")
        line, key, _ = refused(tmp_path, text)
        assert (line, key) == (9, "blocks[1].most")

    def test_more_least_sets_than_sets_are_refused(self, tmp_path: Path) -> None:
        text = BASE.replace("least_sets = 1", "least_sets = 2")
        line, key, _ = refused(tmp_path, text)
        assert (line, key) == (12, "blocks[1].items[1].least_sets")


class TestChoice:
    """What may be chosen instead of a movement."""

    def test_a_family_that_loads_no_more(self, tmp_path: Path) -> None:
        text = BASE.replace('"knee-lifts" }', '"easy-boulders", choose = "focus" }')
        text = text.replace("most = 120", "most = 300")
        assert load(tmp_path, text).blocks[0].items[1].choose is Family.FOCUS

    def test_a_family_that_loads_more_is_refused(self, tmp_path: Path) -> None:
        line, key, said = refused(
            tmp_path, BASE.replace('"knee-lifts" }', '"knee-lifts", choose = "focus" }')
        )
        assert (line, key) == (13, "blocks[1].items[2].choose")
        assert "more than 'knee-lifts'" in said


class TestMissing:
    """What a routine has to have when it extends none."""

    @pytest.mark.parametrize("key", ["minutes", "least_minutes"])
    def test_lengths(self, tmp_path: Path, key: str) -> None:
        text = "".join(line for line in BASE.splitlines(True) if not line.startswith(key))
        _, named, said = refused(tmp_path, text)
        assert named == key
        assert "is missing" in said

    @pytest.mark.parametrize("key", ["kind", "most", "name"])
    def test_keys_of_a_block(self, tmp_path: Path, key: str) -> None:
        text = "".join(line for line in BASE.splitlines(True) if not line.startswith(key))
        line, named, _ = refused(tmp_path, text)
        assert (line, named) == (5, f"blocks[1].{key}")

    def test_blocks(self, tmp_path: Path) -> None:
        _, key, _ = refused(tmp_path, HEAD)
        assert key == "blocks"

    def test_items(self, tmp_path: Path) -> None:
        text = BASE[: BASE.index("items")] + "items = []\n"
        line, key, said = refused(tmp_path, text)
        assert (line, key) == (11, "blocks[1].items")
        assert "must not be empty" in said

    def test_a_block_is_there_once(self, tmp_path: Path) -> None:
        line, key, _ = refused(tmp_path, BASE + PULSE)
        assert (line, key) == (17, "blocks[2].name")


class TestExtends:
    """A routine that says only what differs from another."""

    def test_it_takes_all_that_it_does_not_change(self, tmp_path: Path) -> None:
        full = load_routine("full")
        mine = load(tmp_path, 'extends = "full"\ntitle.en = "Mine"\n')
        assert mine.blocks == full.blocks
        assert (mine.minutes, mine.least_minutes) == (full.minutes, full.least_minutes)
        assert (mine.name, mine.title) == ("mine", {"en": "Mine"})

    def test_it_changes_the_keys_that_it_writes(self, tmp_path: Path) -> None:
        text = 'extends = "full"\ntitle.en = "Mine"\n[[blocks]]\nname = "hard"\nmost = 600\n'
        before = next(block for block in load_routine("full").blocks if block.name == "hard")
        after = next(block for block in load(tmp_path, text).blocks if block.name == "hard")
        assert (before.most, after.most) == (3720.0, 600.0)
        assert after.items == before.items

    def test_it_leaves_blocks_out(self, tmp_path: Path) -> None:
        text = 'extends = "full"\nwithout = ["hard"]\ntitle.en = "Mine"\n'
        assert names(load(tmp_path, text)) == [
            name for name in names(load_routine("full")) if name != "hard"
        ]

    def test_it_takes_a_gate_away(self, tmp_path: Path) -> None:
        text = 'extends = "full"\ntitle.en = "Mine"\n[[blocks]]\nname = "mat"\ngate = ""\n'
        assert load(tmp_path, text).blocks[1].gate is None

    def test_it_adds_a_block_after_another(self, tmp_path: Path) -> None:
        text = 'extends = "full"\ntitle.en = "Mine"\nleast_minutes = 20\n' + PULSE.replace(
            'name = "pulse"', 'name = "more"\nafter = "mat"'
        )
        mine = load(tmp_path, text)
        assert names(mine)[:3] == ["pulse", "mat", "more"]
        assert mine.blocks[2].kind is BlockKind.PULSE

    def test_two_steps_of_extending(self, tmp_path: Path) -> None:
        write(tmp_path, 'extends = "full"\nwithout = ["hard"]\ntitle.en = "A"\n', "middle-only")
        mine = load(tmp_path, 'extends = "middle-only"\ntitle.en = "B"\nminutes = 50\n')
        assert "hard" not in names(mine)
        assert mine.minutes == 50

    def test_a_users_full_can_extend_ours(self, tmp_path: Path) -> None:
        mine = load(tmp_path, 'extends = "full"\ntitle.en = "Mine"\nminutes = 80\n', "full")
        assert mine.minutes == 80
        assert mine.blocks == load_routine("full").blocks

    @pytest.mark.parametrize(
        ("text", "line", "key", "meant"),
        [
            ('extends = "ful"\ntitle.en = "M"\n', 1, "extends", "full"),
            ('extends = "full"\nwithout = ["hrad"]\ntitle.en = "M"\n', 2, "without[1]", "hard"),
            (
                'extends = "full"\ntitle.en = "M"\n'
                + PULSE.replace('name = "pulse"', 'name = "more"\nafter = "mta"'),
                6,
                "blocks[1].after",
                "mat",
            ),
        ],
    )
    def test_unknown_names(
        self, tmp_path: Path, text: str, line: int, key: str, meant: str
    ) -> None:
        found_line, found_key, said = refused(tmp_path, text)
        assert (found_line, found_key) == (line, key)
        assert f"Did you mean {meant!r}?" in said

    def test_routines_that_extend_each_other_are_refused(self, tmp_path: Path) -> None:
        write(tmp_path, 'extends = "mine"\ntitle.en = "A"\n', "other")
        path = write(tmp_path, '\nextends = "other"\ntitle.en = "B"\n')
        with pytest.raises(FileError, match="extends this routine in turn") as caught:
            load_routine("mine", user_dirs=(tmp_path,))
        assert (caught.value.path.name, caught.value.line) == ("other.toml", 1)
        with pytest.raises(FileError, match="extends this routine in turn"):
            verify_file(path, (tmp_path,))

    def test_a_known_block_has_its_place_already(self, tmp_path: Path) -> None:
        text = 'extends = "full"\ntitle.en = "M"\n[[blocks]]\nname = "hard"\nafter = "mat"\n'
        line, key, _ = refused(tmp_path, text)
        assert (line, key) == (5, "blocks[1].after")

    def test_a_mistake_in_what_is_taken_over_points_to_its_own_file(self, tmp_path: Path) -> None:
        write(tmp_path, BASE, "base")
        path = write(tmp_path, 'extends = "base"\ntitle.en = "M"\n[[blocks]]\nname = "pulse"\n'
                     "most = 50\n")  # fmt: skip
        with pytest.raises(FileError) as caught:
            load_routine("mine", user_dirs=(tmp_path,))
        assert caught.value.path == path.with_name("base.toml")
        assert (caught.value.line, caught.value.key) == (8, "blocks[1].floor")


class TestCopy:
    """A copy to edit."""

    def test_it_is_the_same_with_its_comments(self, tmp_path: Path) -> None:
        path = copy_routine("full", tmp_path)
        assert path == tmp_path / "routines" / "full.toml"
        assert path.read_text("utf-8").startswith("# The whole session")
        verify_file(path, (tmp_path,))
        assert load_routine("full", user_dirs=(tmp_path,)) == load_routine("full")

    def test_it_can_have_a_name_of_its_own(self, tmp_path: Path) -> None:
        copy_routine("full", tmp_path / "routines" / "tuesday.toml")
        assert "tuesday" in list_routines((tmp_path,))

    def test_nothing_is_overwritten(self, tmp_path: Path) -> None:
        copy_routine("full", tmp_path)
        with pytest.raises(CoachError, match="there already"):
            copy_routine("full", tmp_path)

    def test_an_unknown_name_is_told_with_the_nearest(self, tmp_path: Path) -> None:
        with pytest.raises(FileError, match="Did you mean 'full'"):
            copy_routine("fulll", tmp_path)
