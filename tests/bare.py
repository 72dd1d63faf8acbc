"""Tries every command of an installation without extras: `python tests/bare.py`.

None may fail for want of a package without saying which, and what adds it. Runs where only the
wheel is installed, so it needs nothing of the tests' libraries; `tests/cli/test_bare.py` holds it
against the list of commands.
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

QUIET = ("--no-sound", "--plain", "--new")
SHORT = ("--minutes", "30", "--age", "adult", "--hurting", "no", "--same-place")
#: A line for each command; together they leave something for those that read.
LINES: tuple[tuple[str, ...], ...] = (
    ("paths",),
    ("plan", "mat-and-board", *SHORT),
    ("rehearse", "mat-and-board", *SHORT),
    ("start", "mat-and-board", *SHORT, *QUIET),
    ("group", "--people", "3", "--minutes", "45", *QUIET),
    ("rest", "--hurting", "no", *QUIET),
    ("rest", "--hurting", "no", "--plain", "--new", "--to-file", "heard.wav"),
    ("rest", "--hurting", "no", *QUIET, "--share", "0"),
    ("large", "--once"),
    ("soundcheck",),
    ("soundcheck", "--delay"),
    ("words", "teach", "done"),
    ("words", "teach", "done", "--from", "takes"),
    ("words", "forget", "done"),
    ("words", "script"),
    ("words", "model", "list"),
    ("words", "model", "use", "none"),
    ("words", "model", "add", "nowhere"),
    ("words", "model", "fetch", "xx"),
    ("routines", "list"),
    ("routines", "show", "full"),
    ("routines", "copy", "full", "mine"),
    ("routines", "verify"),
    ("history",),
    ("history", "show"),
    ("history", "fix", "1", "--effort", "5"),
    ("trends",),
    ("suggest",),
    ("suggest", "--not-today"),
    ("year",),
    ("year", "--out", "year.html"),
    ("trial",),
    ("learnt",),
    ("learnt", "rest", "--forget"),
    ("boulders",),
    ("people", "list"),
    ("people", "rename", "Runa", "Osk"),
    ("people", "join", "Runa", "Osk"),
    ("people", "apart", "Runa"),
    ("people", "age", "adult"),
    ("people", "well", "wrists"),
    ("people", "cleared", "wrists"),
    ("notes",),
    ("notes", "play", "none"),
    ("notes", "delete", "none"),
    ("export", "out.csv"),
    ("export", "out.parquet"),
    ("export", "out.png"),
    ("export", "out.ics"),
    ("export", "out.jsonl"),
    ("journal", "verify"),
    ("journal", "seal"),
    ("journal", "aim"),
    ("journal", "people"),
    ("journal", "backup", "copy.db"),
    ("journal", "restore", "copy.db", "--journal", "restored.db"),
    ("journal", "merge", "copy.db"),
    ("journal", "import", "out.jsonl"),
    ("journal", "rescue", "copy.db", "rescued.db"),
    ("journal", "page"),
    ("journal", "delete"),
)
#: What no command may print, whatever it lacks.
WRONG = ("Traceback", "unexpected", "ModuleNotFoundError", "No module named")
#: Seconds that a session may run before it is left.
RUNS = 8.0
#: What may be returned; and what a machine returns that had not begun by then.
CODES, TOO_SLOW = (0, 1, 2, 3, 4, 130), -15
SESSIONS = ("start", "group", "rest")


def tried(line: tuple[str, ...], folder: Path, python: list[str]) -> str:
    """Run one line; what was wrong with it, '' where nothing was."""
    running = subprocess.Popen(
        [*python, *line],
        cwd=folder,
        env=os.environ | {"COACH_HOME": str(folder / "home")},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        encoding="utf-8",
    )
    try:
        said, _ = running.communicate(timeout=RUNS if line[0] in SESSIONS else 60.0)
    except subprocess.TimeoutExpired:
        running.terminate()
        said, _ = running.communicate(timeout=30.0)
    wrong = [word for word in WRONG if word in said]
    if wrong or running.returncode not in (*CODES, TOO_SLOW):
        return f"coach {' '.join(line)}: {running.returncode}\n{said}"
    return ""


def main() -> int:
    """Try them all; 0 where every one could say what it lacks."""
    with tempfile.TemporaryDirectory() as folder:
        faults = [tried(line, Path(folder), [sys.executable, "-m", "coach"]) for line in LINES]
    for fault in filter(None, faults):
        print(fault)
    print(f"{len(LINES)} lines tried, {len(LINES) - faults.count('')} went wrong.")
    return 1 if any(faults) else 0


if __name__ == "__main__":
    raise SystemExit(main())
