"""Pictures of the screen as plain text files, so that a change of the screen reads as a diff.

`COACH_SNAPSHOTS=write pytest tests/screen` writes them anew.
"""

import os
from collections.abc import Iterable
from pathlib import Path

FOLDER = Path(__file__).parent / "snapshots"


def check(name: str, lines: Iterable[str], folder: Path = FOLDER) -> None:
    """Compare lines with the file of that name."""
    picture = "".join(f"{line.rstrip()}\n" for line in lines)
    path = folder / f"{name}.txt"
    if os.environ.get("COACH_SNAPSHOTS") == "write":
        path.write_text(picture, encoding="utf-8")
    assert path.is_file(), f"no {path.name}: write it with COACH_SNAPSHOTS=write, then read it"
    assert picture == path.read_text(encoding="utf-8")
