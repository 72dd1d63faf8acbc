"""What a person answered to a proposal, and the trials that they began: statements of one person.

Each begins with what the person is known by, so that it goes when they are deleted.
"""

import json
from collections.abc import Iterator
from datetime import date, datetime
from typing import Any

from coach.errors import UsageError
from coach.journal import statements
from coach.journal.database import explained
from coach.journal.store import Journal
from coach.record.people import Someone
from coach.record.trial import LENGTH, Trial, running


def _of(journal: Journal, someone: Someone, *kinds: str) -> Iterator[tuple[str, str, list[Any]]]:
    """Wall, kind and body of a person's statements of these kinds, in the order of their time."""
    query = "SELECT wall, kind, body FROM statement WHERE kind IN (SELECT value FROM json_each(?))"
    with explained(journal.path, "reading the journal"):
        rows = journal.rows(f"{query} ORDER BY wall, uid", json.dumps(kinds))
    for wall, kind, body in rows:
        told = json.loads(body)
        if told[0] in someone.keys:
            yield wall, kind, told[1:]


def answer_of(journal: Journal, someone: Someone, today: date) -> str:
    """What the person answered to the proposal of a day; '' for nothing."""
    told = [body for _, _, body in _of(journal, someone, statements.ANSWERED)]
    return next((str(what) for day, what in reversed(told) if day == today.isoformat()), "")


def answer(journal: Journal, someone: Someone, today: date, what: str, wall: datetime) -> None:
    """Keep an answer to the proposal of a day; the last one counts."""
    with journal.transaction("keeping an answer"):
        body = (someone.keys[0], today.isoformat(), what)
        statements.keep(journal, statements.ANSWERED, wall, *body)


def trials_of(journal: Journal, someone: Someone) -> tuple[Trial, ...]:
    """The trials that a person began, the earliest first."""
    found: list[Trial] = []
    for wall, kind, body in _of(journal, someone, statements.TRIED, statements.TRIED_ENOUGH):
        if kind == statements.TRIED:
            found.append(Trial(str(body[0]), str(body[1]), datetime.fromisoformat(wall)))
        elif found and found[-1].given_up is None:
            found[-1] = found[-1].over(datetime.fromisoformat(wall))
    return tuple(found)


def begin_trial(journal: Journal, someone: Someone, trial: Trial, sessions: int) -> None:
    """Keep that a trial began; UsageError while one runs. `sessions` are those since its begin."""
    before = running(trials_of(journal, someone), sessions)
    if before is not None:
        raise UsageError(
            f"a trial runs: {before.text}",
            f"One change at a time. It is over after {LENGTH} sessions, or by 'coach trial --end'.",
        )
    with journal.transaction("beginning a trial"):
        body = (someone.keys[0], trial.what, trial.value)
        statements.keep(journal, statements.TRIED, trial.begun, *body)


def end_trial(journal: Journal, someone: Someone, wall: datetime) -> None:
    """Keep that the last trial was given up."""
    with journal.transaction("ending a trial"):
        statements.keep(journal, statements.TRIED_ENOUGH, wall, someone.keys[0])
