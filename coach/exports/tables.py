"""The record as tables: one of sessions, and one for each kind of fact.

Owns the columns (docs/journal.md lists them; a test keeps that list true). They are taken from
the fact classes, so that a new kind of fact is a new table by itself.
"""

import types
import typing
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import datetime
from enum import Enum

from coach.model import facts
from coach.model.facts import Fact

Cell = str | int | float | bool | datetime | None

SESSIONS = "sessions"


@dataclass(frozen=True, slots=True)
class ExportedSession:
    """One person in one session, to be written."""

    climber: str
    """Name or pseudonym; '' for the one whose journal it is."""
    uid: str
    begun: datetime
    routine: str
    place: str
    planned_minutes: int
    seconds: float
    effort: int | None
    how: str
    facts: Sequence[Fact]


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table."""

    name: str
    kind: type
    """str, int, float, bool or datetime (with its offset from UTC)."""
    optional: bool = False


_KEY = (Column("climber", str), Column("session", str))


def table_name(kind: type[Fact]) -> str:
    """'StepEnded' -> 'step_ended'."""
    name = "".join(f"_{c.lower()}" if c.isupper() else c for c in kind.__name__)
    return name.removeprefix("_")


KINDS: dict[str, type[Fact]] = {
    table_name(item): item
    for item in vars(facts).values()
    if isinstance(item, type) and issubclass(item, Fact) and item is not Fact
}


def columns(table: str) -> tuple[Column, ...]:
    """The columns of a table, in order; KeyError for an unknown table."""
    if table == SESSIONS:
        own = [
            field
            for field in fields(ExportedSession)
            if field.name not in ("climber", "uid", "facts")
        ]
        hints = typing.get_type_hints(ExportedSession)
        return (*_KEY, *(_column(field.name, hints[field.name]) for field in own))
    kind = KINDS[table]
    hints = typing.get_type_hints(kind)
    own_columns = tuple(
        _column(field.name, hints[field.name]) for field in fields(kind) if field.name != "who"
    )
    return (*_KEY, Column("n", int), *own_columns)


def _column(name: str, hint: object) -> Column:
    members = [hint]
    if typing.get_origin(hint) in (typing.Union, types.UnionType):
        members = list(typing.get_args(hint))
    (kind,) = (item for item in members if item is not type(None))
    assert isinstance(kind, type)
    plain = str if issubclass(kind, Enum) else kind
    assert plain in (str, int, float, bool, datetime), f"{name}: {kind} has no column"
    return Column(name, plain, len(members) > 1)


def rows(sessions: Iterable[ExportedSession]) -> Iterator[tuple[str, tuple[Cell, ...]]]:
    """Table and cells of every row, session by session."""
    for session in sessions:
        yield (
            SESSIONS,
            (
                session.climber,
                session.uid,
                session.begun,
                session.routine,
                session.place,
                session.planned_minutes,
                session.seconds,
                session.effort,
                session.how,
            ),
        )
        for n, fact in enumerate(session.facts, 1):
            name = table_name(type(fact))
            cells = (_cell(getattr(fact, column.name)) for column in columns_of_fact(name))
            yield name, (session.climber, session.uid, n, *cells)


_FACT_COLUMNS: Mapping[str, tuple[Column, ...]] = {name: columns(name)[3:] for name in KINDS}


def columns_of_fact(table: str) -> tuple[Column, ...]:
    """The columns of a fact's own fields."""
    return _FACT_COLUMNS[table]


def _cell(value: object) -> Cell:
    if isinstance(value, Enum):
        return str(value.value)
    assert value is None or isinstance(value, (str, int, float, bool, datetime))
    return value
