"""The journal as JSON Lines: one line for each thing, readable by any program, and back.

Owns the format (docs/journal.md describes it). The last line counts what came before, so that a
file that was cut short is known as such.
"""

import json
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, TextIO

from coach.errors import JournalError
from coach.journal import codec
from coach.journal.aims import add_aim, all_aims
from coach.journal.codec import Recorded, Stored
from coach.journal.database import explained
from coach.journal.store import Journal, SessionId
from coach.journal.transfer import CUT, Outcome, Whole, put, without_events
from coach.model.aim import Aim
from coach.model.day import Library

FORMAT = "climbing-session-journal"
VERSION = 1


def write(journal: Journal, sessions: Iterable[SessionId], to: TextIO) -> None:
    """Write some sessions of a journal, one after the other, and its aims.

    Libraries stand before the first session that needs them. JournalError where one of them can't
    be read.
    """
    counts = {"sessions": 0, "events": 0}
    _line(to, line="head", format=FORMAT, version=VERSION)
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
            previous=begun.previous,
            how=begun.how,
            library=latest[1],
            start=json.loads(codec.encode_start(begun.start)),
        )
        uid = codec.compact(begun.uid)
        with explained(journal.path, "reading the journal"):
            for stored in journal.stored(session):
                to.write(_event(uid, stored))
                counts["events"] += 1
        counts["sessions"] += 1
    for aim in all_aims(journal):
        _line(to, line="aim", aim=json.loads(codec.encode_aim(aim)))
    _line(to, line="end", **counts)


def export(journal: Journal, to: TextIO) -> None:
    """Write a whole journal."""
    write(journal, (row.id for row in journal.sessions()), to)


def _event(uid: str, stored: Stored) -> str:
    """One transaction as a line, put together from its texts; JournalError where one is damaged.

    Texts that match their checksum are as `encode` wrote them; others are written anew.
    """
    recorded = stored.decoded()
    event, caused = stored.event, stored.facts
    if not stored.unharmed:
        event = codec.encode(recorded.event)
        caused = [codec.encode(fact) for fact in recorded.facts]
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

    outcomes: dict[Outcome, int]
    wrong: str
    """What is wrong with the file, with its line; '' when all of it was taken."""


def check(path: Path) -> None:
    """JournalError where a file can't be read or is no such file, before a journal is made for it.

    Looks at the first line only.
    """
    with _opened(path) as lines:
        _Reading(path).head(lines)


def read(path: Path, into: Journal) -> Imported:
    """Put what a file holds into a journal, session by session.

    A file that is damaged gives what stands before the damage: whole sessions, and the beginning
    of the one it falls into. JournalError when it is no such file at all.
    """
    outcomes = dict.fromkeys(Outcome, 0)
    wrong = ""
    reading = _Reading(path)
    try:
        with _opened(path) as lines:
            for one in reading.things(lines):
                if isinstance(one, Aim):
                    add_aim(into, one)
                else:
                    outcomes[put(into, one)] += 1
    except _Damage as damage:
        wrong = str(damage)
        if (begun := reading.begun()) is not None:
            outcomes[put(into, begun)] += 1
    return Imported(outcomes, wrong)


@contextmanager
def _opened(path: Path) -> Iterator[Iterator[str]]:
    try:
        with path.open(encoding="utf-8", errors="strict", newline="\n") as lines:
            yield lines
    except OSError as error:
        raise JournalError(f"{path}: it can't be read: {error.strerror}") from error


class _Damage(Exception):
    """A line that is not as it should be."""


class _Reading:
    """The state of reading one file."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._libraries: dict[str, Library] = {}
        self._open: Whole | None = None
        self._events: list[Recorded] = []
        self._counts = {"sessions": 0, "events": 0}

    def begun(self) -> Whole | None:
        """The session that was being read, with its end marked as lost."""
        if self._open is None:
            return None
        one = self._open
        return Whole(one.uid, one.previous, one.start, CUT, tuple(self._events))

    def head(self, lines: Iterator[str]) -> None:
        """The first line; JournalError where it is not that of such a file."""
        try:
            text = next(lines, "")
            if not text:
                raise ValueError("it is empty")
            fields = self._parsed(text)
            if (fields["line"], fields["format"]) != ("head", FORMAT):
                raise ValueError("another format")
            newer = fields["version"] > VERSION
        except (KeyError, TypeError, ValueError) as error:
            raise JournalError(
                f"{self._path}: this is no journal in JSON Lines ({error})",
                "`coach export --format jsonl` writes one.",
            ) from error
        if newer:
            raise JournalError(
                f"{self._path}: a newer version of this program wrote it",
                "Install that version, or a newer one.",
            )

    def things(self, lines: Iterator[str]) -> Iterator[Whole | Aim]:
        """Sessions and aims, each as soon as it is complete."""
        self.head(lines)
        ended = False
        number = 1
        try:
            for text in lines:
                number += 1
                fields = self._parsed(text)
                if fields["line"] in ("session", "aim", "end"):
                    yield from self._closed()
                if fields["line"] == "aim":
                    yield codec.decode_aim(json.dumps(fields["aim"]))
                elif fields["line"] == "end":
                    ended = self._counts == {key: fields[key] for key in self._counts}
                else:
                    self._take(fields)
        except (KeyError, TypeError, ValueError, JournalError) as error:
            raise _Damage(f"line {number} is damaged: {error}") from error
        if not ended:
            raise _Damage(f"the file is not complete: it ends after line {number}")

    def _parsed(self, text: str) -> dict[str, Any]:
        fields: dict[str, Any] = json.loads(text)
        if "crc" in fields and fields.pop("crc") != codec.crc(codec.compact(fields)):
            raise ValueError("it does not match its checksum")
        return fields

    def _take(self, fields: dict[str, Any]) -> None:
        kind = fields["line"]
        if kind == "library":
            library = codec.decode_library(codec.compact(fields["library"]))
            self._libraries[fields["digest"]] = library
        elif kind == "session":
            library = self._libraries[fields["library"]]
            start = codec.decode_start(json.dumps(fields["start"]), library)
            datetime.fromisoformat(start.wall)
            self._open = Whole(fields["uid"], fields["previous"], start, fields["how"], ())
        elif kind == "event":
            self._take_event(fields)
        elif kind != "head":
            raise ValueError(f"a line of the kind {kind!r} is not known")

    def _take_event(self, fields: dict[str, Any]) -> None:
        if self._open is None or fields["session"] != self._open.uid:
            raise ValueError("an event without its session")
        if fields["seq"] != len(self._events) + 1:
            raise ValueError(f"event {len(self._events) + 1} is missing")
        event = codec.decode_event(fields["kind"], json.dumps(fields["event"]))
        facts = [
            codec.decode_fact(item["kind"], json.dumps(item["fact"])) for item in fields["facts"]
        ]
        self._events.append(Recorded(fields["seq"], str(fields["wall"]), event, tuple(facts)))

    def _closed(self) -> Iterator[Whole]:
        if self._open is not None:
            one = self._open
            whole = Whole(one.uid, one.previous, one.start, one.how, tuple(self._events))
            self._counts["sessions"] += 1
            self._counts["events"] += len(self._events)
            self._open, self._events = None, []
            yield whole
