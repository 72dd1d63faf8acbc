"""A kept group: a roster by its name among one's own files; asked at a terminal once, then kept."""

import json
import re
import sys
from collections.abc import Iterator
from pathlib import Path

import click

from coach.cli import diagnostics
from coach.errors import FileError
from coach.files.atomic import write_text
from coach.files.paths import Paths
from coach.files.roster import MOST
from coach.files.roster_table import age_told, limits_told
from coach.language import normal
from coach.model.person import AgeBand

#: How the file of a kept group may end.
ENDS = (".toml", ".csv")
#: What may be the name of one, words with spaces too: no path.
NAME = re.compile(r"[\w-]+( [\w-]+)*")
_HEAD = """\
# A group that is kept: 'coach group --roster {name}'.
# Whoever has healed, or has had a birthday, is changed here. All that may stand: docs/files.md.
"""


def roster_path(told: Path, known: Paths) -> Path:
    """The file that was told, else the group that is kept under that name.

    Where there is none, a person at a terminal is asked who is in it, and it is kept from then on.
    """
    if told.exists() or told.suffix or not NAME.fullmatch(str(told)):
        return told
    folders = [folder / "rosters" for folder in known.user_dirs]
    name = told.name.lower().replace(" ", "-")
    kept = (f"{one}{end}" for one in (told.name, name) for end in ENDS)
    files = (folder / file for file in kept for folder in folders)
    found = next((file for file in files if file.exists()), None)
    if found is not None:
        return found
    if not (folders and sys.stdin.isatty() and sys.stderr.isatty()):
        what = "is no file, and no group of that name is kept"
        raise FileError(told, what, "At a terminal the same line asks who is in it.")
    path = folders[0] / f"{name}.toml"
    people = [_table(*one) for one in _asked(told.name)]
    write_text(path, "\n".join((_HEAD.format(name=name), *people)))
    diagnostics.note(f"Kept in {path}. Next time nobody is asked.")
    return path


def _asked(group: str) -> Iterator[tuple[str, AgeBand, list[str]]]:
    """Name, age and limits of one person after the other, until a name is left empty."""
    diagnostics.note(f"No group {group!r} is kept yet. Who is in it? An empty name ends.")
    names: set[str] = set()
    while len(names) < MOST:
        name = _typed(f"Name of number {len(names) + 1}")
        if not name and names:
            return
        if not name or normal(name) in names:
            diagnostics.note("One person at least." if not name else f"{name!r} is there already.")
            continue
        names.add(normal(name))
        yield name, _age(), limits_told(_typed("What to spare, as in 'left shoulder sore'"))


def _age() -> AgeBand:
    """A band: of minors no more is kept than the cautions ask for."""
    while told := _typed("Age in years, or adult; empty counts as under 18"):
        band = age_told(told)
        if band is not None:
            return band
        diagnostics.note("Years, or under-16, under-18, adult.")
    return AgeBand.UNKNOWN


def _table(name: str, age: AgeBand, limits: list[str]) -> str:
    """One person as TOML; what JSON quotes, TOML reads."""
    rows = [f"[[people]]\nname = {json.dumps(name, ensure_ascii=False)}\n"]
    if age is not AgeBand.UNKNOWN:
        rows.append(f'age = "{age.value}"\n')
    if limits:
        rows.append(f"limits = {json.dumps(limits, ensure_ascii=False)}\n")
    return "".join(rows)


def _typed(question: str) -> str:
    return str(click.prompt(question, default="", show_default=False, err=True)).strip()
