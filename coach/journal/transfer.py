"""Whole sessions out of one journal and into another, without doubles and in any order.

Owns what happens when both have a session of the same name (uid). The longer record of the same
events wins. Where they went different ways (one was taken up again on another machine, or a file
was changed) all are kept, but one counts: the longest. The others are its twins, which no list and
no trend counts. What was deleted stays deleted, and what was corrected stays corrected. None of it
depends on which journal was first.
"""

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from coach.journal import codec, statements
from coach.journal.codec import Recorded
from coach.journal.digests import Maker
from coach.journal.forgetting import without
from coach.journal.kept_aims import all_aims
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
    twin_of: str = ""
    """The uid that this one shared with a longer record; '' for a session that counts."""

    @property
    def name(self) -> str:
        """The uid that it began with, in every journal."""
        return self.twin_of or self.uid

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


class Transferred(StrEnum):
    """What putting a session into a journal did."""

    #: it was not there
    ADDED = "added"
    #: it was there already, all of it
    SAME = "there already"
    #: the journal had its beginning only
    EXTENDED = "completed"
    #: both went on differently: the longest counts, the others are kept beside it
    BOTH = "of two that went on differently, kept beside the longer one"
    #: it was deleted here, or where the other journal comes from
    DELETED = "deleted before, so left out"


def without_events(journal: Journal, session: SessionId) -> Whole:
    """One session without what happened in it; JournalError when it can't be read."""
    uid, previous, how, twin = journal.rows(
        "SELECT uid, previous, how, twin FROM session WHERE id = ?", session
    )[0]
    return Whole(uid, previous, journal.start_of(session), how, (), twin)


def whole(journal: Journal, session: SessionId) -> Whole:
    """One session; JournalError when it can't be read."""
    recorded = tuple(journal.recorded(session))
    return replace(without_events(journal, session), recorded=recorded)


def wholes(journal: Journal) -> Iterator[Whole]:
    """Every session, the earliest first, twins included."""
    for (session,) in journal.rows("SELECT id FROM session ORDER BY instant, uid"):
        yield whole(journal, session)


def put(journal: Journal, given: Whole) -> Transferred:
    """Put one session into a journal, all of it or nothing."""
    with journal.transaction("copying a session"):
        return place(journal, given)


def place(journal: Journal, given: Whole) -> Transferred:
    """As `put`, inside the caller's transaction."""
    if statements.is_deleted(journal, given.name, given.start):
        return Transferred.DELETED
    here, kept = settle(journal, given.name, given)
    if not here:
        return Transferred.ADDED
    if kept == here:
        return Transferred.SAME
    if len(kept) > len(here):
        return Transferred.BOTH
    longest = max(len(one.recorded) for one in here)
    return Transferred.EXTENDED if len(kept[0].recorded) > longest else Transferred.SAME


def settle(
    journal: Journal, name: str, given: Whole | None = None
) -> tuple[list[Whole], list[Whole]]:
    """Keep of all records under one name those that are to be kept, what was left out left out.

    Inside the caller's transaction. What was there before, and what is there now.
    """
    rows = journal.rows(
        "SELECT id FROM session WHERE uid = ? OR twin = ? ORDER BY twin <> '', uid", name, name
    )
    numbers = [SessionId(row) for (row,) in rows]
    here = [whole(journal, number) for number in numbers]
    variants = [replace(one, uid=name, twin_of="") for one in (*here, *([given] if given else ()))]
    # each as it knows its people: of one they may be forgotten already
    left_out = {who for one in variants for who in statements.left_out(journal, name, one.start)}
    for who in sorted(left_out):
        variants = [without(one, who) for one in variants]
    kept = resolved(variants)
    if kept != here:
        for number in numbers:
            journal.db.execute("DELETE FROM session WHERE id = ?", (number,))
        free = iter(numbers)
        for one in kept:
            _insert(journal, one, next(free, None))
    return here, kept


def resolved(variants: Iterable[Whole]) -> list[Whole]:
    """Of records under one name those that are kept: first the one that counts, then its twins.

    A record that is the beginning of another is no record of its own. The order of what is given
    makes no difference.
    """
    ranked = sorted(variants, key=_rank, reverse=True)
    kept: list[Whole] = []
    for one in ranked:
        if not any(_begins(one, longer) for longer in kept):
            kept.append(one)
    twins = sorted((_as_twin(one) for one in kept[1:]), key=lambda one: one.uid)
    return [kept[0], *twins]


def _begins(one: Whole, longer: Whole) -> bool:
    return (one.previous, one.start) == (longer.previous, longer.start) and (
        longer.recorded[: len(one.recorded)] == one.recorded
    )


def _as_twin(one: Whole) -> Whole:
    name = hashlib.sha256(f"{one.uid} {one.content()}".encode()).hexdigest()
    return replace(one, uid=name, twin_of=one.uid)


def _rank(one: Whole) -> tuple[int, bool, bool, str, str]:
    """Longest first; of equally long ones a real end counts more than a lost one or none."""
    return (
        len(one.recorded),
        one.how is not None,
        one.how != CUT,
        one.how or "",
        one.content(),
    )


def _insert(journal: Journal, given: Whole, number: SessionId | None = None) -> SessionId:
    session = journal.insert_session(given.start, given.uid, given.previous, number)
    for one in given.recorded:
        journal.insert_event(session, one)
    if given.how is not None:
        journal.mark_closed(session, given.how)
    journal.db.execute("UPDATE session SET twin = ? WHERE id = ?", (given.twin_of, session))
    Maker(journal.db).keep(session)
    if given.how is not None:
        journal.pack(session)
    statements.amend(journal, session, given.name)
    return session


def put_all(journal: Journal, given: Iterable[Whole]) -> dict[Transferred, int]:
    """Put many sessions; how many met which outcome."""
    counts = dict.fromkeys(Transferred, 0)
    for one in given:
        counts[put(journal, one)] += 1
    return counts


def merge(
    into: Journal, other: Journal, told: Iterable[Whole] | None = None
) -> dict[Transferred, int]:
    """Add what another journal has, all of it or nothing; the other one is only read.

    `told` stands for the other's sessions where somebody looks at them as they go.
    """
    counts = dict.fromkeys(Transferred, 0)
    with into.transaction("merging"):
        statements.take(into, statements.every(other))
        for one in wholes(other) if told is None else told:
            counts[place(into, one)] += 1
        statements.take_aims(into, all_aims(other))
    return counts
