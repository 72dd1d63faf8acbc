"""Stations and turns of a group: who could work where, for how long, and how good a rota is.

A turn is one team's work at one kind of station (the board, the wall); a team is one person, or
two who share a place. A team takes its turns one at a time, easier ones before harder ones; turns
of equal load keep their order at one kind of station, and either kind may come first. A place
holds one team. `coach.planning.rota` builds the rotas that are judged here.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

#: Seconds without movement from which on a body is cold before a hang or a boulder (ours; a
#: published notice is at 9 minutes of idling: Kapnia AK et al. 2022, Res Q Exerc Sport).
COOLED = 480


@dataclass(frozen=True, slots=True)
class Station:
    """Somewhere to work: a board, an area of the wall."""

    name: str
    kind: str
    """'board' or 'wall'."""
    places: int
    """How many hang or climb there at once, from 1."""


@dataclass(frozen=True, slots=True)
class Turn:
    """One team's work at one kind of station."""

    who: int
    """The person, or the lower number of a pair."""
    name: str
    """Unique among the turns of the team."""
    kind: str
    seconds: int
    rank: int = 0
    """Highest load of any part: lower ranks come first."""


@dataclass(frozen=True, slots=True)
class Seat:
    """A turn with its place and time, in seconds from the start of the rota."""

    turn: Turn
    station: str
    place: int
    """From 1 to the places of the station."""
    start: int

    @property
    def end(self) -> int:
        """When it is over."""
        return self.start + self.turn.seconds


@dataclass(frozen=True, slots=True)
class Rota:
    """Everybody's seats in the order of time, and how short they could be at best."""

    seats: tuple[Seat, ...] = ()
    bound: int = 0
    """No schedule of these turns is shorter than this."""
    proven: bool = False
    """Whether no schedule of these turns is shorter than this one."""

    @property
    def seconds(self) -> int:
        """When the last seat is over."""
        return max((seat.end for seat in self.seats), default=0)

    @property
    def gaps(self) -> tuple[tuple[Seat, int], ...]:
        """Each seat, and the seconds since the team's seat before it or since the start."""
        free: dict[int, int] = {}
        found = []
        for seat in self.seats:
            found.append((seat, seat.start - free.get(seat.turn.who, 0)))
            free[seat.turn.who] = seat.end
        return tuple(found)

    @property
    def waiting(self) -> int:
        """Seconds that teams wait before their seats, all of them together."""
        return sum(gap for _, gap in self.gaps)

    @property
    def cooling(self) -> int:
        """Seconds of waiting beyond `COOLED` before a seat, all of them together."""
        return sum(max(gap - COOLED, 0) for _, gap in self.gaps)

    @property
    def unfairness(self) -> int:
        """Most seconds that one team waits, all its gaps together."""
        waits: dict[int, int] = {}
        for seat, gap in self.gaps:
            waits[seat.turn.who] = waits.get(seat.turn.who, 0) + gap
        return max(waits.values(), default=0)


@dataclass(frozen=True, slots=True)
class Held:
    """What is not free at the start of the rota."""

    people: Mapping[int, int] = field(default_factory=dict)
    """Team -> second from which it may begin."""
    places: Mapping[tuple[str, int], int] = field(default_factory=dict)
    """Station and place -> second from which it is free."""


FREE = Held()


def bound(turns: Iterable[Turn], stations: Iterable[Station], held: Held = FREE) -> int:
    """Seconds that no schedule goes below: the longest chain of a team, work over places.

    The work of a kind can't begin before the first of its teams and places is free.
    """
    chains: dict[int, int] = {}
    work: dict[str, int] = {}
    first: dict[str, int] = {}
    for turn in turns:
        begins = held.people.get(turn.who, 0)
        chains[turn.who] = chains.get(turn.who, begins) + turn.seconds
        work[turn.kind] = work.get(turn.kind, 0) + turn.seconds
        first[turn.kind] = min(first.get(turn.kind, begins), begins)
    places = places_of(stations)
    shares = [
        first[kind] + -(-seconds // max(places.get(kind, 0), 1)) for kind, seconds in work.items()
    ]
    return max([*chains.values(), *shares], default=0)


def places_of(stations: Iterable[Station]) -> dict[str, int]:
    """Kind of station -> how many places it has."""
    found: dict[str, int] = {}
    for station in stations:
        found[station.kind] = found.get(station.kind, 0) + station.places
    return found


def before(turns: Sequence[Turn]) -> list[tuple[int, ...]]:
    """For each turn, the positions of those that its team has to do before it."""
    found = []
    for at, turn in enumerate(turns):
        found.append(
            tuple(
                other
                for other, one in enumerate(turns)
                if one.who == turn.who
                and other != at
                and (
                    one.rank < turn.rank
                    or (one.rank == turn.rank and one.kind == turn.kind and other < at)
                )
            )
        )
    return found
