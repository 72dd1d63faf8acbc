"""The rota: who of a group is where and when, so that nobody stands and cools.

Orders of turns are improved step by step; where the group is small, the exact way is asked too
(`coach.planning.exact_rota`). First comes the length, as all the time that a rota is too long
somebody stands; then, at a length that is hardly more, nobody cools before a station and waiting is
shared.
"""

from collections.abc import Callable, Sequence

from coach.planning.exact_rota import exact
from coach.planning.stations import (
    COOLED,
    FREE,
    Held,
    Rota,
    Seat,
    Station,
    Turn,
    before,
    bound,
    places_of,
)

#: Looks at a place for a turn that may be spent, and partial schedules of the exact way: they keep
#: a change of thirty people under 0.3 s, and one of two hundred under 1 s.
LOOKS, NODES = 48_000, 1_000
#: Up to so many turns the exact way is tried.
FEW_TURNS = 20
#: A rota may be longer by this share if people cool less in it.
LONGER = 1.02
#: Multiplier, step and modulus of a fixed sequence of choices (Numerical Recipes' generator).
_A, _C, _M = 1664525, 1013904223, 2**32

#: Score of a schedule: lower is better.
Score = tuple[int, int, int, int]


def rota(
    turns: Sequence[Turn],
    stations: Sequence[Station],
    held: Held = FREE,
    looks: int = LOOKS,
) -> Rota:
    """A short rota in which nobody cools; ValueError where a turn's kind has no place.

    `looks` is how much is looked at beyond the first orders; 0 for a rota at once.
    """
    places = places_of(stations)
    missing = {turn.kind for turn in turns} - {kind for kind, n in places.items() if n > 0}
    if missing:
        raise ValueError(f"no place for {', '.join(sorted(missing))}")
    least = bound(turns, stations, held)
    search = _Search(turns, stations, held, least, looks)
    best = search.shortest()
    proven = best.seconds <= least
    if not proven and looks and len(turns) <= FEW_TURNS:
        found = exact(turns, stations, held, under=best.seconds, nodes=NODES)
        if found.seats:
            best = _Placed(turns, search.numbered(found.seats))
        proven = found.proven
    kindest = search.kindest(best)
    seats = tuple(
        Seat(turns[n], station, place, start) for start, _, n, station, place in kindest.seats
    )
    return Rota(seats, least, proven and kindest.seconds <= best.seconds)


#: Start, team, number of the turn, station and place.
_Place = tuple[int, int, int, str, int]


class _Placed:
    """Where and when each turn is, in the order of time, and what a score needs of it.

    Thousands are made for a rota: as seats with properties they took twice as long.
    """

    __slots__ = ("cooling", "seats", "seconds", "unfairness", "waiting")

    def __init__(self, turns: Sequence[Turn], seats: list[_Place]) -> None:
        self.seats = seats
        self.seconds = self.cooling = 0
        free: dict[int, int] = {}
        waits: dict[int, int] = {}
        for start, who, n, _, _ in seats:
            gap = start - free.get(who, 0)
            waits[who] = waits.get(who, 0) + gap
            if gap > COOLED:
                self.cooling += gap - COOLED
            free[who] = end = start + turns[n].seconds
            if end > self.seconds:
                self.seconds = end
        self.waiting = sum(waits.values())
        self.unfairness = max(waits.values(), default=0)


