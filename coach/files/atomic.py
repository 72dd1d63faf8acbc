"""Writing a file so that a crash leaves the old one or the new one, never half of either."""

import os
import tempfile
from pathlib import Path

from coach.errors import CoachError


def write_text(path: Path, text: str) -> None:
    """Write text as UTF-8, creating the folders above it; CoachError if that can't be done."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
            Path(name).replace(path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as error:
        reason = error.strerror or str(error)
        raise CoachError(f"{path} can't be written: {reason}", "Is the folder yours?") from error
