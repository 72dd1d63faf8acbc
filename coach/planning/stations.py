"""Stations: who of a group is where and when, so that nobody waits long.

Owns the rota. A turn is one person's work at one kind of station (the board, the wall). A person
takes their turns one at a time, easier ones before harder ones; turns of equal load keep their
order at one kind of station, and either kind may come first. A place holds one person. The
schedule is built in the order of time and built anew with those first who ended last, a fixed
number of times; how good it is stands beside it as `bound`.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

#: Schedules that are built for a group of thirty, a third of them each way; fewer for a larger
#: group, more for a smaller one.
TRIES = 6
_EFFORT = TRIES * 30


@dataclass(frozen=True, slots=True)
class Station:
    """Somewhere to work: a board, an area of the wall."""

    name: str
    kind: str
    """'board' or 'wall'."""
    places: int
    """How many people work there at once, from 1."""


@dataclass(frozen=True, slots=True)
class Turn:
    """One person's work at one kind of station."""

    who: int
    name: str
    """Unique among the turns of the person."""
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

    @property
    def seconds(self) -> int:
        """When the last seat is over."""
        return max((seat.end for seat in self.seats), default=0)

    @property
    def waiting(self) -> int:
        """Seconds that people wait before their seats, all of them together."""
        free: dict[int, int] = {}
        total = 0
        for seat in self.seats:
            total += seat.start - free.get(seat.turn.who, 0)
            free[seat.turn.who] = seat.end
        return total


@dataclass(frozen=True, slots=True)
class Held:
    """What is not free at the start of the rota."""

    people: Mapping[int, int] = field(default_factory=dict)
    """Person -> second from which they may begin."""
    places: Mapping[tuple[str, int], int] = field(default_factory=dict)
    """Station and place -> second from which it is free."""


FREE = Held()


