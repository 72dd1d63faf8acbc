"""Where data files are: what came with the program, and the user's own folders, which win by name.

It alone knows that the wheel keeps `routines/` and `voices/` inside the package as `coach/_data`
while a checkout has them beside it.
"""

from collections.abc import Sequence
from enum import StrEnum
from pathlib import Path

import coach
from coach.errors import CoachError, FileError
from coach.files.names import advice

PACKAGE = Path(coach.__file__).resolve().parent


class FileKind(StrEnum):
    """A kind of data file, by its folder."""

    ROUTINE = "routines"
    MOVEMENTS = "routines/movements"
    PLACE = "routines/places"
    VOICE = "voices"
    MODELS = "voices/models"
    KEY_MOVES = "routines/boulders"


def data_root(kind: FileKind, package: Path = PACKAGE) -> Path:
    """The folder of a kind that came with the program; CoachError if the installation lacks it."""
    for root in (package / "_data", package.parent):
        folder = root / kind.value
        if folder.is_dir():
            return folder
    raise CoachError(f"{kind.value} did not come with this installation", "Install it again.")


def folders(kind: FileKind, user_dirs: Sequence[Path] = ()) -> list[Path]:
    """The folders of a kind, ours first: what stands in a later one wins."""
    return [data_root(kind), *(user / kind.value for user in reversed(user_dirs))]


def files(kind: FileKind, user_dirs: Sequence[Path] = ()) -> dict[str, Path]:
    """Every file of a kind by name; an earlier user folder wins over a later, all over ours."""
    return {
        path.stem: path
        for folder in folders(kind, user_dirs)
        for path in sorted(folder.glob("*.toml"))
    }


def find(kind: FileKind, name: str, user_dirs: Sequence[Path] = ()) -> Path:
    """The file of a name; FileError with the nearest name if there is none."""
    known = files(kind, user_dirs)
    if name not in known:
        what = f"there is no {kind.name.lower()} called {name!r}"
        raise FileError(data_root(kind) / f"{name}.toml", what, advice(name, known))
    return known[name]
