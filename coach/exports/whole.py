"""Files that are there whole or not at all, whatever goes wrong on the way.

Owns the way there: everything is written beside the target under another name and takes its name
last. What was there under that name before is refused, never overwritten.
"""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from coach.errors import CoachError


def _refuse(path: Path) -> Path:
    if path.exists():
        raise CoachError(f"{path}: it is there already", "Choose another name, or move it away.")
    if not path.parent.is_dir():
        raise CoachError(f"{path.parent}: there is no such folder", "Make it first.")
    return path.with_name(path.name + ".part")


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """A path to write to; it becomes `path` when the body is left without an error."""
    part = _refuse(path)
    try:
        with _explained(path):
            yield part
            descriptor = os.open(part, os.O_RDWR)
            try:
                os.fsync(descriptor)
            finally:
                os.close(descriptor)
            part.rename(path)
    finally:
        part.unlink(missing_ok=True)


@contextmanager
def whole_folder(path: Path) -> Iterator[Path]:
    """A folder to write into; it becomes `path` when the body is left without an error."""
    part = _refuse(path)
    try:
        with _explained(path):
            part.mkdir()
            yield part
            part.rename(path)
    finally:
        shutil.rmtree(part, ignore_errors=True)


@contextmanager
def _explained(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise CoachError(
            f"{path}: it can't be written: {error.strerror or error}",
            "Nothing of it was left. Check the folder and the space on the disk.",
        ) from error
