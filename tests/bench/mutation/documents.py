"""What `.ci/run` asks of the documents, as tests in one process: they hold what the program says.

`.ci/run` asks it by `cog --check` and `python -m docs.pictures --check`.
"""

import io
import sqlite3
from contextlib import closing, redirect_stdout
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import pytest
from cogapp import Cog  # type: ignore[import-untyped]

from coach.cli import commands, diagnostics
from coach.journal import Journal
from coach.journal.transfer import put_all
from docs import invented_year
from tests.record.invented import sessions

ROOT = Path(__file__).parents[3]
#: Not the page that counts the modules that are loaded: it depends on what has run before.
PAGES = [
    path
    for path in sorted([*ROOT.glob("docs/*.md"), *ROOT.glob("docs/figures/*.md")])
    if "[[[cog" in path.read_text(encoding="utf-8") and path.stem != "design"
]
#: Of the invented year: what is printed, and the file that holds it.
PRINTED = {
    "trends": ("trends",),
    "history": ("history",),
    "story": ("history", "60"),
    "suggest": ("suggest",),
    "year": ("year", "2025"),
}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.stem))
def test_a_page_is_as_it_would_be_made(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    assert Cog().process_string(text, str(page)) == text


@cache
def year() -> Path:
    """The journal of the invented year."""
    path = Path(mkdtemp()) / "invented.db"
    with Journal.open(path, write=True) as journal:
        put_all(journal, sessions(different=1000))
    forget(path)
    return path


def forget(path: Path) -> None:
    """Take the numbers out of a journal that were made of its facts: they are made anew."""
    with closing(sqlite3.connect(path)) as database, database:
        database.execute("DELETE FROM digest")


@pytest.mark.parametrize("name", PRINTED)
def test_the_year_is_printed_as_it_stands_there(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    out = io.StringIO()
    line = [*PRINTED[name], "--journal", str(year()), "--until", "2026-01-05"]
    with redirect_stdout(out):
        diagnostics.guarded(commands, line)
    kept = (invented_year.OUT / f"{name}.txt").read_text(encoding="utf-8")
    assert f"{invented_year.LABEL}\n\n{out.getvalue()}" == kept
