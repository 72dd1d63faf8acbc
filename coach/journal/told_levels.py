"""What a person was asked of their level: months of climbing, and the comfortable circuit."""

from dataclasses import dataclass
from datetime import date, datetime

from coach.journal import codec
from coach.journal.database import explained
from coach.journal.persons import sessions_of
from coach.journal.store import Journal, SessionId
from coach.model.facts import ClimbedTold, ComfortableTold
from coach.planning.levels import months_by
from coach.record.people import Someone

_TOLD = """
SELECT session.id, place, begun, kind, told.body FROM (
    SELECT session AS s, kind, body FROM fact WHERE kind IN ('ClimbedTold', 'ComfortableTold')
    UNION ALL SELECT session, kind, body FROM told
        WHERE kind IN ('ClimbedTold', 'ComfortableTold')
) AS told JOIN session ON session.id = s ORDER BY instant
"""


@dataclass(frozen=True, slots=True)
class ToldLevel:
    """What was asked of one person, and what they told; what is asked once is not asked again."""

    months: int | None = None
    """Months of climbing by today, at least; None where untold."""
    comfortable: str = ""
    """The comfortable circuit of the place; '' where untold."""
    asked: frozenset[str] = frozenset()
    """'climbed', and 'comfortable' of this place."""


def level_of(journal: Journal, someone: Someone, place: str, today: date) -> ToldLevel:
    """What counts of a person's level at a place today: of each question the last answer."""
    numbers = sessions_of(journal, someone)
    months, comfortable, asked = None, "", set()
    with explained(journal.path, "reading the journal"):
        for session, where, begun, kind, body in journal.rows(_TOLD):
            fact = codec.decode_fact(kind, body)
            if numbers.get(SessionId(session)) != fact.who:
                continue
            if isinstance(fact, ClimbedTold):
                asked.add("climbed")
                months = months_by(fact.months, datetime.fromisoformat(begun).date(), today)
            elif isinstance(fact, ComfortableTold) and where == place:
                asked.add("comfortable")
                comfortable = fact.circuit
    return ToldLevel(months, comfortable, frozenset(asked))
