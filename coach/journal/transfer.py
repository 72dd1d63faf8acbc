"""Whole sessions out of one journal and into another, without doubles and in any order.

Owns what happens when both have a session of the same name (uid): the longer record of the same
events wins; where they went different ways (one was taken up again on another machine) both are
kept, the longer one under the name. None of it depends on which journal was first.
"""

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from coach.journal import codec
from coach.journal.aims import add_aim, all_aims
from coach.journal.codec import Recorded
from coach.journal.digests import Maker
from coach.journal.store import Journal, SessionId
from coach.model.start import Start

#: How a session ended whose end could not be read.
CUT = "cut"


@dataclass(frozen=True, slots=True)
class Whole:
    """One session with all that is known of it."""

    uid: str
    previous: str
    """The session that was the last in its journal when this one began; '' for none."""
    start: Start
    how: str | None
    recorded: tuple[Recorded, ...]

    def content(self) -> str:
        """A digest of what happened: how it began and every transaction (SHA-256, hex)."""
        digest = hashlib.sha256()
        parts = [self.previous, codec.encode_start(self.start)]
        parts += codec.encode_library(self.start.library)
        for one in self.recorded:
            parts += [one.wall, *codec.encode(one.event), str(len(one.facts))]
            parts += [text for fact in one.facts for text in codec.encode(fact)]
        digest.update("\0".join(parts).encode())
        return digest.hexdigest()


class Outcome(StrEnum):
    """What putting a session into a journal did."""

    #: it was not there
    ADDED = "added"
    #: it was there already, all of it
    SAME = "there already"
    #: the journal had its beginning only
    EXTENDED = "completed"
    #: both went on differently: both are kept
    BOTH = "kept twice, because the two went on differently"


def without_events(journal: Journal, session: SessionId) -> Whole:
    """One session without what happened in it; JournalError when it can't be read."""
    uid, previous, how = journal.rows(
        "SELECT uid, previous, how FROM session WHERE id = ?", session
    )[0]
    return Whole(uid, previous, journal.start_of(session), how, ())


def whole(journal: Journal, session: SessionId) -> Whole:
    """One session; JournalError when it can't be read."""
    recorded = tuple(journal.recorded(session))
    return replace(without_events(journal, session), recorded=recorded)


def wholes(journal: Journal) -> Iterator[Whole]:
    """Every session, the earliest first."""
    for row in journal.sessions():
        yield whole(journal, row.id)


def put(journal: Journal, given: Whole) -> Outcome:
    """Put one session into a journal, all of it or nothing."""
    with journal.transaction("copying a session"):
        return _put(journal, given)


def _put(journal: Journal, given: Whole) -> Outcome:
    found = journal.rows("SELECT id FROM session WHERE uid = ?", given.uid)
    if not found:
        _insert(journal, given)
        return Outcome.ADDED
    here = whole(journal, found[0][0])
    winner, loser = sorted((here, given), key=_rank, reverse=True)
    alike = _same_start(winner, loser)
    if alike and winner.recorded[: len(loser.recorded)] == loser.recorded:
        if winner == here:
            return Outcome.SAME
        _replace(journal, found[0][0], winner)
        return Outcome.SAME if len(winner.recorded) == len(loser.recorded) else Outcome.EXTENDED
    if winner is given:
        _replace(journal, found[0][0], winner)
    apart = replace(
        loser, uid=hashlib.sha256(f"{loser.uid} {loser.content()}".encode()).hexdigest()
    )
    if journal.rows("SELECT 1 FROM session WHERE uid = ?", apart.uid):
        return Outcome.SAME
    _insert(journal, apart)
    return Outcome.BOTH


def _same_start(one: Whole, other: Whole) -> bool:
    return (one.previous, one.start) == (other.previous, other.start)


def _rank(one: Whole) -> tuple[int, bool, bool, str, str]:
    """Longest first; of equally long ones a real end counts more than a lost one or none."""
    return (
        len(one.recorded),
        one.how is not None,
        one.how != CUT,
        one.how or "",
        one.content(),
    )


def _replace(journal: Journal, session: SessionId, by: Whole) -> None:
    journal.db.execute("DELETE FROM session WHERE id = ?", (session,))
    _insert(journal, by)


def _insert(journal: Journal, given: Whole) -> SessionId:
    session = journal.insert_session(given.start, given.uid, given.previous)
    for one in given.recorded:
        journal.insert_event(session, one)
    if given.how is not None:
        journal.mark_closed(session, given.how)
    Maker(journal.db).keep(session)
    if given.how is not None:
        journal.pack(session)
    return session


def put_all(journal: Journal, given: Iterable[Whole]) -> dict[Outcome, int]:
    """Put many sessions; how many met which outcome."""
    counts = dict.fromkeys(Outcome, 0)
    for one in given:
        counts[put(journal, one)] += 1
    return counts


def merge(into: Journal, other: Journal) -> dict[Outcome, int]:
    """Add what another journal has; the other one is only read."""
    counts = put_all(into, wholes(other))
    for aim in all_aims(other):
        add_aim(into, aim)
    return counts
