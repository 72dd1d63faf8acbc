"""The exact way to a rota: all schedules in which no turn could begin sooner are looked through.

Branch and bound over them; it proves the length of what it finds, in time that grows exponentially.
"""

from collections.abc import Sequence

from coach.planning.stations import FREE, Held, Rota, Seat, Station, Turn, before, bound


def exact(
    turns: Sequence[Turn],
    stations: Sequence[Station],
    held: Held = FREE,
    under: int = 10**9,
    nodes: int = 10**9,
) -> Rota:
    """The shortest rota under a length, and whether that is proven; no seats where none is found.

    Of the turns that could begin before the first that could end, one of the same team or kind of
    station begins next. `nodes` bounds the partial schedules, and what was not looked at is then
    not proven.
    """
    tree = _Tree(turns, stations, held, under, nodes)
    done = tree.search()
    least = bound(turns, stations, held)
    seats = tuple(sorted(tree.best, key=lambda seat: (seat.start, seat.turn.who)))
    return Rota(seats, least, done)


class _Tree:
    """The partial schedules."""

    def __init__(
        self,
        turns: Sequence[Turn],
        stations: Sequence[Station],
        held: Held,
        under: int,
        nodes: int,
    ) -> None:
        self.turns = turns
        self.earlier = [frozenset(item) for item in before(turns)]
        self.limit, self.nodes = under, nodes
        self.least = bound(turns, stations, held)
        self.best: list[Seat] = []
        self.free = {turn.who: held.people.get(turn.who, 0) for turn in turns}
        self.open: dict[str, list[tuple[int, str, int]]] = {}
        for station in stations:
            for number in range(1, station.places + 1):
                until = held.places.get((station.name, number), 0)
                self.open.setdefault(station.kind, []).append((until, station.name, number))
        self.left = set(range(len(turns)))
        self.seats: list[Seat] = []
        self.seen: dict[frozenset[int], list[tuple[int, ...]]] = {}

    def search(self) -> bool:
        """Look through them; False where the nodes did not suffice."""
        if self.nodes <= 0:
            return False
        self.nodes -= 1
        if not self.left:
            self.best = list(self.seats)
            self.limit = max((seat.end for seat in self.seats), default=0)
            return True
        if self._at_least() >= self.limit or self._dominated():
            return True
        choices = self._choices()
        for n, start in choices:
            if not self._go_down(n, start):
                return False
            if self.limit <= self.least:
                break
        return True

    def _go_down(self, n: int, start: int) -> bool:
        turn = self.turns[n]
        places, free = self.open[turn.kind], self.free[turn.who]
        at = max(
            (i for i, (until, _, _) in enumerate(places) if until <= start),
            key=lambda i: places[i][0],
        )
        was = places[at]
        places[at] = (start + turn.seconds, was[1], was[2])
        self.free[turn.who] = start + turn.seconds
        self.left.discard(n)
        self.seats.append(Seat(turn, was[1], was[2], start))
        done = self.search()
        self.seats.pop()
        self.left.add(n)
        self.free[turn.who] = free
        places[at] = was
        return done

    def _choices(self) -> list[tuple[int, int]]:
        """Which turn may begin next, and when: the most urgent first, of alike teams one."""
        could: list[tuple[int, int, int]] = []
        for n in self.left:
            if self.earlier[n] & self.left:
                continue
            turn = self.turns[n]
            start = max(self.free[turn.who], min(until for until, _, _ in self.open[turn.kind]))
            could.append((start + turn.seconds, start, n))
        end, _, first = min(could)
        lead = self.turns[first]
        tail = dict.fromkeys(self.free, 0)
        for n in self.left:
            tail[self.turns[n].who] += self.turns[n].seconds
        found: dict[tuple[object, ...], tuple[int, int]] = {}
        for _, start, n in sorted(
            could, key=lambda item: (item[1], -tail[self.turns[item[2]].who])
        ):
            turn = self.turns[n]
            if start < end and (turn.who == lead.who or turn.kind == lead.kind):
                found.setdefault(self._sort(n), (n, start))
        return list(found.values())

    def _sort(self, n: int) -> tuple[object, ...]:
        """What makes two choices the same but for the number of the team."""
        turn = self.turns[n]
        rest = tuple(
            sorted(
                (self.turns[m].kind, self.turns[m].seconds, self.turns[m].rank, self.turns[m].name)
                for m in self.left
                if self.turns[m].who == turn.who
            )
        )
        return turn.kind, turn.seconds, turn.name, self.free[turn.who], rest

    def _at_least(self) -> int:
        """No schedule that begins like this is shorter."""
        chains = dict(self.free)
        work: dict[str, int] = {}
        first: dict[str, int] = {}
        for n in self.left:
            turn = self.turns[n]
            chains[turn.who] += turn.seconds
            work[turn.kind] = work.get(turn.kind, 0) + turn.seconds
            free = self.free[turn.who]
            first[turn.kind] = min(first.get(turn.kind, free), free)
        most = max((seat.end for seat in self.seats), default=0)
        most = max(most, *(chains[self.turns[n].who] for n in self.left))
        for kind, seconds in work.items():
            places = self.open[kind]
            heads = sum(max(until, first[kind]) for until, _, _ in places)
            most = max(most, -(-(heads + seconds) // len(places)))
        return most

    def _dominated(self) -> bool:
        """Whether the same turns were left before, with nobody and no place free later."""
        now = (
            *(self.free[who] for who in sorted(self.free)),
            *(at for kind in sorted(self.open) for at in sorted(p[0] for p in self.open[kind])),
        )
        earlier = self.seen.setdefault(frozenset(self.left), [])
        for other in earlier:
            if all(a <= b for a, b in zip(other, now, strict=True)):
                return True
        earlier.append(now)
        return False
