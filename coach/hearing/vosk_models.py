"""The models of the recogniser vosk that are on this machine: added, unpacked, listed.

A model is there whole or not at all: it is made beside its place and moved there at the end.
"""

import errno
import shutil
import stat
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from coach.errors import CoachError

#: Bytes that an unpacked model may have; the largest known has a few billion.
MOST = 8_000_000_000


class ModelError(CoachError):
    """A model can't be used: why, and what to do."""


def is_model(folder: Path) -> bool:
    """Whether a folder looks like a model: its configuration or its acoustic model is there."""
    return (folder / "conf").is_dir() or (folder / "final.mdl").is_file()


def installed(models: Path) -> list[str]:
    """The names of all that are there."""
    if not models.is_dir():
        return []
    return sorted(one.name for one in models.iterdir() if one.name[0] != "." and is_model(one))


def add(folder: Path, models: Path) -> Path:
    """Copy a model's folder; where it is now. ModelError if it is none or can't be copied."""
    if not is_model(folder):
        raise ModelError(
            f"{folder}: no vosk model there (it has neither conf/ nor final.mdl)",
            "Give the unpacked folder of a model.",
        )
    with _made(models, folder.resolve().name) as made:
        shutil.copytree(folder, made, symlinks=False)
    return models / folder.resolve().name


def remove(place: Path, models: Path) -> None:
    """Take a model away again."""
    if place.parent == models:
        shutil.rmtree(place, ignore_errors=True)


def unpack(archive: Path, models: Path, name: str) -> Path:
    """Unpack a model's zip file, which stays; ModelError leaves nothing else behind."""
    with _made(models, name) as made:
        try:
            with zipfile.ZipFile(archive) as file:
                _look(file, archive, models)
                file.extractall(made)
        except (zipfile.BadZipFile, EOFError, NotImplementedError) as error:
            raise ModelError(
                f"{archive}: not a whole zip file: {error}", "Fetch it anew."
            ) from error
        inside = list(made.iterdir())
        if not is_model(made) and len(inside) == 1 and is_model(inside[0]):
            top = made.with_name(f"{made.name}.top")
            inside[0].rename(top)
            made.rmdir()
            top.rename(made)
        if not is_model(made):
            raise ModelError(f"{archive}: no vosk model is in it", "Was it another file?")
    return models / name


def _look(file: zipfile.ZipFile, archive: Path, models: Path) -> None:
    """ModelError for names that lead elsewhere, links, or more than fits."""
    for info in file.infolist():
        parts = Path(info.filename.replace("\\", "/")).parts
        link = stat.S_ISLNK(info.external_attr >> 16)
        if link or ".." in parts or Path(info.filename).is_absolute() or ":" in info.filename:
            raise ModelError(
                f"{archive}: {info.filename!r} in it leads out of its folder",
                "Don't use this file.",
            )
    size = sum(info.file_size for info in file.infolist())
    if size > MOST:
        raise ModelError(f"{archive}: {size / 1e9:.0f} GB unpacked is no model", "Don't use it.")
    if shutil.disk_usage(models).free < size:
        raise OSError(errno.ENOSPC, "not enough space")


@contextmanager
def _made(models: Path, name: str) -> Iterator[Path]:
    """A place to make a model in, which becomes `name` if all goes well."""
    place = models / name
    if place.exists():
        raise ModelError(f"{place} is there already", "Remove it first to replace it.")
    made = models / f".{name}.new"
    try:
        models.mkdir(parents=True, exist_ok=True)
        shutil.rmtree(made, ignore_errors=True)
        yield made
        made.rename(place)
    except OSError as error:
        raise ModelError(
            f"{place} can't be made: {error.strerror or error}",
            "Nothing was left behind. Is there space, and may you write there?",
        ) from error
    finally:
        shutil.rmtree(made, ignore_errors=True)
        shutil.rmtree(made.with_name(f"{made.name}.top"), ignore_errors=True)
