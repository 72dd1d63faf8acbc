"""Backups that the program makes by itself after sessions: seven days, four weeks, twelve months.

Each is copied, verified, and only then takes its name; older ones go when newer ones stand. Owns
which are kept, and that a deletion leaves none that holds what was deleted.
"""

from collections.abc import Sequence
from datetime import date
from glob import escape
from pathlib import Path

from coach.errors import JournalError
from coach.journal.backup import backup
from coach.journal.journal_checks import sums
from coach.journal.sealing import copy_of

#: How many of each are kept.
DAYS, WEEKS, MONTHS = 7, 4, 12


def folder_of(journal: Path) -> Path:
    """Where the backups of a journal stand: beside it, with those of others there."""
    return journal.with_name("backups")


def _name(journal: str, day: str) -> str:
    """What the backup of a journal is called: journal-2026-03-02.db."""
    return f"{journal}-{day}.db"


def backups(journal: Path) -> list[tuple[date, Path]]:
    """Every backup that this program made of it, the oldest first."""
    found = []
    for file in folder_of(journal).glob(_name(escape(journal.stem), "*")):
        try:
            found.append((date.fromisoformat(file.stem.removeprefix(f"{journal.stem}-")), file))
        except ValueError:
            continue
    return sorted(found)


def keep(days: Sequence[date]) -> set[date]:
    """Of some days those whose backups stay: the latest of each day, ISO week and month."""
    latest = sorted(set(days), reverse=True)
    weeks: dict[tuple[int, int], date] = {}
    months: dict[tuple[int, int], date] = {}
    for day in latest:
        weeks.setdefault(day.isocalendar()[:2], day)
        months.setdefault((day.year, day.month), day)
    return {*latest[:DAYS], *list(weeks.values())[:WEEKS], *list(months.values())[:MONTHS]}


def roll(journal: Path, today: date) -> Path:
    """Make today's backup, in the place of an earlier one of today, and drop those beyond number.

    JournalError where the copy is not whole; then nothing is dropped.
    """
    folder = folder_of(journal)
    folder.mkdir(mode=0o700, exist_ok=True)
    to = folder / _name(journal.stem, today.isoformat())
    part = to.with_name(to.name + ".new")
    part.unlink(missing_ok=True)
    backup(journal, part)
    try:
        found = sums(part)
        if found:
            first = found[0]
            raise JournalError(
                f"the backup is not whole: {first.where}: {first.what}",
                "Run `coach journal verify`. The backups before it were kept.",
            )
        part.replace(to)
    finally:
        part.unlink(missing_ok=True)
    stay = keep([day for day, _ in backups(journal)])
    for day, file in backups(journal):
        if day not in stay:
            file.unlink(missing_ok=True)
    return to


def renew(journal: Path, today: date) -> int:
    """After a deletion: drop every backup and make one of what is left; how many were dropped.

    What a kill left of making one goes as well, and the copy of before a sealing.
    """
    old = backups(journal)
    for one in (
        *folder_of(journal).glob(_name(escape(journal.stem), "????-??-??") + "*"),
        *journal.parent.glob(f"{escape(copy_of(journal).name)}*"),
        *journal.parent.glob(f"{escape(journal.name)}.part*"),
    ):
        one.unlink(missing_ok=True)
    if old:
        roll(journal, today)
    return len(old)
