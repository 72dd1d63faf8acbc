"""Rosters: who is in a group, and the boards and wall areas that it has. TOML, or CSV of people.

Everything wrong with one is found before anything starts, with its line. Notes are for the leader's
eyes: they are read, shown, and never kept.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from pydantic import Field
from rapidfuzz import fuzz

from coach.files.checked_tables import ByValue, Table, Text, validate
from coach.files.complaints import complaints, split
from coach.files.document import Document, read
from coach.files.names import ALIKE, advice, nearest
from coach.files.places import EdgeTable, check_edges, edges_of
from coach.files.positions import Key
from coach.files.roster_table import read_table
from coach.language import Language, normal
from coach.model.answers import Answer, Meaning
from coach.model.body import Feel
from coach.model.body import Part as Body
from coach.model.person import AgeBand, Person
from coach.model.place import Board, Place
from coach.model.signs import AfterSign, known
from coach.planning.grades import GRADES
from coach.planning.stations import Station

#: People that one leader can have here.
MOST = 30

Places = Annotated[int, Field(ge=1, le=MOST)]


class MemberTable(Table):
    """Somebody of a group."""

    name: Text | None = None
    number: Annotated[int, Field(ge=1, le=MOST)] | None = None
    age: Annotated[AgeBand, ByValue] = AgeBand.UNKNOWN
    best: Text | None = None
    limits: list[Text] = Field(default_factory=list)
    late: bool = False
    notes: str = ""


class RosterBoardTable(Table):
    """A board, and how many people hang there in turn."""

    name: Text
    places: Places = 1
    edges: list[EdgeTable] = Field(default_factory=list)


class RosterWallTable(Table):
    """An area of the wall, and how many people climb there at once."""

    name: Text
    places: Places = 8


class RosterTable(Table):
    """A roster."""

    people: list[MemberTable]
    boards: list[RosterBoardTable] | None = None
    walls: list[RosterWallTable] | None = None


@dataclass(frozen=True, slots=True)
class Roster:
    """Who is in a group, and where they work."""

    people: tuple[Person, ...]
    hurting: tuple[tuple[int, Body, Feel], ...] = ()
    """Limits: who, part, how it feels."""
    complaints: tuple[tuple[int, str], ...] = ()
    """Further limits: who, answer key of a sign, a pain by its strength, or a kind of sore."""
    asked: tuple[tuple[int, str], ...] = ()
    """What the leader has to ask about a limit: who, what."""
    late: tuple[int, ...] = ()
    """Who is expected later."""
    notes: tuple[tuple[int, str], ...] = ()
    boards: tuple[Station, ...] | None = None
    """None where the roster names none."""
    walls: tuple[Station, ...] | None = None
    edged: tuple[Board, ...] = ()
    """The boards whose edges are told."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What one limit comes to."""

    hurting: tuple[tuple[int, Body, Feel], ...]
    complaints: tuple[tuple[int, str], ...]
    asked: tuple[tuple[int, str], ...]


def numbered(count: int) -> Roster:
    """A group of so many, by number alone: of nobody an age is known."""
    return Roster(tuple(Person(who) for who in range(1, count + 1)))


def load_roster(path: Path, place: Place) -> Roster:
    """The roster of a file; FileError for the first mistake in it."""
    document = read_table(path) if path.suffix.lower() == ".csv" else read(path)
    return roster_of(document, place)


def roster_of(document: Document, place: Place) -> Roster:
    """The roster that a file describes."""
    table = validate(document, RosterTable)
    if not table.people:
        raise document.error(("people",), "nobody is on it", "Add a person: name, or number.")
    if len(table.people) > MOST:
        what = f"{len(table.people)} people are more than the {MOST} that one leader can have"
        raise document.error(("people", MOST), what, "Make two groups.")
    numbers = _numbers(document, table.people)
    people: list[Person] = []
    hurting: list[tuple[int, Body, Feel]] = []
    complained: list[tuple[int, str]] = []
    asked: list[tuple[int, str]] = []
    for index, (who, one) in enumerate(zip(numbers, table.people, strict=True)):
        if one.best is not None:
            _check_best(document, ("people", index, "best"), one.best, place)
        people.append(Person(who, one.name or "", one.age, best=one.best or ""))
        for n, text in enumerate(one.limits):
            found = _limit(document, ("people", index, "limits", n), text, who)
            hurting += found.hurting
            complained += found.complaints
            asked += found.asked
    both = list(zip(numbers, table.people, strict=True))
    stations = [*(table.boards or ()), *(table.walls or ())]
    _no_doubles(document, table, [item.name for item in stations])
    for index, board in enumerate(table.boards or ()):
        check_edges(document, ("boards", index, "edges"), board.edges)
    return Roster(
        people=tuple(sorted(people, key=lambda person: person.who)),
        hurting=tuple(hurting),
        complaints=tuple(complained),
        asked=tuple(asked),
        late=tuple(who for who, one in both if one.late),
        notes=tuple((who, one.notes) for who, one in both if one.notes),
        boards=_stations(table.boards, "board"),
        walls=_stations(table.walls, "wall"),
        edged=tuple(
            Board(board.name, edges_of(board.edges)) for board in table.boards or () if board.edges
        ),
    )


