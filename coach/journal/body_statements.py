"""What was told of a person's body in any session, and what of it stands.

`stands_for` gives signs, hurts and soreness that nobody cleared; `coach.record.standing` says when
one ends. `end` keeps that one has.
"""

import json
from collections.abc import Iterator
from datetime import datetime
from functools import cached_property

from coach.journal import codec, statements
from coach.journal.database import explained
from coach.journal.persons import person_of, sessions_of
from coach.journal.store import Journal, SessionId
from coach.model.facts import Felt, SignTold
from coach.model.person import Person
from coach.record.people import Someone
from coach.record.standing import JournalPlace, Stands, Told, standing
from coach.session.events import KeyClaimed

_TOLD = """
SELECT session, seq, kind, body, 0 AS n FROM event WHERE kind = 'KeyClaimed'
UNION ALL SELECT session, seq, kind, body, n FROM fact WHERE kind = 'SignTold'
UNION ALL SELECT session, seq, kind, body, n FROM fact WHERE kind = 'Felt'
UNION ALL SELECT session, seq, kind, body, n FROM told
    WHERE kind IN ('KeyClaimed', 'SignTold', 'Felt')
"""
_BEGUN = "SELECT id, instant, begun FROM session ORDER BY instant, uid"


def told_by(journal: Journal, someone: Someone) -> list[Told]:
    """Signs, feels and claims by key of a person in every session, the earliest first.

    What was stated between sessions comes last.
    """
    return list(journal.remembered(("told", someone.keys), lambda: _told_by(journal, someone)))


def _told_by(journal: Journal, someone: Someone) -> list[Told]:
    told = list(_in_sessions(journal, sessions_of(journal, someone)))
    return told + [one for key, one in _ended(journal) if key in someone.keys]


def end(journal: Journal, someone: Someone, claim: str, wall: datetime) -> None:
    """Keep that what stands of a person has ended by a claim ('well:wrists'), typed by a key."""
    with journal.transaction("keeping a statement"):
        last = journal.rows("SELECT uid FROM session ORDER BY id DESC LIMIT 1")
        before = last[0][0] if last else ""
        statements.keep(journal, statements.ENDED, wall, someone.keys[0], claim, before)


_ENDED = "SELECT wall, body FROM statement WHERE kind = ? ORDER BY wall, uid"


def _ended(journal: Journal) -> Iterator[tuple[str, Told]]:
    """Whose, and what was stated to have ended."""
    for number, (wall, body) in enumerate(journal.rows(_ENDED, statements.ENDED), 1):
        key, claim, _ = json.loads(body)
        when = datetime.fromisoformat(wall)
        yield key, Told(JournalPlace(-number, 0, when.timestamp()), when.date(), claim)


def _in_sessions(journal: Journal, numbers: dict[SessionId, int]) -> Iterator[Told]:
    """All that somebody told in sessions, by their number in each."""
    rows: dict[int, list[tuple[int, int, str, str]]] = {}
    # sorted here: SQLite would go through every event to find them in order
    for session, seq, kind, body, n in journal.rows(_TOLD):
        rows.setdefault(session, []).append((seq, n, kind, body))
    with explained(journal.path, "reading the journal"):
        for session, instant, begun in journal.rows(_BEGUN):
            if session not in numbers or session not in rows:
                continue
            mine, day = (0, numbers[session]), datetime.fromisoformat(begun).date()
            for seq, _, kind, body in sorted(rows[session]):
                if kind == KeyClaimed.__name__:
                    claim = codec.decode_event(kind, body)
                    assert isinstance(claim, KeyClaimed)
                    if claim.who in mine:
                        yield Told(JournalPlace(session, seq, instant), day, claim.claim)
                else:
                    fact = codec.decode_fact(kind, body)
                    assert isinstance(fact, SignTold | Felt)
                    if fact.who in mine:
                        yield Told(JournalPlace(session, seq, instant, fact.at), day, fact)


def stands_for(journal: Journal, someone: Someone) -> tuple[Stands, ...]:
    """What was told of a person's body in any session and stands, the earliest first."""
    return standing(told_by(journal, someone), Before(journal))


def standing_signs(journal: Journal, person: Person, several: int = 1) -> tuple[SignTold, ...]:
    """Warning signs that stand for somebody who takes part in a session of so many people."""
    return signs_of(journal, person_of(journal, person, several))


def signs_of(journal: Journal, someone: Someone) -> tuple[SignTold, ...]:
    """Warning signs that stand for a person, as they were told, the earliest first."""
    told = told_by(journal, someone)
    stand = {(one.day, one.sign, one.part) for one in standing(told, Before(journal)) if one.sign}
    return tuple(
        one.what
        for one in told
        if isinstance(one.what, SignTold) and (one.day, one.what.sign, one.what.part) in stand
    )


class Before:
    """Whether one place in the journal surely comes before another.

    Owns what that means when clocks are wrong: a session comes later that began later by the wall
    clock, or that was begun with the other one already in its journal. Either is enough.
    """

    def __init__(self, journal: Journal) -> None:
        self._journal = journal

    @cached_property
    def _earlier(self) -> dict[int, int]:
        """Session or statement -> the session that was the last one when it began."""
        pairs = self._journal.rows(
            "SELECT later.id, earlier.id FROM session AS later"
            " JOIN session AS earlier ON earlier.uid = later.previous"
        )
        earlier: dict[int, int] = dict(pairs)
        numbers = dict(self._journal.rows("SELECT uid, id FROM session"))
        rows = self._journal.rows(_ENDED, statements.ENDED)
        for number, (_, body) in enumerate(rows, 1):
            earlier[-number] = numbers.get(json.loads(body)[2], 0)
        return earlier

    @cached_property
    def _spans(self) -> dict[int, tuple[int, int]]:
        """Of each that a first one leads to, when a walk over all of them came to it and left it.

        What was begun with another in its journal lies within the span of that one.
        """
        followed: dict[int, list[int]] = {}
        for later, earlier in self._earlier.items():
            followed.setdefault(earlier, []).append(later)
        firsts = [one for one in followed if one not in self._earlier]
        entered: dict[int, int] = {}
        spans: dict[int, tuple[int, int]] = {}
        walk = [(one, False) for one in firsts]
        moment = 0
        while walk:
            one, leaving = walk.pop()
            moment += 1
            if leaving:
                spans[one] = (entered[one], moment)
                continue
            entered[one] = moment
            walk.append((one, True))
            walk += [(later, False) for later in followed.get(one, ())]
        return spans

    def __call__(self, first: JournalPlace, second: JournalPlace) -> bool:
        """Whether the first surely comes before the second."""
        if first.session == second.session:
            return first.seq < second.seq
        # what was stated between sessions counts against what came before that very moment
        after = first.after if second.session < 0 else 0.0
        if first.instant + after < second.instant:
            return True
        one, other = self._spans.get(first.session), self._spans.get(second.session)
        # what no first one leads to goes round in a circle, and has no order
        return bool(one and other and one[0] < other[0] and other[1] < one[1])
