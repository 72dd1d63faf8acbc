"""What was told of a person's body in any session, and what of it stands.

`stands_for` gives signs, hurts and soreness that nobody cleared; `coach.record.standing` says when
one ends. `end` keeps that one has.
"""

import json
from collections.abc import Iterator, Mapping
from datetime import datetime
from functools import cached_property
from operator import itemgetter

from coach.journal import codec, statements
from coach.journal.database import explained
from coach.journal.persons import person_of, sessions_of
from coach.journal.schema import STANDING
from coach.journal.store import Journal, SessionId
from coach.model.body import Feel, Part
from coach.model.facts import Felt, SignTold
from coach.model.person import Person
from coach.record.people import Someone
from coach.record.standing import CLEARED, WELL, JournalPlace, Stands, Told, standing
from coach.session.events import KeyClaimed

#: What stands by itself, and what ends that. Of ten years most is neither: it is not even read.
_TOLD = f"""
SELECT session, seq, n, kind, body FROM told WHERE {STANDING}
UNION ALL SELECT session, seq, 0, kind, body FROM event WHERE kind = 'KeyClaimed'
UNION ALL SELECT session, seq, n, kind, body FROM fact WHERE kind = 'SignTold'
UNION ALL SELECT session, seq, n, kind, body FROM fact WHERE kind = 'Felt' AND {STANDING}
"""  # noqa: S608
#: The other feels of some parts, each from an instant on.
_FELT = f"""
WITH wanted AS MATERIALIZED (SELECT key, value FROM json_each(?)),
    later AS (SELECT id, key FROM wanted JOIN session ON instant >= value)
SELECT session, seq, n, kind, body FROM later CROSS JOIN told ON session = id
    WHERE kind = 'Felt' AND json_extract(body, '$.part') = key AND NOT {STANDING}
UNION ALL SELECT session, seq, n, kind, body FROM fact JOIN wanted
    ON kind = 'Felt' AND json_extract(body, '$.part') = key AND NOT {STANDING}
"""  # noqa: S608
_BEGUN = """
SELECT id, instant, uid, begun FROM session WHERE id IN (SELECT value FROM json_each(?))
"""
#: Whether a session began earlier, by its clock, than the one that it was begun after.
_TURNED_BACK = """
SELECT EXISTS (SELECT 1 FROM session AS later JOIN session AS earlier
    ON earlier.uid = later.previous WHERE later.instant < earlier.instant)
"""
#: Before every instant.
_ALWAYS = -1e18

_Row = tuple[int, int, int, str, str]
_Order = tuple[float, str, int, int]


def told_by(journal: Journal, someone: Someone) -> list[Told]:
    """What a person told in any session that can stand, be ended or end another, earliest first.

    Signs, feels, and what a key stated to be well or cleared. What was stated between sessions
    comes last.
    """
    return list(journal.remembered(("told", someone.keys), lambda: _told_by(journal, someone)))


def _told_by(journal: Journal, someone: Someone) -> list[Told]:
    numbers = sessions_of(journal, someone)
    told = _in_sessions(journal, numbers, journal.rows(_TOLD))
    told.sort(key=itemgetter(0))
    ended = [one for key, one in _ended(journal) if key in someone.keys]
    if wanted := _feels_wanted(journal, [one for _, one in told] + ended):
        told += _in_sessions(journal, numbers, journal.rows(_FELT, json.dumps(wanted)))
        told.sort(key=itemgetter(0))
    return [one for _, one in told] + ended


def _feels_wanted(journal: Journal, told: list[Told]) -> dict[str, float]:
    """Parts whose better and other feels count, and the instant from which on they do.

    The last soreness of a part is ended by any that comes after it, and none before it can be told
    from its order; a claim may be about any.
    """
    sore: dict[str, float] = {}
    claimed = set()
    for place, _, what in told:
        if isinstance(what, str):
            claimed.add(what.removeprefix(CLEARED).removeprefix(WELL))
        elif isinstance(what, Felt) and what.feel is Feel.SORE:
            sore[what.part] = place.instant - 1.0  # as text a number may lose its last digit
        elif isinstance(what, Felt) and what.feel is Feel.HURTING:
            sore.pop(what.part, None)
    if sore and journal.rows(_TURNED_BACK)[0][0]:
        claimed |= set(sore)
    return sore | dict.fromkeys(claimed & set(Part), _ALWAYS)


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


def _in_sessions(
    journal: Journal, numbers: Mapping[SessionId, int], rows: list[_Row]
) -> list[tuple[_Order, Told]]:
    """What somebody told of some rows, by their number in each session, with its order."""
    mine = [row for row in rows if row[0] in numbers]
    ids = json.dumps(sorted({row[0] for row in mine}))
    begun = {number: when for number, *when in journal.rows(_BEGUN, ids)}
    found: list[tuple[_Order, Told]] = []
    with explained(journal.path, "reading the journal"):
        for session, seq, n, kind, body in mine:
            instant, uid, wall = begun[session]
            what, at = _what(kind, body, (0, numbers[SessionId(session)]))
            if what is not None:
                place = JournalPlace(session, seq, instant, at)
                day = datetime.fromisoformat(wall).date()
                found.append(((instant, uid, seq, n), Told(place, day, what)))
    return found


def _what(kind: str, body: str, who: tuple[int, int]) -> tuple[SignTold | Felt | str | None, float]:
    """What was told and when in its session; None where it was told of somebody else."""
    if kind == KeyClaimed.__name__:
        claim = codec.decode_event(kind, body)
        assert isinstance(claim, KeyClaimed)
        return (claim.claim if claim.who in who else None), 0.0
    fact = codec.decode_fact(kind, body)
    assert isinstance(fact, SignTold | Felt)
    return (fact if fact.who in who else None), fact.at


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
