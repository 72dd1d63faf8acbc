"""The journal as JSON Lines: one line for each thing, readable by any program, and back.

Owns the format (docs/journal.md describes it). The last line counts what came before, so that a
file that was cut short is known as such.
"""

import json
import re
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, TextIO

from coach.errors import JournalError
from coach.journal import codec, seals, statements
from coach.journal.codec import Recorded, Stored
from coach.journal.database import explained
from coach.journal.kept_aims import all_aims
from coach.journal.line_fields import check_start, name_of, no_number, stated, word
from coach.journal.session_rows import instant_of
from coach.journal.statements import Stated
from coach.journal.store import Journal, SessionId
from coach.journal.transfer import CUT, Transferred, Whole, place, without_events
from coach.model.aim import Aim
from coach.model.day import Library

FORMAT = "climbing-session-journal"
VERSION = 2
#: No line of ours is longer: a library is 0.1 MB, a transaction some kB.
LONGEST = 8_000_000
#: How a session may have ended.
ENDS = (None, CUT, "done", "ended", "hurt", "closed", "")


def write(journal: Journal, sessions: Iterable[SessionId], to: TextIO) -> None:
    """Write some sessions of a journal, one after the other, and its aims.

    Libraries stand before the first session that needs them. JournalError where one of them can't
    be read.
    """
    counts = {"sessions": 0, "events": 0}
    _line(to, line="head", format=FORMAT, version=VERSION)
    # Before the sessions, so that whoever reads knows of a deletion before what was deleted.
    for one in statements.every(journal):
        _line(to, line="statement", uid=one.uid, wall=one.wall, kind=one.kind, body=list(one.body))
    known: set[str] = set()
    latest: tuple[Library, str] | None = None
    for session in sessions:
        begun = without_events(journal, session)
        if latest is None or latest[0] is not begun.start.library:
            digest, library = codec.encode_library(begun.start.library)
            latest = (begun.start.library, digest)
            if digest not in known:
                known.add(digest)
                _line(to, line="library", digest=digest, library=json.loads(library))
        _line(
            to,
            line="session",
            uid=begun.uid,
            twin=begun.twin_of,
            previous=begun.previous,
            how=begun.how,
            library=latest[1],
            start=json.loads(codec.encode_start(begun.start)),
        )
        uid = codec.compact(begun.uid)
        with explained(journal.path, "reading the journal"):
            # a seal that is unharmed was read back when it was made
            sealed = seals.load(journal.db, session) is not None
            for stored in journal.stored(session):
                to.write(_line_of(uid, stored) if sealed else _event(uid, stored))
                counts["events"] += 1
        counts["sessions"] += 1
    for aim in all_aims(journal):
        _line(to, line="aim", aim=json.loads(codec.encode_aim(aim)))
    _line(to, line="end", **counts)


def export(journal: Journal, to: TextIO) -> None:
    """Write a whole journal."""
    write(journal, (row.id for row in journal.sessions(twins=True)), to)


def _event(uid: str, stored: Stored) -> str:
    """One transaction of a session that is not sealed; JournalError where a text is damaged.

    Texts that match their checksum are as `encode` wrote them; others are written anew.
    """
    recorded = stored.decoded()
    if not stored.unharmed:
        event = codec.encode(recorded.event)
        facts = tuple(codec.encode(fact) for fact in recorded.facts)
        stored = replace(stored, event=event, facts=facts)
    return _line_of(uid, stored)


def _line_of(uid: str, stored: Stored) -> str:
    """One transaction as a line, put together from its texts."""
    event, caused = stored.event, stored.facts
    facts = ",".join([f'{{"kind":"{kind}","fact":{body}}}' for kind, body in caused])
    text = (
        f'{{"line":"event","session":{uid},"seq":{stored.seq},'
        f'"wall":{codec.compact(stored.wall)},"kind":"{event[0]}","event":{event[1]},'
        f'"facts":[{facts}]'
    )
    return f'{text},"crc":{codec.crc(text + "}")}}}\n'


