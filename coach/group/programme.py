"""The programme of a group: the mat together, turns at boards and wall, the end together.

Owns what is dropped and what shrinks when the minutes are few, and whether people share places.
Caps, ages and easier neighbours are those of `coach.planning`, person by person. Nobody is asked a
check aloud, so that every gate stays shut and there are no hard tries.
"""

from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from coach.errors import UsageError
from coach.group.callout import Callout, Callouts, together
from coach.group.limits import day_of, left_out
from coach.group.station_turns import Stop, teams_of, turns_of
from coach.model.day import Day, Library
from coach.model.facts import Omitted
from coach.model.plan import StepKind
from coach.model.routine import BlockKind
from coach.model.start import Options
from coach.planning import contents
from coach.planning.first_plan import MOST_MINUTES
from coach.planning.offers import Offer, whole_seconds
from coach.planning.rota import rota
from coach.planning.stations import Rota, Station, bound

#: Blocks that everybody does together, before and after the rota; and the blocks of the rota.
WARM = (BlockKind.PULSE, BlockKind.MAT)
DOWN = (BlockKind.STRENGTH, BlockKind.COOL_DOWN)
AT = {BlockKind.BOARD: "board", BlockKind.EASY: "wall", BlockKind.MIDDLE: "wall"}
#: Seconds of the mat that never go; with less than its floors nobody hangs (ours: muscle warms
#: fast in its first 3 to 5 minutes, Bishop D 2003, Sports Med 33(6):439-454, from memory).
LEAST_WARM = 240
#: Boulders in a turn that has shrunk as far as it can.
FEWEST = 1
#: Share of a rota that a team may wait, all in all, before people share places instead.
BEARABLE = 0.1


@dataclass(frozen=True, slots=True)
class Programme:
    """What a group will do."""

    day: Day
    warm: tuple[Callout, ...]
    stops: tuple[Stop, ...]
    down: tuple[Callout, ...]
    rota: Rota
    teams: Mapping[int, tuple[int, ...]]
    """The lower number of a team -> everybody in it."""
    omitted: tuple[Omitted, ...] = ()
    mat_only: bool = False
    """Whether the minutes are too few for any turn at a station: boards and wall come after it."""

    @property
    def seconds(self) -> float:
        """Everything, one after the other."""
        return together(self.warm) + self.rota.seconds + together(self.down)

    @property
    def bound(self) -> float:
        """The least that it could take: nobody is at a station before the mat or after the end."""
        return together(self.warm) + self.rota.bound + together(self.down)

    @property
    def callouts(self) -> tuple[Callout, ...]:
        """Everything that is called out."""
        return (*self.warm, *(one for stop in self.stops for one in stop.callouts), *self.down)

    @property
    def agreed(self) -> tuple[tuple[int, str], ...]:
        """Who may take a harder form if the leader agreed: who, movement; each once."""
        every = ((who, one.offer) for one in self.callouts for who in one.may)
        return tuple(dict.fromkeys(every))


def programme_of(
    options: Options, library: Library, stations: Sequence[Station], cool_down: bool = True
) -> Programme:
    """The fullest programme that the minutes allow; the mat alone where no turn fits.

    UsageError where even the least of the mat takes longer.
    """
    found = _Fitting(options, library, stations, cool_down).found()
    if found is None:
        minutes = options.minutes or library.routine.minutes
        what = f"{minutes:g} minutes are too few for the mat"
        raise UsageError(what, more_time(options, library, stations, cool_down))
    return found


