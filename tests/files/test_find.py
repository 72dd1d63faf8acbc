"""Where data files and folders are: checkout, wheel, user's folder, COACH_HOME."""

import shutil
from pathlib import Path

import pytest

from coach.errors import CoachError, FileError
from coach.files.find import FileKind, data_root, files, find
from coach.files.paths import paths
from coach.files.voices import load_voice

ROOT = Path(__file__).parents[2]


def test_a_checkout_has_its_data_beside_the_package() -> None:
    assert data_root(FileKind.ROUTINE) == ROOT / "routines"
    assert data_root(FileKind.MOVEMENTS) == ROOT / "routines" / "movements"
    assert data_root(FileKind.VOICE) == ROOT / "voices"


def test_a_wheel_has_its_data_inside_the_package(tmp_path: Path) -> None:
    package = tmp_path / "site-packages" / "coach"
    for kind in ("routines", "voices"):
        shutil.copytree(ROOT / kind, package / "_data" / kind)
    # Another distribution's folder of the same name must not be taken for ours.
    (tmp_path / "site-packages" / "routines").mkdir()

    for kind in FileKind:
        assert data_root(kind, package) == package / "_data" / kind.value
        assert list(data_root(kind, package).glob("*.toml"))


def test_an_installation_without_its_data_says_so(tmp_path: Path) -> None:
    with pytest.raises(CoachError, match="Install it again"):
        data_root(FileKind.ROUTINE, tmp_path / "coach")


def test_a_users_file_wins_by_name_and_the_first_folder_over_the_next(tmp_path: Path) -> None:
    text = (ROOT / "voices" / "steady.toml").read_text("utf-8")
    for folder, pitch in (("near", 10), ("far", 90)):
        voices = tmp_path / folder / "voices"
        voices.mkdir(parents=True)
        (voices / "steady.toml").write_text(text.replace("pitch = 50", f"pitch = {pitch}"), "utf-8")
    near, far = tmp_path / "near", tmp_path / "far"

    assert load_voice("steady").pitch == 50
    assert load_voice("steady", (far,)).pitch == 90
    assert load_voice("steady", (near, far)).pitch == 10
    assert load_voice("brisk", (near, far)) == load_voice("brisk")


def test_a_users_folder_that_is_not_there_adds_nothing(tmp_path: Path) -> None:
    assert files(FileKind.VOICE, (tmp_path / "nowhere",)) == files(FileKind.VOICE)


@pytest.mark.parametrize(
    ("kind", "name", "meant"),
    [
        (FileKind.ROUTINE, "ful", "full"),
        (FileKind.PLACE, "tarnwik", "tarnwick"),
        (FileKind.VOICE, "brsk", "brisk"),
    ],
)
def test_an_unknown_name_is_told_with_the_nearest(kind: FileKind, name: str, meant: str) -> None:
    with pytest.raises(FileError, match=f"Did you mean '{meant}'"):
        find(kind, name)


def test_coach_home_puts_all_under_one_folder(tmp_path: Path) -> None:
    found = paths({"COACH_HOME": str(tmp_path)})
    for path in (found.settings, found.journal, found.log, found.cues, *found.user_dirs):
        assert path.is_relative_to(tmp_path)
    assert len({found.config, found.data, found.state, found.cache}) == 4


def test_a_relative_coach_home_is_made_absolute(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert paths({"COACH_HOME": "here"}).config == tmp_path / "here" / "config"


def test_an_empty_coach_home_counts_as_unset(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME"):
        monkeypatch.delenv(name, raising=False)
    assert paths({"COACH_HOME": ""}) == paths({})
    assert "coach" in str(paths({}).config)


def test_asking_for_paths_creates_nothing(tmp_path: Path) -> None:
    paths({"COACH_HOME": str(tmp_path / "new")})
    assert not (tmp_path / "new").exists()
