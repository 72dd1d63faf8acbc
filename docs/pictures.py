"""Every picture of the documents anew: `python -m docs.pictures`; `--check` only compares.

The screens are taken in tmux, the year's pages and charts from a journal, the group's pages in a
browser where there is one, and then all that cog writes into the pages. All of it comes from
sessions that the program runs. What is text is compared; of a chart the text that goes with it.
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path
from shutil import which

from docs import invented_year

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "docs"
PAGES = (
    "README.md",
    *sorted(
        str(path.relative_to(ROOT)) for path in [*DOCS.glob("*.md"), *DOCS.glob("figures/*.md")]
    ),
)


def stale(folder: Path, known: Path = invented_year.OUT) -> list[str]:
    """The texts of the year that are not what is in the documents."""
    made = {path.name for path in folder.glob("*.txt")}
    kept = {path.name for path in known.glob("*.txt")}
    differ = {
        name for name in made & kept if (folder / name).read_text() != (known / name).read_text()
    }
    return sorted((made ^ kept) | differ)


def check() -> int:
    """1 where a text of the year is stale; tests and cog compare the others."""
    with tempfile.TemporaryDirectory() as folder:
        invented_year.write(Path(folder))
        found = stale(Path(folder))
    sys.stderr.writelines(
        f"docs/record/{name} is stale: python -m docs.pictures\n" for name in found
    )
    return 1 if found else 0


def write() -> int:
    """Make all of them anew; the exit code of what failed, else 0."""
    invented_year.write(invented_year.OUT)
    screens = [sys.executable, "-m", "pytest", "-q", "-n0", "tests/screen/test_terminal.py"]
    commands = [(screens, {"COACH_SNAPSHOTS": "write"})]
    if which("chromium"):
        commands.append(([sys.executable, "-m", "tests.web.pictures", "docs/screens"], {}))
    commands.append((["cog", "-r", *PAGES], {}))
    for line, more in commands:
        done = subprocess.run(line, check=False, cwd=ROOT, env={**os.environ, **more})
        if done.returncode:
            return done.returncode
    return 0


if __name__ == "__main__":
    sys.exit(check() if sys.argv[1:] == ["--check"] else write())