def _stations(
    tables: Sequence[RosterBoardTable | RosterWallTable] | None, kind: str
) -> tuple[Station, ...] | None:
    if tables is None:
        return None
    return tuple(Station(item.name, kind, item.places) for item in tables)


def _no_doubles(document: Document, table: RosterTable, names: list[str]) -> None:
    """FileError where two stations have one name, or one has that of the mat."""
    seen: set[str] = {"mat"}
    for index, name in enumerate(names):
        if normal(name) in seen:
            boards = len(table.boards or ())
            key: Key = ("boards", index, "name") if index < boards else (
                "walls", index - boards, "name",
            )  # fmt: skip
            raise document.error(key, f"{name!r} is there twice", "Give each a name of its own.")
        seen.add(normal(name))


def _numbers(document: Document, people: Sequence[MemberTable]) -> list[int]:
    """Everybody's number: their own, or the next that is free. FileError for doubles."""
    told: dict[int, int] = {}
    named: dict[str, int] = {}
    for index, one in enumerate(people):
        if one.number is not None:
            if one.number in told:
                what = f"{one.number} is the number of two people"
                raise document.error(("people", index, "number"), what, _FREE)
            told[one.number] = index
        if one.name is not None:
            if normal(one.name) in named:
                what = f"{one.name!r} is the name of two people"
                raise document.error(("people", index, "name"), what, "Add a letter to one.")
            named[normal(one.name)] = index
    free = (number for number in range(1, MOST + 1) if number not in told)
    return [one.number if one.number is not None else next(free) for one in people]


_FREE = "Leave the number out and one that is free is taken."


def _check_best(document: Document, key: Key, best: str, place: Place) -> None:
    circuits = [circuit.name for circuit in place.circuits]
    if best not in circuits and best not in GRADES:
        raise document.error(key, f"there is no circuit or grade {best!r}", advice(best, circuits))


def _limit(document: Document, key: Key, text: str, who: int) -> Limits:
    """'left shoulder sore', 'ring finger pop': as it is typed for one person; FileError if empty.

    What names nothing that is known here counts as hurting, of whatever part it is.
    """
    if not text.strip():
        raise document.error(key, "a limit is empty", "Leave it out, or write what hurts.")
    answers = complaints(text)
    plain, rest = split(answers, who)
    asked = tuple(
        (who, _asked(text)) for one in answers if one.meaning is not Meaning.TISSUE and _vague(one)
    )
    return Limits(plain, rest, asked)


def _vague(answer: Answer) -> bool:
    """Whether an answer leaves open where it is."""
    sign = known(answer.sign)
    return answer.part is None and sign.part is None and sign.after is AfterSign.PART


def _asked(text: str) -> str:
    words = normal(text).split()
    near = (nearest(word, [part.value for part in Body]) for word in words)
    meant = next((f" Or did you mean {part!r}?" for part in near if part), "")
    return f"{text!r} is taken as hurting, of any part: ask where it is.{meant}"


def doubtful(people: Sequence[Person], language: Language) -> dict[int, str]:
    """Whose name the ear could not know or would mix up, and why: they are called by number."""
    found: dict[int, str] = {}
    phrases = [normal(text) for texts in language.answers.values() for text in texts]
    for person in people:
        name = normal(person.name)
        if not name:
            continue
        others = [normal(o.name) for o in people if o.name and o.who != person.who]
        if (
            not all(c.isascii() and (c.isalpha() or c in " -") for c in name)
            or len(name) < 3
            or not set(name) & set("aeiouy")
        ):
            found[person.who] = "the ear knows no such sounds"
        elif any(fuzz.ratio(name, other) >= ALIKE for other in others):
            found[person.who] = "another name sounds like it"
        elif any(fuzz.ratio(name, phrase) >= ALIKE for phrase in phrases):
            found[person.who] = "an answer sounds like it"
    return found