def bound(turns: Iterable[Turn], stations: Iterable[Station], held: Held = FREE) -> int:
    """Seconds that no schedule goes below: the longest chain of a person, work over places.

    The work of a kind can't begin before the first of its people and places is free.
    """
    chains: dict[int, int] = {}
    work: dict[str, int] = {}
    first: dict[str, int] = {}
    for turn in turns:
        begins = held.people.get(turn.who, 0)
        chains[turn.who] = chains.get(turn.who, begins) + turn.seconds
        work[turn.kind] = work.get(turn.kind, 0) + turn.seconds
        first[turn.kind] = min(first.get(turn.kind, begins), begins)
    places = _places(stations)
    shares = [
        first[kind] + -(-seconds // max(places.get(kind, 0), 1)) for kind, seconds in work.items()
    ]
    return max([*chains.values(), *shares], default=0)


def _places(stations: Iterable[Station]) -> dict[str, int]:
    found: dict[str, int] = {}
    for station in stations:
        found[station.kind] = found.get(station.kind, 0) + station.places
    return found


def rota(turns: Sequence[Turn], stations: Sequence[Station], held: Held = FREE) -> Rota:
    """A short rota with little waiting; ValueError where a turn's kind has no place."""
    places = _places(stations)
    missing = {turn.kind for turn in turns} - {kind for kind, n in places.items() if n > 0}
    if missing:
        raise ValueError(f"no place for {', '.join(sorted(missing))}")
    least = bound(turns, stations, held)
    people = {turn.who for turn in turns}
    tries = max(4, _EFFORT // max(len(people), 10))
    best: Rota | None = None
    for first in _FIRST:
        pushed: dict[int, int] = dict.fromkeys(people, 0)
        for _ in range(tries // len(_FIRST)):
            made = Rota(tuple(_Building(turns, stations, held, pushed, first).run()), least)
            if best is None or (made.seconds, made.waiting) < (best.seconds, best.waiting):
                best = made
            if made.seconds <= least:
                return best
            _push(pushed, made)
    assert best is not None
    return best


#: What makes a turn urgent before all else, one way of building after the other: no other place to
#: go to, a scarce station, a long chain.
_FIRST = ("bound", "scarce", "chain")


def _push(pushed: dict[int, int], made: Rota) -> None:
    """Let those who ended late come earlier the next time, the more the later."""
    ends: dict[int, int] = {}
    for seat in made.seats:
        ends[seat.turn.who] = max(ends.get(seat.turn.who, 0), seat.end)
    for who, end in ends.items():
        pushed[who] += max(end - made.bound, 0)


class _Building:
    """One schedule, built in the order of time."""

    def __init__(
        self,
        turns: Sequence[Turn],
        stations: Sequence[Station],
        held: Held,
        pushed: Mapping[int, int],
        first: str,
    ) -> None:
        self.left: dict[int, list[Turn]] = {}
        for turn in turns:
            self.left.setdefault(turn.who, []).append(turn)
        self.pushed, self.first = pushed, first
        self.free = {who: held.people.get(who, 0) for who in self.left}
        self.open: dict[str, list[tuple[int, str, int]]] = {}
        """Kind -> when each of its places is free, the station and the place."""
        for station in stations:
            for place in range(1, station.places + 1):
                at = held.places.get((station.name, place), 0)
                self.open.setdefault(station.kind, []).append((at, station.name, place))
        self.work: dict[str, int] = {}
        for turn in turns:
            self.work[turn.kind] = self.work.get(turn.kind, 0) + turn.seconds
        self.chain = {who: sum(t.seconds for t in mine) for who, mine in self.left.items()}

    def run(self) -> list[Seat]:
        """Seats in the order of time."""
        seats: list[Seat] = []
        now = 0
        while True:
            # one after the other, because each that is seated may leave the next without a place
            seats.extend(
                self._seat(turn, now)
                for turn in self._urgent(now)
                if self.free[turn.who] <= now and self._has_place(turn.kind, now)
            )
            if not self.left:
                return seats
            now = self._later(now)

    def _later(self, now: int) -> int:
        times = [at for who, at in self.free.items() if who in self.left and at > now]
        times += [at for kind in self.open.values() for at, _, _ in kind if at > now]
        return min(times)

    def _has_place(self, kind: str, now: int) -> bool:
        return any(at <= now for at, _, _ in self.open[kind])

    def _urgent(self, now: int) -> list[Turn]:
        """The turns that could begin now, the most urgent first."""
        kinds = {kind for kind in self.open if self._has_place(kind, now)}
        found: list[Turn] = []
        for who, mine in self.left.items():
            if self.free[who] <= now:
                rank = min(turn.rank for turn in mine)
                first = {turn.kind: turn for turn in reversed(mine) if turn.rank == rank}
                found.extend(turn for kind, turn in first.items() if kind in kinds)
        ways: dict[int, int] = {}
        for turn in found:
            ways[turn.who] = ways.get(turn.who, 0) + 1
        return sorted(found, key=lambda turn: self._urgency(turn, ways[turn.who]), reverse=True)

    def _urgency(self, turn: Turn, ways: int) -> tuple[float, ...]:
        """Greater is sooner; `ways` is how many kinds of station the person could go to now."""
        scarce = self.work[turn.kind] / len(self.open[turn.kind])
        chain = self.chain[turn.who] + self.pushed[turn.who]
        after = self.chain[turn.who] - turn.seconds
        match self.first:
            case "bound":
                return scarce, -ways, chain, after, -turn.who
            case "scarce":
                return scarce, chain, after, -turn.who
            case _:
                return chain, scarce, after, -turn.who

    def _seat(self, turn: Turn, now: int) -> Seat:
        places = self.open[turn.kind]
        index = min(
            (i for i, (at, _, _) in enumerate(places) if at <= now), key=lambda i: places[i][1:]
        )
        _, station, place = places[index]
        end = now + turn.seconds
        places[index] = (end, station, place)
        self.free[turn.who] = end
        self.work[turn.kind] -= turn.seconds
        self.chain[turn.who] -= turn.seconds
        mine = self.left[turn.who]
        mine.remove(turn)
        if not mine:
            del self.left[turn.who]
        return Seat(turn, station, place, now)
