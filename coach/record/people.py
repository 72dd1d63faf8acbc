"""Who is who: people, not names.

In each session somebody takes part under a name, or under none. Owns how that becomes a person: a
spelling is no other person, whoever climbs alone here without a name is one and the same, and what
somebody states (`coach people rename|join|apart`) counts from then on, in the order of its time.

Everything is derived from who took part and what was stated, so that two journals with the same
content know the same people, whichever was first.
"""

import hashlib
import unicodedata
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from difflib import SequenceMatcher

from coach.model.person import Person

#: Id of whoever this journal belongs to.
OWN = "own"
#: Of more people than so many, those without a name are nobody that is known again.
FEW = 3
#: Likeness from which on the name of somebody alone is the usual one mistyped (our choice): what
#: hurts must not be lost by a letter.
NEARLY = 0.85

NAME = "name:"
NUMBER = "number:"


def normal(name: str) -> str:
    """A name as it is compared: 'Lena', 'lena' and ' LENA ' are one."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def key_of(person: Person, several: int = 1) -> str:
    """What somebody is known by in a session of so many people; '' for nobody known again."""
    if normal(person.name):
        return NAME + normal(person.name)
    if several > FEW:
        return ""
    return OWN if person.who == 1 else f"{NUMBER}{person.who}"


@dataclass(frozen=True, slots=True)
class Attendance:
    """That somebody took part in sessions, in the order of time."""

    key: str
    name: str
    """As it was typed."""
    alone: bool
    beside: bool = False
    """Whether they were ever in one session with whoever the journal belongs to."""
    times: int = 1
    """In how many sessions that came after those of the attendance before."""


@dataclass(frozen=True, slots=True)
class Statement:
    """What was stated of people, in the order of time."""

    kind: str
    """'rename', 'join' or 'apart'."""
    key: str
    other: str = ""
    """The name to be called by, or the key that is the same person."""


@dataclass(frozen=True, slots=True)
class Someone:
    """A person: an id that stays, with the names as attributes."""

    id: str
    name: str
    """What to call them; '' for nobody's name."""
    spellings: tuple[str, ...]
    """Every name as it was typed, the first one first."""
    keys: tuple[str, ...]
    sessions: int

    @property
    def called(self) -> str:
        """For a list: the name, or what stands where there is none."""
        return self.name or ("(you)" if self.id == OWN else "(no name)")


@dataclass(frozen=True, slots=True)
class People:
    """Everybody whom a journal knows."""

    people: tuple[Someone, ...] = ()
    by_key: dict[str, Someone] = field(default_factory=dict)
    others: frozenset[str] = frozenset()
    """Names that are surely not whoever the journal belongs to: seen beside them, or stated."""

    def who_is(self, person: Person, several: int = 1) -> Someone:
        """The person that somebody is in a session of so many people; a new one where unknown."""
        key = key_of(person, several)
        found = self.by_key.get(key)
        if person.who == 1 and several <= FEW and key.startswith(NAME):
            found = self._owner(key) or found
        if found is None:
            name = " ".join(person.name.split())
            found = Someone(_id([key]), name, (name,) if name else (), (key,), 0)
        return found

    def _owner(self, key: str) -> Someone | None:
        """Whoever the journal belongs to: if they have no name yet, or one that is nearly this."""
        own = self.by_key.get(OWN)
        if own is None or key in self.others:
            return None
        names = [one for one in own.keys if one.startswith(NAME)]
        return own if not names or any(_alike(key, name) for name in names) else None

    def named(self, text: str) -> Someone | None:
        """The person of an id, or of a name in any spelling; None where there is none."""
        wanted = normal(text)
        for one in self.people:
            if text == one.id or (wanted and wanted in map(normal, (one.name, *one.spellings))):
                return one
        return None


def people(attendances: Iterable[Attendance], statements: Sequence[Statement]) -> People:
    """Everybody, from who took part in each session (the earliest first) and what was stated."""
    took_part = [one for one in attendances if one.key]
    links = _links(took_part)
    names: dict[str, str] = {}
    for one in statements:
        if one.kind == "join":
            links.append((one.key, one.other))
        elif one.kind == "apart":
            links = [pair for pair in links if one.key not in pair]
        elif one.kind == "rename":
            names[one.key] = one.other
    times: Counter[str] = Counter()
    for attended in took_part:
        times[attended.key] += attended.times
    # each spelling where it was typed first and last: a name is typed anew in every session
    spelt = {(one.key, one.name): n for n, one in enumerate(took_part) if one.name}
    first = {(one.key, one.name): n for n, one in reversed(list(enumerate(took_part)))}
    found = []
    for group in _groups(list(times), links):
        known = set(group)
        mine = [typed for typed in spelt if typed[0] in known]
        told = [names[key] for key in names if key in known]
        found.append(
            Someone(
                _id(group),
                told[-1] if told else max(mine, key=spelt.__getitem__, default=("", ""))[1],
                tuple(dict.fromkeys(name for _, name in sorted(mine, key=first.__getitem__))),
                tuple(group),
                sum(times[key] for key in group),
            )
        )
    found.sort(key=lambda one: (one.id != OWN, normal(one.name), one.id))
    others = {one.key for one in took_part if one.beside and one.key != OWN}
    others |= {one.key for one in statements if one.kind == "apart"}
    by_key = {key: one for one in found for key in one.keys}
    return People(tuple(found), by_key, frozenset(others))


def _links(took_part: Sequence[Attendance]) -> list[tuple[str, str]]:
    """Whoever climbs alone is the journal's own person: by the first name, or one nearly like it.

    Not so where that name and the own person were seen together.
    """
    alone = dict.fromkeys(
        one.key for one in took_part if one.alone and one.key.startswith(NAME) and not one.beside
    )
    first = next(iter(alone), None)
    if first is None:
        return []
    return [(OWN, key) for key in alone if key == first or _alike(key, first)]


def _alike(one: str, other: str) -> bool:
    first, second = one.removeprefix(NAME), other.removeprefix(NAME)
    return min(len(first), len(second)) >= 4 and (
        SequenceMatcher(None, first, second, autojunk=False).ratio() >= NEARLY
    )


def _groups(keys: Sequence[str], links: Sequence[tuple[str, str]]) -> list[list[str]]:
    """Keys that are the same person, together."""
    groups = {key: [key] for key in keys}
    for one, other in links:
        for key in (one, other):
            groups.setdefault(key, [key])
        first, second = groups[one], groups[other]
        if first is not second:
            first.extend(second)
            for key in second:
                groups[key] = first
    found = {id(group): sorted(group) for group in groups.values()}
    return list(found.values())


def _id(keys: Sequence[str]) -> str:
    """Stays as long as the same keys are together: the journal's own, or a digest of the first."""
    if OWN in keys:
        return OWN
    return hashlib.sha256(min(keys).encode()).hexdigest()[:12]
