"""Whether the clock of today can be right, by what the record says of earlier days."""

from datetime import datetime

from coach.journal.store import Journal

#: Seconds by which a session may seem to begin in the time to come: clocks are set a little.
SLACK = 900.0


def doubt(journal: Journal, now: datetime) -> str:
    """Why the clock, or a session on the record, must be wrong; '' where nothing says so."""
    rows = journal.rows("SELECT id, begun FROM session ORDER BY instant DESC, uid DESC LIMIT 1")
    for number, begun in rows:
        if datetime.fromisoformat(begun).timestamp() > now.timestamp() + SLACK:
            return (
                f"By this clock it is {now:%Y-%m-%d %H:%M}, but session {number} began on "
                f"{datetime.fromisoformat(begun):%Y-%m-%d at %H:%M}."
            )
    return ""