class _Search:
    """Orders of turns, each placed turn by turn as early as it fits; better orders are kept."""

    def __init__(
        self,
        turns: Sequence[Turn],
        stations: Sequence[Station],
        held: Held,
        least: int,
        looks: int,
    ) -> None:
        self.turns, self.held, self.least = turns, held, least
        self.stations = stations
        self.earlier = before(turns)
        self.looks = looks
        self.dice = 1
        self.spent = 0

    def shortest(self) -> _Placed:
        """The shortest that is found."""
        best = min(map(self.place, self._orders()), key=_length_first)
        return self._improved(best, _length_first, self.looks // 2)

    def numbered(self, seats: Sequence[Seat]) -> list[_Place]:
        """Seats by the numbers of their turns."""
        at = {turn: n for n, turn in enumerate(self.turns)}
        return [
            (seat.start, seat.turn.who, at[seat.turn], seat.station, seat.place) for seat in seats
        ]

    def kindest(self, best: _Placed) -> _Placed:
        """Of those that are hardly longer, the one in which people cool least."""
        most = max(int(best.seconds * LONGER), self.least)

        def kind(made: _Placed) -> Score:
            over = max(made.seconds - most, 0)
            return over, made.cooling, made.unfairness, made.waiting + made.seconds

        return self._improved(best, kind, self.looks // 2)

    def _improved(self, best: _Placed, score: Callable[[_Placed], Score], looks: int) -> _Placed:
        order = [n for _, _, n, _, _ in best.seats]
        reached = score(best)
        until = self.spent + looks
        while self.spent < until and len(order) > 1:
            if best.seconds <= self.least and (score is _length_first or not best.waiting):
                break
            changed = self._moved(order)
            made = self.place(changed)
            got = score(made)
            if got <= reached:
                best, reached, order = made, got, changed
        return best

    def _moved(self, order: list[int]) -> list[int]:
        """One turn comes at another place of the order."""
        changed = list(order)
        turn = changed.pop(self._pick(len(changed)))
        changed.insert(self._pick(len(changed) + 1), turn)
        return changed

    def _pick(self, count: int) -> int:
        self.dice = (self.dice * _A + _C) % _M
        return (self.dice >> 8) % count

    def _orders(self) -> list[list[int]]:
        """First orders: round by round, scarce stations first, long chains first, by rotation."""
        turns, every = self.turns, list(range(len(self.turns)))
        nth: list[int] = []
        chain: dict[int, int] = {}
        work: dict[str, int] = {}
        count: dict[int, int] = {}
        for turn in turns:
            nth.append(count.get(turn.who, 0))
            count[turn.who] = nth[-1] + 1
            chain[turn.who] = chain.get(turn.who, 0) + turn.seconds
            work[turn.kind] = work.get(turn.kind, 0) + turn.seconds
        places = places_of(self.stations)
        scarce = {kind: -seconds / places[kind] for kind, seconds in work.items()}
        teams = {who: n for n, who in enumerate(count)}

        def rotated(n: int) -> tuple[int, int]:
            mine = count[turns[n].who]
            return (nth[n] + teams[turns[n].who]) % mine, teams[turns[n].who]

        return [
            sorted(every, key=lambda n: (nth[n], n)),
            sorted(every, key=lambda n: (scarce[turns[n].kind], -chain[turns[n].who], n)),
            sorted(every, key=lambda n: (turns[n].rank, -chain[turns[n].who], nth[n])),
            sorted(every, key=lambda n: (turns[n].rank, *rotated(n))),
        ]

    def place(self, order: Sequence[int]) -> _Placed:
        """What comes of an order: each turn as early as its team and a place have room for it."""
        turns, earlier = self.turns, self.earlier
        ends: list[int] = [-1] * len(turns)
        teams: dict[int, list[tuple[int, int]]] = {}
        places: dict[str, list[tuple[str, int, list[tuple[int, int]]]]] = {}
        for station in self.stations:
            for number in range(1, station.places + 1):
                until = self.held.places.get((station.name, number), 0)
                places.setdefault(station.kind, []).append((station.name, number, [(0, until)]))
        seats: list[_Place] = []
        for n in self._after_what_is_before(order):
            turn = turns[n]
            mine = teams.get(turn.who)
            if mine is None:
                mine = teams[turn.who] = [(0, self.held.people.get(turn.who, 0))]
            least = max((ends[other] for other in earlier[n]), default=0)
            start, at = self._earliest(mine, places[turn.kind], least, turn.seconds)
            name, number, busy = places[turn.kind][at]
            ends[n] = start + turn.seconds
            _take(mine, start, ends[n])
            _take(busy, start, ends[n])
            seats.append((start, turn.who, n, name, number))
        seats.sort()
        return _Placed(turns, seats)

    def _earliest(
        self,
        mine: list[tuple[int, int]],
        places: list[tuple[str, int, list[tuple[int, int]]]],
        least: int,
        seconds: int,
    ) -> tuple[int, int]:
        """The earliest start, and the first place that has it."""
        best, at = 2**62, 0
        soonest = _room(mine, [], least, seconds)
        for index, (_, _, busy) in enumerate(places):
            self.spent += 1
            start = _room(mine, busy, soonest, seconds)
            if start < best:
                best, at = start, index
                if start == soonest:
                    break
        return best, at

    def _after_what_is_before(self, order: Sequence[int]) -> list[int]:
        """The order, with each turn behind those that have to come before it."""
        found: list[int] = []
        taken: set[int] = set()

        def take(n: int) -> None:
            if n in taken:
                return
            taken.add(n)
            for other in self.earlier[n]:
                take(other)
            found.append(n)

        for n in order:
            take(n)
        return found


def _length_first(made: _Placed) -> Score:
    return made.seconds, made.cooling, made.waiting, made.unfairness


def _room(
    one: list[tuple[int, int]], other: list[tuple[int, int]], least: int, seconds: int
) -> int:
    """The earliest start from `least` on at which both are free for so long."""
    start, i, j = least, 0, 0
    while True:
        while i < len(one) and one[i][1] <= start:
            i += 1
        while j < len(other) and other[j][1] <= start:
            j += 1
        if i < len(one) and one[i][0] < start + seconds:
            start = one[i][1]
        elif j < len(other) and other[j][0] < start + seconds:
            start = other[j][1]
        else:
            return start


def _take(busy: list[tuple[int, int]], start: int, end: int) -> None:
    at = len(busy)
    while at and busy[at - 1][0] > start:
        at -= 1
    busy.insert(at, (start, end))
