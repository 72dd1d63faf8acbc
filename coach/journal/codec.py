"""Events, facts and starts to JSON and back, exactly.

Owns the stored form of a value: one JSON object of its fields, beside its class name. A new
class of event or fact is found by itself. Values that JSON can't hold (NaN, infinity) are
refused when written, because they could not be read back.
"""

import hashlib
import json
import zlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from types import ModuleType
from typing import TYPE_CHECKING, Any

from coach.errors import JournalError
from coach.model import facts
from coach.model.aim import Aim
from coach.model.body import Feel, Part
from coach.model.day import Library
from coach.model.facts import EdgeChecked, Fact
from coach.model.person import Person
from coach.model.place import Circuit
from coach.model.start import Start
from coach.record.digest import Digest

# Where they are needed: a list of sessions reads digests alone, and takes longer to import
# pydantic or the events than to read ten years of them.
if TYPE_CHECKING:
    from pydantic import TypeAdapter

    from coach.session.events import Event

VERIFY = "Run `coach journal verify` to see how much is whole."

Encoded = tuple[str, str]
"""Class name and JSON object."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """One committed transaction: an event and the facts it caused."""

    seq: int
    """From 1, without gaps within a session."""
    wall: str
    """When it was committed: ISO 8601 with its offset from UTC."""
    event: "Event"
    facts: tuple[Fact, ...] = ()


@dataclass(frozen=True, slots=True)
class Stored:
    """One committed transaction as the texts that stand for it."""

    seq: int
    wall: str
    event: Encoded
    crc: int
    """What `checksum` gave when it was written."""
    facts: Sequence[Encoded] = ()

    @property
    def unharmed(self) -> bool:
        """Whether the texts are those that were written."""
        return self.crc == checksum(self.wall, self.event, self.facts)

    def decoded(self) -> Recorded:
        """Event and facts; JournalError where one is unknown or damaged."""
        facts = tuple(decode_fact(kind, body) for kind, body in self.facts)
        return Recorded(self.seq, self.wall, decode_event(*self.event), facts)


def kinds(module: ModuleType, base: type) -> dict[str, type]:
    """Every class of a module below a base, by name."""
    return {
        name: item
        for name, item in vars(module).items()
        if isinstance(item, type) and issubclass(item, base) and item is not base
    }


_adapters: dict[type, "TypeAdapter[Any]"] = {}


def _adapter(of: type) -> "TypeAdapter[Any]":
    if of not in _adapters:
        from pydantic import TypeAdapter

        _adapters[of] = TypeAdapter(of)
    return _adapters[of]


@cache
def _events() -> dict[str, type]:
    from coach.session import events

    return kinds(events, events.Event)


@cache
def _facts() -> dict[str, type]:
    return kinds(facts, Fact)


_JSON = json.JSONEncoder(ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def compact(value: object) -> str:
    """JSON without spaces; ValueError for what JSON can't hold."""
    return _JSON.encode(value)


def _text(value: object) -> str:
    try:
        text = compact(value)
        text.encode()
        return text
    except ValueError as error:
        raise JournalError(f"a value can't be written to the journal: {error}") from error


def encode(value: "Event | Fact") -> Encoded:
    """Class name and JSON text of an event or a fact."""
    return type(value).__name__, _text(_adapter(type(value)).dump_python(value, mode="json"))


def _decoded(known: dict[str, type], kind: str, body: str) -> Any:
    if kind not in known:
        raise JournalError(
            f"the journal holds a {kind!r}, which this version does not know",
            "Install the version that wrote it, or a newer one.",
        )
    return _validated(known[kind], body, kind)


def _validated(of: type, body: str, what: str) -> Any:
    return _reader(of)(body, what)


@cache
def _reader(of: type) -> Callable[[str, str], Any]:
    """What makes values of a class from texts: prepared once, for a journal holds a million."""
    from pydantic import ValidationError

    validate = _adapter(of).validator.validate_json

    def read(body: str, what: str) -> Any:
        try:
            return validate(body, strict=True)
        except ValidationError as error:
            first = error.errors()[0]
            where = ".".join(str(part) for part in first["loc"])
            raise JournalError(
                f"a stored {what} is damaged: {where or 'its text'}: {first['msg']}",
                VERIFY,
            ) from error

    return read


def decode_event(kind: str, body: str) -> "Event":
    """The event that `encode` wrote; JournalError when it is unknown or damaged."""
    event: Event = _decoded(_events(), kind, body)
    return event


def decode_fact(kind: str, body: str) -> Fact:
    """The fact that `encode` wrote; JournalError when it is unknown or damaged."""
    fact: Fact = _decoded(_facts(), kind, body)
    return fact


def encode_digest(made: Digest) -> str:
    """JSON text of a digest."""
    return _text(_adapter(Digest).dump_python(made, mode="json"))


