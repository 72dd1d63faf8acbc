"""Pictures of an invented year; `python -m docs.pictures` writes them into `docs/record/`.

The climber and the hall are made up (tests/record/invented.py), and every picture says so.
"""

import subprocess
import sys
import tempfile
from pathlib import Path

from coach.journal import Journal
from coach.journal.transfer import put_all
from tests.record.invented import sessions

OUT = Path(__file__).parent / "record"
LABEL = "An invented year of an invented climber"


def coach(*line: str) -> str:
    """Run a command line as a climber would; what it prints."""
    code = "from coach.cli import main; main()"
    ran = subprocess.run(
        [sys.executable, "-c", code, *line],
        check=True,
        capture_output=True,
        text=True,
        env={"COLUMNS": "80", "PYTHONPATH": ":".join(sys.path), "PATH": ""},
    )
    return ran.stdout


def write(out: Path) -> None:
    """Write the pictures and the terminal's drawings into a folder, in place of what is there."""
    out.mkdir(exist_ok=True)
    for old in out.iterdir():
        old.unlink()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "invented.db"
        with Journal.open(path, write=True) as journal:
            # no day twice: copies of days would pass for evidence
            put_all(journal, sessions(different=1000))
        record = ("--journal", str(path), "--until", "2026-01-05")
        coach("trends", *record, "--out", str(out / "year.png"), "--label", LABEL)
        pages = {
            "trends.txt": coach("trends", *record),
            "history.txt": coach("history", *record),
            "story.txt": coach("history", "60", *record),
            "suggest.txt": coach("suggest", *record),
            "year.txt": coach("year", "2025", *record),
        }
        coach("year", "2025", *record, "--out", str(out / "year.html"), "--label", LABEL)
        for name, text in pages.items():
            (out / name).write_text(f"{LABEL}\n\n{text}", encoding="utf-8")
