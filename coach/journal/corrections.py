"""Corrections of what is on the record, as statements: what was recorded stays, and is kept.

`fix` states one; `correct` makes the lists, digests and trends of a session say what was stated.
The seal and the events of a session are never touched.
"""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from coach.errors import UsageError
from coach.journal import seals, statements
from coach.journal.digests import Maker, named
from coach.journal.session_rows import instant_of
from coach.journal.store import Journal, SessionId
from coach.model.tries import HEIGHTS

#: Results that a try may be corrected to.
RESULTS = (*HEIGHTS, "below", "untold")


def fix(journal: Journal, session: SessionId, wall: datetime, field: str, value: Any) -> None:
    """State a correction of a session: 'begun', 'place', 'effort N', 'name N' or 'try N M'.

    `N` is a person's number in it, `M` the number of their try. UsageError for what can't be.
    """
    fix_all(journal, session, wall, [(field, value)])


def fix_all(
    journal: Journal, session: SessionId, wall: datetime, changes: Sequence[tuple[str, Any]]
) -> None:
    """As `fix`, several: all of them or, where one can't be, none."""
    ((uid, twin),) = journal.rows("SELECT uid, twin FROM session WHERE id = ?", session)
    name = named(twin or uid)
    for field, value in changes:
        _value(journal, session, field)
        if field == "begun":
            instant_of(str(value))
    with journal.transaction("keeping a correction"):
        for field, value in changes:
            old = _value(journal, session, field)
            statements.keep(journal, statements.FIXED, wall, name, field, old, value)


def _value(journal: Journal, session: SessionId, field: str) -> Any:
    """What stands there now; UsageError where nothing does."""
    kind, *numbers = field.split()
    if kind in ("begun", "place") and not numbers:
        query = f"SELECT {kind} FROM session WHERE id = ?"  # noqa: S608 - one of two words
        return journal.rows(query, session)[0][0]
    rows = journal.rows("SELECT who, name FROM attendance WHERE session = ?", session)
    people: dict[int, str] = dict(rows)
    who = int(numbers[0])
    if who not in people:
        raise UsageError(f"nobody has number {who} in that session")
    made = Maker(journal.db).made(session, who)
    if kind == "name":
        return people[who]
    if kind == "effort":
        return made.effort
    number = int(numbers[1])
    if not 1 <= number <= len(made.tried):
        raise UsageError(f"there is no try {number}: there are {len(made.tried)}")
    return made.tried[number - 1][1]


def correct(journal: Journal, session: SessionId, fixes: Sequence[tuple[Any, ...]]) -> None:
    """Make a session's row and digests what its corrections say, the latest one last.

    Inside the caller's transaction.
    """
    if not fixes:
        return
    start = journal.start_of(session)
    begun, place = start.wall, start.library.place.name
    for _, field, _, value in fixes:
        if field == "begun":
            begun = str(value)
        elif field == "place":
            place = str(value)
    journal.db.execute(
        "UPDATE session SET begun = ?, instant = ?, place = ? WHERE id = ?",
        (begun, instant_of(begun), place, session),
    )
    seals.guard(journal.db, session)
    Maker(journal.db).keep(session)
