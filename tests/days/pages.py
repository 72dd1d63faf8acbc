"""Pages of the record over a quarter of days that the real core ran, as the terminal prints them.

Two people's days alone, of a pair, of a group and of rests; later ones are the same days again.
"""

import atexit
import io
import os
import sqlite3
from contextlib import closing, redirect_stdout
from functools import cache
from pathlib import Path
from random import Random
from shutil import rmtree
from tempfile import mkdtemp
from unittest import mock

from coach.cli import commands, diagnostics
from coach.journal import Journal
from coach.journal.transfer import put_all
from tests.record import real
from tests.record.invented import session

#: Days that are run, how many there are in all, and the day on which the pages are printed.
DIFFERENT, NUMBER, UNTIL = 10, 30, "2025-04-07"
#: Page -> what it is called by.
PAGES = {
    "history": ("history", "--all"),
    "story-alone": ("history", "3"),
    "story-pair": ("history", "24"),
    "story-group": ("history", "8"),
    "side-by-side": ("history", "2", "5"),
    "trends": ("trends",),
    "suggest": ("suggest",),
    "year": ("year", "2025"),
    "boulders": ("boulders",),
}


@cache
def journal() -> Path:
    """The journal, made once."""
    folder = Path(mkdtemp())
    atexit.register(rmtree, folder, ignore_errors=True)
    path = folder / "journal.db"
    chance = Random(5)
    wholes = [
        session(real.day(400 + n % DIFFERENT), begun, f"{n:08}")
        for n, begun in zip(range(NUMBER), real.evenings(chance), strict=False)
    ]
    with Journal.open(path, write=True) as written:
        put_all(written, wholes)
    return path


def forget() -> None:
    """Take the numbers out of the journal that were made of its facts."""
    with closing(sqlite3.connect(journal())) as database, database:
        database.execute("DELETE FROM digest")


def page(name: str) -> str:
    """What a page prints, of numbers that are made anew of the facts."""
    forget()
    command, *more = PAGES[name]
    until = ["--until", UNTIL] if command in ("trends", "suggest") else []
    out = io.StringIO()
    with mock.patch.dict(os.environ, {"COLUMNS": "80"}), redirect_stdout(out):
        diagnostics.guarded(commands, [command, *more, *until, "--journal", str(journal())])
    return out.getvalue()