def decode_digest(body: str) -> Digest:
    """The digest that `encode_digest` wrote.

    JournalError where its text is damaged; that its numbers are those of the facts is for
    `coach.journal.journal_checks` to see.
    """
    try:
        fields: dict[str, Any] = json.loads(body)
        fields["rests"] = tuple((suggested, taken) for suggested, taken in fields["rests"])
        fields["tried"] = tuple((boulder, result) for boulder, result in fields["tried"])
        fields["edges"] = tuple(
            EdgeChecked(**one | {"feel": _FEELS[one["feel"]]}) for one in fields["edges"]
        )
        fields["felt"] = {_PARTS[part]: _FEELS[feel] for part, feel in fields["felt"].items()}
        fields["signs"] = tuple(fields["signs"])
        return Digest(**fields)
    except (AttributeError, KeyError, TypeError, ValueError) as error:
        raise JournalError(f"a stored digest is damaged: {error}", VERIFY) from error


_FEELS = {feel.value: feel for feel in Feel}
_PARTS = {part.value: part for part in Part}


def encode_aim(aim: Aim) -> str:
    """JSON text of an aim."""
    return _text(_adapter(Aim).dump_python(aim, mode="json"))


def decode_aim(body: str) -> Aim:
    """The aim that `encode_aim` wrote."""
    aim: Aim = _validated(Aim, body, "aim")
    return aim


def decode_people(body: str) -> tuple[Person, ...]:
    """The people of a stored start, without its library."""
    people: tuple[Person, ...] = _validated(_People, body, "beginning of a session").people
    return people


@dataclass(frozen=True, slots=True)
class _People:
    """The part of a start that can be read without its library."""

    people: tuple[Person, ...]


def encode_library(library: Library) -> Encoded:
    """Digest (SHA-256, hex) and JSON text of a library.

    Sets are written in sorted order, so that equal libraries have one text and one digest.
    """
    fields = _adapter(Library).dump_python(library)
    body = json.dumps(fields, default=sorted, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(body.encode()).hexdigest(), body


def decode_library(body: str) -> Library:
    """The library that `encode_library` wrote."""
    library: Library = _validated(Library, body, "library")
    return library


def decode_circuits(body: str) -> tuple[Circuit, ...]:
    """The circuits of the place in what `encode_library` wrote, from easiest to hardest."""
    try:
        circuits = json.loads(body)["place"]["circuits"]
        return tuple(Circuit(one["name"], tuple(one["grades"])) for one in circuits)
    except (KeyError, TypeError, ValueError) as error:
        raise JournalError(f"a stored library is damaged: {error}", VERIFY) from error


def encode_start(start: Start) -> str:
    """JSON text of a start without its library."""
    return _text(_adapter(Start).dump_python(start, mode="json", exclude={"library"}))


def decode_start(body: str, library: Library) -> Start:
    """The start that `encode_start` wrote, with its library."""
    try:
        joined = json.dumps(dict(json.loads(body)) | {"library": _NO_LIBRARY})
    except (ValueError, TypeError) as error:
        raise JournalError(
            f"the stored beginning of a session is damaged: {error}", VERIFY
        ) from error
    start: Start = _validated(Start, joined, "beginning of a session")
    return replace(_kind_told(start, joined), library=library)


def _kind_told(start: Start, body: str) -> Start:
    """The start with its kind, where it was written before kinds were.

    Then the version of the rules told a group, and the routine the rests.
    """
    if "kind" in json.loads(body):
        return start
    mark = "group "
    if start.rules_version.startswith(mark):
        return replace(start, kind="group", rules_version=start.rules_version.removeprefix(mark))
    if start.routine == "rests":
        return replace(start, kind="rests")
    return replace(start, kind="pair" if len(start.people) > 1 else "solo")


_NO_LIBRARY = {
    "movements": {},
    "routine": {"name": "", "title": {}, "minutes": 0, "least_minutes": 0, "blocks": []},
    "place": {"name": "", "circuits": []},
}


def decode_stated(body: str) -> tuple[Any, ...]:
    """The body of a statement; JournalError where it is damaged."""
    try:
        found = json.loads(body)
    except (ValueError, RecursionError) as error:
        raise JournalError(f"a stored statement is damaged: {error}", VERIFY) from error
    if not isinstance(found, list):
        raise JournalError("a stored statement is damaged", VERIFY)
    return tuple(found)


def crc(*parts: object) -> int:
    """CRC-32 of some values: finds the flipped bits that SQLite itself can't see."""
    # As text, because damage can turn a text into a number.
    return zlib.crc32("\0".join(map(str, parts)).encode())


def checksum(wall: str, event: Encoded, caused: Sequence[Encoded]) -> int:
    """The checksum of one transaction."""
    return crc(wall, *event, *(text for fact in caused for text in fact))
