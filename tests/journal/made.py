"""Hypothesis strategies for every value that the journal stores."""

import types
import typing
from collections.abc import Mapping
from dataclasses import fields, replace
from datetime import datetime, timedelta, timezone
from enum import Enum
from typing import Any

from hypothesis import strategies as st

from coach.journal import Journal
from coach.journal.codec import Recorded, kinds
from coach.journal.transfer import CUT, Whole, wholes
from coach.model import facts
from coach.model.day import Library
from coach.model.facts import Fact
from coach.model.person import Person
from coach.model.place import Place
from coach.model.routine import Routine
from coach.model.start import Start
from coach.session import events
from coach.session.events import Event

EVENTS = kinds(events, Event)
FACTS = kinds(facts, Fact)

_PLAIN: dict[Any, st.SearchStrategy[Any]] = {
    str: st.text(max_size=12),
    int: st.integers(-(2**53), 2**53),
    float: st.floats(allow_nan=False, allow_infinity=False),
    bool: st.booleans(),
    type(None): st.none(),
}


def of(kind: Any) -> st.SearchStrategy[Any]:
    """Values of a type made of dataclasses, enums, tuples, mappings, sets and plain types."""
    if kind in _PLAIN:
        return _PLAIN[kind]
    origin, inner = typing.get_origin(kind), typing.get_args(kind)
    if origin in (typing.Union, types.UnionType):
        return st.one_of([of(item) for item in inner])
    if origin is tuple and inner[-1] is Ellipsis:
        return st.lists(of(inner[0]), max_size=3).map(tuple)
    if origin is tuple:
        return st.tuples(*map(of, inner))
    if origin is frozenset:
        return st.frozensets(of(inner[0]), max_size=3)
    if origin is Mapping:
        return st.dictionaries(of(inner[0]), of(inner[1]), max_size=3)
    if issubclass(kind, Enum):
        return st.sampled_from(list(kind))
    hints = typing.get_type_hints(kind)
    return st.builds(kind, **{field.name: of(hints[field.name]) for field in fields(kind)})


any_event = st.sampled_from(sorted(EVENTS)).flatmap(lambda name: of(EVENTS[name]))
any_fact = st.sampled_from(sorted(FACTS)).flatmap(lambda name: of(FACTS[name]))


def start(
    wall: str = "2026-03-03T18:00:00+01:00",
    people: tuple[Person, ...] = (Person(1),),
    place: str = "Old Sluice",
) -> Start:
    """The beginning of a session at an invented place."""
    routine = Routine("evening", {"en": "Evening"}, 90, 60, ())
    library = Library({}, routine, Place(place, ()), frozenset({"done", "skip"}))
    return Start("evening", 90, people, library, "rules-1", "0.1.0", wall, "steady")


_SECONDS = st.integers(1_580_000_000, 2_050_000_000)
_OFFSETS = st.integers(-48, 56).map(lambda quarters: timezone(timedelta(minutes=15 * quarters)))
WALLS = st.builds(datetime.fromtimestamp, _SECONDS, _OFFSETS).map(datetime.isoformat)


def _numbered(people: list[Person]) -> tuple[Person, ...]:
    """People as a session has them: each with a number of their own, from 1."""
    return tuple(replace(one, who=who) for who, one in enumerate(people, 1))


@st.composite
def any_whole(draw: st.DrawFn) -> Whole:
    """A session with odd people, places and events."""
    began = start(
        draw(WALLS),
        draw(st.lists(of(Person), min_size=1, max_size=2).map(_numbered)),
        draw(st.sampled_from(["Old Sluice", "Kiln Yard", 'the "big" one, 🪨\n'])),
    )
    steps = draw(st.lists(st.tuples(any_event, st.lists(any_fact, max_size=2)), max_size=4))
    recorded = tuple(
        Recorded(seq, draw(WALLS), event, tuple(facts))
        for seq, (event, facts) in enumerate(steps, 1)
    )
    how = draw(st.sampled_from(["done", "ended", "hurt", "closed", CUT, None]))
    uid = draw(st.text("abcdef0123456789", min_size=8, max_size=8))
    return Whole(uid, draw(st.sampled_from(["", "ffff"])), began, how, recorded)


def held(journal: Journal) -> list[Whole]:
    """All that a journal holds, in an order that does not depend on how it came there."""
    return sorted(wholes(journal), key=lambda one: one.uid)