def _line(to: TextIO, **fields: Any) -> None:
    text = codec.compact(fields | {"crc": codec.crc(codec.compact(fields))})
    to.write(text + "\n")


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import did."""

    outcomes: dict[Transferred, int]
    wrong: str
    """What is wrong with the file, with its line; '' when all of it was taken."""


def check(path: Path) -> None:
    """JournalError where a file can't be read or is no such file, before a journal is made for it.

    Looks at the first line only.
    """
    with _opened(path) as lines:
        _Reading(path).head(lines)


Shown = Callable[[Iterable[str], int], Iterator[str]]
"""Lets lines through as they are, of so many, so that somebody sees how far it is."""


def read(
    path: Path, into: Journal, *, partly: bool = False, shown: Shown | None = None
) -> Imported:
    """Put what a file holds into a journal: all of it, or nothing where a line is damaged.

    With `partly` a damaged file gives what stands before the damage: whole sessions, and the
    beginning of the one it falls into. JournalError when it is no such file at all.
    """
    outcomes = dict.fromkeys(Transferred, 0)
    reading = _Reading(path)
    try:
        with _opened(path) as lines, into.transaction("importing"):
            try:
                seen = lines if shown is None else shown(lines, _number_of_lines(path))
                for one in reading.things(seen):
                    reading.keep(into, one, outcomes)
            except _Damage as damage:
                if not partly:
                    raise
                if (begun := reading.begun()) is not None:
                    outcomes[place(into, begun)] += 1
                return Imported(outcomes, str(damage))
    except _Damage as damage:
        return Imported(dict.fromkeys(Transferred, 0), str(damage))
    return Imported(outcomes, "")


def _number_of_lines(path: Path) -> int:
    with path.open("rb") as file:
        return sum(block.count(b"\n") for block in iter(lambda: file.read(1 << 20), b""))


def _keep(into: Journal, one: Whole | Aim | Stated, outcomes: dict[Transferred, int]) -> None:
    if isinstance(one, Aim):
        statements.take_aims(into, [one])
    elif isinstance(one, Stated):
        statements.take(into, [one])
    else:
        outcomes[place(into, one)] += 1


@contextmanager
def _opened(path: Path) -> Iterator[Iterator[str]]:
    try:
        with path.open(encoding="utf-8", errors="strict", newline="\n") as lines:
            yield lines
    except OSError as error:
        raise JournalError(f"{path}: it can't be read: {error.strerror}") from error


class _Damage(Exception):
    """A line that is not as it should be, with its number and where in it."""


#: What reading a line of anybody's making may raise: no values of ours, too deep, too large.
_WRONG = (
    AttributeError, IndexError, KeyError, LookupError, OverflowError, RecursionError, TypeError,
    UnicodeError, ValueError, JournalError, sqlite3.Error,
)  # fmt: skip


class _Reading:
    """The state of reading one file."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._libraries: dict[str, Library] = {}
        self._open: Whole | None = None
        self._events: list[Recorded] = []
        self._counts = {"sessions": 0, "events": 0}
        self._number = 1
        self._text = ""

    def begun(self) -> Whole | None:
        """The session that was being read, with its end marked as lost."""
        if self._open is None:
            return None
        one = self._open
        return replace(one, how=CUT, recorded=tuple(self._events))

    def head(self, lines: Iterator[str]) -> None:
        """The first line; JournalError where it is not that of such a file."""
        try:
            text = next(lines, "")
            if not text:
                raise ValueError("it is empty")
            fields = self._parsed(text)
            if not isinstance(fields["version"], int):
                raise TypeError("version: it is no number")
            if (fields["line"], fields["format"]) != ("head", FORMAT):
                raise ValueError("another format")
            newer = fields["version"] > VERSION
        except (KeyError, TypeError, ValueError, RecursionError) as error:
            raise JournalError(
                f"{self._path}: this is no journal in JSON Lines ({error})",
                "`coach export --format jsonl` writes one.",
            ) from error
        if newer:
            raise JournalError(
                f"{self._path}: a newer version of this program wrote it",
                "Install that version, or a newer one.",
            )

    def things(self, lines: Iterator[str]) -> Iterator[Whole | Aim | Stated]:
        """Sessions, aims and statements, each as soon as it is complete."""
        self.head(lines)
        ended = False
        self._number = 1
        while True:
            try:
                self._text = next(lines, "")
                if not self._text:
                    break
                self._number += 1
                if ended:
                    raise ValueError("it stands after the end")
                fields = self._parsed(self._text)
                kind = word(fields["line"])
                found: list[Whole | Aim | Stated] = []
                found += self._closed() if kind in ("session", "aim", "end") else []
                if kind == "aim":
                    found.append(codec.decode_aim(json.dumps(fields["aim"])))
                elif kind == "statement":
                    found.append(stated(fields))
                elif kind == "end":
                    ended = self._counts == {key: fields[key] for key in self._counts}
                else:
                    self._take(fields)
            except _WRONG as error:
                raise self._damage(error) from error
            yield from found
        if not ended:
            raise _Damage(f"the file is not complete: it ends after line {self._number}")

    def keep(
        self, into: Journal, one: Whole | Aim | Stated, outcomes: dict[Transferred, int]
    ) -> None:
        """Keep what was read; a value that the journal can't hold is the line's fault."""
        try:
            _keep(into, one, outcomes)
        except _WRONG as error:
            raise self._damage(error) from error

    def _damage(self, error: Exception) -> _Damage:
        """What is wrong, with line and column."""
        text = error.what if isinstance(error, JournalError) else str(error)
        if isinstance(error, KeyError):
            text = f"{text} is missing"
        if isinstance(error, RecursionError):
            text = "it is nested too deeply"
        column = 1
        if isinstance(error, json.JSONDecodeError):
            column = error.colno
        else:
            # the field that is named, where it stands in the line
            for name in re.findall(r"[\w-]+", text):
                at = self._text.find(f'"{name}"')
                if at >= 0:
                    column = at + 1
                    break
        return _Damage(f"line {self._number}, column {column} is damaged: {text}")

    def _parsed(self, text: str) -> dict[str, Any]:
        if len(text) > LONGEST:
            raise ValueError(f"it is longer than {LONGEST} characters")
        fields = json.loads(text, parse_constant=no_number)
        if not isinstance(fields, dict):
            raise ValueError("it is no object")
        text.encode()
        if "crc" in fields and fields.pop("crc") != codec.crc(codec.compact(fields)):
            raise ValueError("it does not match its checksum")
        return fields

    def _take(self, fields: dict[str, Any]) -> None:
        kind = fields["line"]
        if kind == "library":
            library = codec.decode_library(codec.compact(fields["library"]))
            self._libraries[fields["digest"]] = library
        elif kind == "session":
            library = self._libraries[word(fields["library"])]
            start = codec.decode_start(json.dumps(fields["start"]), library)
            check_start(start)
            how = fields["how"]
            if how not in ENDS:
                raise ValueError(f"how: a session does not end so: {how!r}")
            self._open = Whole(
                name_of(fields["uid"]),
                word(fields["previous"]),
                start,
                how,
                (),
                word(fields.get("twin", "")),
            )
        elif kind == "event":
            self._take_event(fields)
        elif kind != "head":
            raise ValueError(f"a line of the kind {kind!r} is not known")

    def _take_event(self, fields: dict[str, Any]) -> None:
        if self._open is None or fields["session"] != self._open.uid:
            raise ValueError("an event without its session")
        if fields["seq"] != len(self._events) + 1:
            raise ValueError(f"event {len(self._events) + 1} is missing")
        event = codec.decode_event(word(fields["kind"]), json.dumps(fields["event"]))
        facts = [
            codec.decode_fact(word(item["kind"]), json.dumps(item["fact"]))
            for item in fields["facts"]
        ]
        wall = word(fields["wall"])
        instant_of(wall)
        self._events.append(Recorded(len(self._events) + 1, wall, event, tuple(facts)))

    def _closed(self) -> Iterator[Whole]:
        if self._open is not None:
            one = self._open
            whole = replace(one, recorded=tuple(self._events))
            self._counts["sessions"] += 1
            self._counts["events"] += len(self._events)
            self._open, self._events = None, []
            yield whole