class _Fitting:
    """Looks for what fits some people into some minutes."""

    def __init__(
        self, options: Options, library: Library, stations: Sequence[Station], cool_down: bool
    ) -> None:
        self.library, self.stations = library, stations
        self.day = day_of(options, library)
        self.callouts = Callouts(self.day, library)
        self.seconds = (options.minutes or library.routine.minutes) * 60.0
        kinds = {station.kind for station in stations}
        self.offers = [
            offer
            for offer in contents.of_routine(self.day, library, turns=False)
            if not offer.question
            and offer.kind is not BlockKind.HARD
            and AT.get(offer.kind, "") in ("", *kinds)
            and (cool_down or offer.kind is not BlockKind.COOL_DOWN)
        ]
        people = [person.who for person in self.day.people]
        self.alone, self.pairs = teams_of(people, False), teams_of(people, True)

    def found(self) -> Programme | None:
        """The fullest, or None."""
        mat = [offer for offer in self.offers if offer.kind not in AT]
        whole = [offer for offer in mat if offer.must]
        short = _shortest(mat)
        for must, levels in ((whole, self._levels(False)), (short, self._levels(True))):
            least = together(self.callouts.of(must))
            for stops in levels:
                made = self._seated(stops, self.seconds - least)
                if made is not None:
                    return self._completed(must, mat, stops, *made)
        for must in (whole, short):
            if together(self.callouts.of(must)) <= self.seconds:
                alone = self._completed(must, mat, (), Rota(), self.alone)
                return replace(alone, mat_only=True)
        return None

    def possible(self) -> bool:
        """Whether anything fits, by a rota that need not be the best."""
        mat = [offer for offer in self.offers if offer.kind not in AT]
        least = together(self.callouts.of(_shortest(mat)))
        *_, stops = self._levels(True)
        turns = turns_of(stops, self.pairs)
        return least + rota(turns, self.stations, looks=0).seconds <= self.seconds

    def _seated(
        self, stops: tuple[Stop, ...], seconds: float
    ) -> tuple[Rota, Mapping[int, tuple[int, ...]]] | None:
        """A rota that fits and in which nobody waits long, else the one that fits at all."""
        found: list[tuple[Rota, Mapping[int, tuple[int, ...]]]] = []
        for teams in (self.alone, self.pairs):
            turns = turns_of(stops, teams)
            if bound(turns, self.stations) > seconds:
                continue
            made = rota(turns, self.stations)
            if made.seconds > seconds:
                continue
            found.append((made, teams))
            if made.cooling == 0 and made.unfairness <= BEARABLE * max(made.seconds, 1):
                break
        return min(found, key=lambda one: (one[0].cooling > 0, one[0].seconds), default=None)

    def _levels(self, short: bool) -> Iterator[tuple[Stop, ...]]:
        """Turns at the stations, fewer and shorter each time; after a short mat nobody hangs."""
        at = [offer for offer in self.offers if offer.kind in AT]
        may_go = [offer for offer in at if not offer.must]
        wall = [offer for offer in at if offer.must and AT[offer.kind] == "wall"]
        if short:
            may_go, at = [], wall or at[:1]
        for dropped in range(len(may_go) + 1):
            ordered = sorted(may_go, key=lambda offer: offer.worth / max(offer.seconds, 1))
            gone = {offer.name for offer in ordered[:dropped]}
            left = [offer for offer in at if offer.name not in gone]
            yield self.callouts_at(left)
        most = max((_boulders(offer) for offer in left), default=0)
        for few in range(most - 1, FEWEST - 1, -1):
            left = [_shrunk(offer, few) for offer in left]
            yield self.callouts_at(left)
        for fewer in range(len(left) - 1, 0, -1):
            yield self.callouts_at(left[:fewer])

    def callouts_at(self, offers: Sequence[Offer]) -> tuple[Stop, ...]:
        """Turns in the order of the routine: the board in one, boulders in batches."""
        found: list[Stop] = []
        for offer in offers:
            callouts = self.callouts.of([offer])
            last = found[-1] if found else None
            if callouts and last is not None and last.block is offer.kind and last.takes_more:
                found[-1] = replace(last, callouts=(*last.callouts, *callouts))
            elif callouts:
                found.append(Stop(offer.name, AT[offer.kind], offer.kind, callouts))
        return tuple(found)

    def _completed(
        self,
        must: Sequence[Offer],
        mat: Sequence[Offer],
        stops: tuple[Stop, ...],
        made: Rota,
        teams: Mapping[int, tuple[int, ...]],
    ) -> Programme:
        """With as much of the mat and the end as still fits, the most worth a second first.

        What somebody may do no form of gives way to what everybody may do.
        """
        kept = {offer.name for offer in must}
        left = self.seconds - made.seconds - together(self.callouts.of(must))
        more = [offer for offer in mat if offer.name not in kept]
        for offer in sorted(more, key=lambda o: (self._excludes(o), -o.worth / max(o.seconds, 1))):
            takes = together(self.callouts.of([offer]))
            if takes <= left and not self._excludes(offer):
                kept.add(offer.name)
                left -= takes
        rest = [offer for offer in mat if offer.name in kept]
        warm = self.callouts.of([offer for offer in rest if offer.kind in WARM])
        down = self.callouts.of([offer for offer in rest if offer.kind in DOWN])
        every = (*warm, *(one for stop in stops for one in stop.callouts), *down)
        omitted = tuple(left_out(every, self.callouts))
        return Programme(self.day, warm, stops, down, made, teams, omitted)

    def _excludes(self, offer: Offer) -> bool:
        return any(
            one.doing(person.who) is None
            for one in self.callouts.of([offer])
            for person in self.day.people
        )


def _shortest(mat: Sequence[Offer]) -> list[Offer]:
    """The core of the mat, and of its floors as much as the least of it takes."""
    kept = [offer for offer in mat if offer.core]
    spent = sum(whole_seconds(offer.steps) for offer in kept if offer.kind in WARM)
    for offer in mat:
        if offer.kind in WARM and offer.must and not offer.core and spent < LEAST_WARM:
            kept.append(offer)
            spent += whole_seconds(offer.steps)
    return [offer for offer in mat if offer in kept]


def _boulders(offer: Offer) -> int:
    return max((s.amount for s in offer.steps if s.kind is StepKind.CLIMB), default=0)


def _shrunk(offer: Offer, most: int) -> Offer:
    """An offer with at most so many boulders."""

    def less(amount: int) -> int:
        return min(amount, most)

    shapes = tuple(
        replace(
            shape,
            amount=less(shape.amount),
            dose=less(shape.dose),
            seconds=shape.seconds * less(shape.amount) / shape.amount,
        )
        if shape.kind is StepKind.CLIMB and shape.amount > most
        else shape
        for shape in offer.shapes
    )
    return replace(offer, shapes=shapes, seconds=whole_seconds(shapes) * offer.sides)


def more_time(
    options: Options, library: Library, stations: Sequence[Station], cool_down: bool = True
) -> str:
    """How many could have turns at the stations in these minutes, and how long all would need."""
    minutes = options.minutes or library.routine.minutes
    people = options.people
    longer, fewer = range(int(minutes) + 1, MOST_MINUTES + 1), range(1, len(people))

    def fits(minutes: float, count: int) -> bool:
        less = replace(options, minutes=float(minutes), people=people[:count])
        return _Fitting(less, library, stations, cool_down).possible()

    needed = bisect_left(longer, True, key=lambda more: fits(more, len(people)))
    could = bisect_left(fewer, True, key=lambda count: not fits(minutes, count))
    told = [f"Boards and wall in that time are for {could} people."] if could else []
    if needed < len(longer):
        told.append(f"All {len(people)} need --minutes {longer[needed]} for them.")
    return " ".join(told)
