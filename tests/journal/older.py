"""A journal as an earlier version of the program left it: rows of events, nothing packed."""

import sqlite3
from collections.abc import Iterable
from pathlib import Path

from coach.journal import codec, migrations
from coach.journal.schema import STEPS
from coach.journal.session_rows import instant_of
from coach.journal.transfer import Whole

#: Steps of the shape that there was before persons and seals.
BEFORE_PERSONS = 2


def write(path: Path, sessions: Iterable[Whole], steps: int = BEFORE_PERSONS) -> None:
    """Make such a file of these sessions; digests are missing, as after a change of version."""
    path.parent.mkdir(parents=True, exist_ok=True)
    db = sqlite3.connect(path, isolation_level=None)
    try:
        migrations.migrate(db, dict(list(STEPS.items())[:steps]))
        db.execute("BEGIN")
        for number, one in enumerate(sessions, 1):
            _session(db, number, one)
        db.execute("COMMIT")
    finally:
        db.close()


def _session(db: sqlite3.Connection, number: int, one: Whole) -> None:
    start = one.start
    digest, library = codec.encode_library(start.library)
    db.execute("INSERT OR IGNORE INTO library VALUES (?, ?)", (digest, library))
    columns = (
        one.uid, one.previous, start.wall, instant_of(start.wall), start.routine, start.minutes,
        start.library.place.name, digest, codec.encode_start(start), one.how,
    )  # fmt: skip
    # closed only afterwards: a closed session takes no event
    db.execute(
        "INSERT INTO session VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, NULL, ?)",
        (number, *columns[:-1], codec.crc(*columns)),
    )
    for each in one.recorded:
        event, facts = codec.encode(each.event), [codec.encode(fact) for fact in each.facts]
        db.execute(
            "INSERT INTO event VALUES (?, ?, ?, ?, ?, ?)",
            (number, each.seq, each.wall, *event, codec.checksum(each.wall, event, facts)),
        )
        db.executemany(
            "INSERT INTO fact VALUES (?, ?, ?, ?, ?)",
            [(number, each.seq, n, *fact) for n, fact in enumerate(facts, 1)],
        )
    db.execute("UPDATE session SET how = ? WHERE id = ?", (one.how, number))
