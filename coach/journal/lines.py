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
from coach.journal.codec import Recorded
from coach.journal.store import Journal
from coach.journal.transfer import CUT, Outcome, Whole, put, wholes
from coach.model.aim import Aim
from coach.model.day import Library

FORMAT = "climbing-session-journal"
VERSION = 1


def write(sessions: Iterable[Whole], aims: Iterable[Aim], to: TextIO) -> None:
    """Write sessions and aims; libraries stand before the first session that needs them."""
    counts = {"sessions": 0, "events": 0}
    _line(to, line="head", format=FORMAT, version=VERSION)
    known: set[str] = set()
    latest: tuple[Library, str] | None = None
    for one in sessions:
        if latest is None or latest[0] is not one.start.library:
            digest, library = codec.encode_library(one.start.library)
            latest = (one.start.library, digest)
            if digest not in known:
                known.add(digest)
                _line(to, line="library", digest=digest, library=json.loads(library))
        digest = latest[1]
        _line(
            to,
            line="session",
            uid=one.uid,
            previous=one.previous,
            how=one.how,
            library=digest,
            start=json.loads(codec.encode_start(one.start)),
        )
        to.writelines(_event(one.uid, recorded) for recorded in one.recorded)
        counts["sessions"] += 1
        counts["events"] += len(one.recorded)
    for aim in aims:
        _line(to, line="aim", aim=json.loads(codec.encode_aim(aim)))
    _line(to, line="end", **counts)


def export(journal: Journal, to: TextIO) -> None:
    """Write a whole journal."""
    write(wholes(journal), all_aims(journal), to)


def _event(uid: str, recorded: Recorded) -> str:
    """One transaction as a line; put together from texts, because there are so many of them."""
    kind, body = codec.encode(recorded.event)
    encoded = [codec.encode(fact) for fact in recorded.facts]
    facts = ",".join(f'{{"kind":"{name}","fact":{fact}}}' for name, fact in encoded)
    text = (
        f'{{"line":"event","session":{_compact(uid)},"seq":{recorded.seq},'
        f'"wall":{_compact(recorded.wall)},"kind":"{kind}","event":{body},"facts":[{facts}]'
    )
    return f'{text},"crc":{codec.crc(text + "}")}}}\n'


def _line(to: TextIO, **fields: Any) -> None:
    to.write(_compact({**fields, "crc": codec.crc(_compact(fields))}) + "\n")


def _compact(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


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
        if "crc" in fields and fields.pop("crc") != codec.crc(_compact(fields)):
            raise ValueError("it does not match its checksum")
        return fields

    def _take(self, fields: dict[str, Any]) -> None:
        kind = fields["line"]
        if kind == "library":
            self._libraries[fields["digest"]] = codec.decode_library(_compact(fields["library"]))
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
