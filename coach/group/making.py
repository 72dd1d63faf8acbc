"""Making the plan of a group: from people, stations and minutes to what fits.

Owns the form that is called out, who is offered a harder one, and what is dropped when the
minutes are few. Caps, ages and easier neighbours are those of `coach.planning`, person by person.
Nobody is asked a check aloud, so that every gate stays shut and there are no hard tries.
"""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import replace

from coach.errors import UsageError
from coach.group.state import Common, Plan, Stop, together
from coach.model.answers import Answer, Meaning
from coach.model.body import CapReason, ceiling
from coach.model.day import Day, Library
from coach.model.facts import Omitted
from coach.model.movement import Feet, Hold, Movement
from coach.model.person import AgeBand, Person
from coach.model.plan import Form, Step
from coach.model.routine import BlockKind
from coach.model.start import Options
from coach.planning import adapt, ages, forms, gates, open_day, unfolding
from coach.planning.allowance import gentle
from coach.planning.budget import Piece, choose
from coach.planning.making import MOST_MINUTES
from coach.planning.offers import Offer, cost
from coach.planning.stations import Held, Rota, Station, Turn, bound, rota

#: Blocks that everybody does together, before and after the rota; and the blocks of the rota.
WARM = (BlockKind.PULSE, BlockKind.MAT)
DOWN = (BlockKind.STRENGTH, BlockKind.COOL_DOWN)
AT = {BlockKind.BOARD: "board", BlockKind.EASY: "wall", BlockKind.MIDDLE: "wall"}
MAT = "mat"
#: Seconds of a turn for walking there and chalking.
MOVE = 20
#: Boulders are gathered into turns of at least this many seconds, so that people move seldom.
LEAST_TURN = 240
#: A harder form is offered by number only where at least this many people are on the list and as
#: many are not: a list of one, or one that leaves out one, points at somebody.
UNSEEN = 2


def day_of(options: Options, library: Library) -> Day:
    """The day of everybody: ages, gates, and what the roster says hurts, by the usual rules."""
    routine = library.routine
    minutes = max(options.minutes or routine.minutes, routine.least_minutes)
    day = open_day(options.people, float(minutes), library)
    for who, part, feel in options.hurting or ():
        told = Answer(Meaning.FEEL, part=part, feel=feel)
        day = adapt(day, (), 0.0, who, told, "hurting", library).day
    return day


def make(options: Options, library: Library, stations: Sequence[Station]) -> Plan:
    """The fullest plan that the minutes allow.

    UsageError where nobody is here, or where even the least of it takes longer: it says how many
    people could, what they all would need, and what to drop.
    """
    plan = fitting(options, library, stations)
    if plan is None:
        raise UsageError(*_too_short(options, library, stations))
    return plan


def fitting(options: Options, library: Library, stations: Sequence[Station]) -> Plan | None:
    """The fullest plan that fits the minutes, or None."""
    day = day_of(options, library)
    offers = _offers(day, library, stations)
    seconds = (options.minutes or library.routine.minutes) * 60.0
    common = Commons(day, library)
    must = [offer for offer in offers if offer.kind not in AT and offer.must]
    least = together(common.of(must))
    found: tuple[tuple[Stop, ...], Rota] | None = None
    for chosen in _levels([offer for offer in offers if offer.kind in AT]):
        stops = common.stops(chosen)
        turns = turns_of(stops, [person.who for person in day.people])
        if least + bound(turns, stations) > seconds:
            continue
        made = rota(turns, stations)
        if least + made.seconds <= seconds:
            found = stops, made
            break
    if found is None:
        return None
    stops, made = found
    rest = [offer for offer in offers if offer.kind not in AT]
    pieces = [Piece(o.name, -int(-together(common.of([o])) // 1), o.worth, o.must) for o in rest]
    kept = choose(pieces, int(seconds - made.seconds)) or frozenset()
    rest = [offer for index, offer in enumerate(rest) if index in kept]
    warm = common.of([offer for offer in rest if offer.kind in WARM])
    down = common.of([offer for offer in rest if offer.kind in DOWN])
    omitted = tuple(_omitted((*warm, *_all(stops), *down), day, library))
    return Plan(day, warm, stops, down, made, omitted)


def _offers(day: Day, library: Library, stations: Sequence[Station]) -> list[Offer]:
    kinds = {station.kind for station in stations}
    return [
        offer
        for offer in unfolding.of_routine(day, library)
        if not offer.question
        and offer.kind is not BlockKind.HARD
        and AT.get(offer.kind, "") in ("", *kinds)
    ]


def _levels(offers: Sequence[Offer]) -> Iterable[list[Offer]]:
    """All of them, then fewer and fewer of those that may go, the least worth a second first."""
    may_go = [offer for offer in offers if not offer.must]
    order = sorted(may_go, key=lambda offer: offer.worth / max(offer.seconds, 1))
    for dropped in range(len(order) + 1):
        gone = {offer.name for offer in order[:dropped]}
        yield [offer for offer in offers if offer.name not in gone]


def _too_short(options: Options, library: Library, stations: Sequence[Station]) -> tuple[str, str]:
    """How many could, how long all would need, what to drop."""
    minutes = options.minutes or library.routine.minutes
    people = options.people
    longer, fewer = range(int(minutes) + 1, MOST_MINUTES + 1), range(1, len(people))

    def fits(minutes: float, count: int) -> bool:
        less = replace(options, minutes=float(minutes), people=people[:count])
        return fitting(less, library, stations) is not None

    needed = bisect_left(longer, True, key=lambda more: fits(more, len(people)))
    could = bisect_left(fewer, True, key=lambda count: not fits(minutes, count))
    walls = [station for station in stations if station.kind != "board"]
    what = f"{minutes:g} minutes are too few for {len(people)} people"
    do = [f"{could} of them can in that time." if could else "Not even one can in that time."]
    if needed < len(longer):
        do.append(f"All of them need --minutes {longer[needed]}.")
    if len(walls) < len(stations) and fitting(options, library, walls) is not None:
        do.append("Or drop the board: --boards 0.")
    return what, " ".join(do)


class Commons:
    """Common steps under the caps of one day."""

    def __init__(self, day: Day, library: Library) -> None:
        self.day, self.library = day, library
        self.forms = forms.of(day, library)
        self._made: dict[str, Common | None] = {}

    def of(self, offers: Iterable[Offer]) -> tuple[Common, ...]:
        """The common steps of offers; what nobody may do is left out."""
        found = (self.common(step) for offer in offers for step in offer.steps)
        return tuple(common for common in found if common is not None)

    def stops(self, offers: Sequence[Offer]) -> tuple[Stop, ...]:
        """Turns in the order of the routine: the board in one, boulders in batches."""
        found: list[Stop] = []
        for offer in offers:
            commons = self.of([offer])
            if not commons:
                continue
            last = found[-1] if found else None
            if last is not None and last.block is offer.kind and _joins(last):
                found[-1] = replace(last, commons=(*last.commons, *commons))
            else:
                found.append(Stop(offer.name, AT[offer.kind], offer.kind, commons))
        return tuple(found)

    def common(self, step: Step) -> Common | None:
        """A step in the form that is called out; None where nobody may do it."""
        if step.name not in self._made:
            self._made[step.name] = self._common(step)
        return self._made[step.name]

    def _common(self, step: Step) -> Common | None:
        resolved = self.forms.resolve(step)
        if resolved is None:
            return None
        movements = self.library.movements
        doing = [form for form in resolved.forms if form.movement]
        people = {person.who: person for person in self.day.people}
        called = self._called(resolved, [people[form.who] for form in doing])
        forms = tuple(
            form
            if not form.movement or not self.forms.allowed(called, people[form.who])
            else Form(form.who, called.name, called.load, called.aims)
            for form in resolved.forms
        )
        harder = [
            form
            for form in doing
            if order(movements[form.movement]) > order(called)
            and not edged(movements[form.movement])
        ]
        common = Common(replace(resolved, forms=forms), called.name)
        if not harder:
            return common
        top = max(harder, key=lambda form: order(movements[form.movement])).movement
        to = tuple(form.who for form in harder if form.movement == top)
        others = len(doing) - len(to)
        if others and min(others, len(to)) < UNSEEN:
            return replace(common, untold=tuple((form.who, form.movement) for form in harder))
        return replace(common, offer=top, to=to, everybody=not others)

    def _called(self, resolved: Step, doing: Sequence[Person]) -> Movement:
        """The form that is called out for everybody: the easier one where anybody needs it.

        Where people hang it is the one with the feet on and on the largest hold, whoever is there.
        """
        movements = self.library.movements
        own = [movements[form.movement] for form in resolved.forms if form.movement]
        found = {movement.name: movement for movement in own}
        for movement in own:
            found |= {one.name: one for one in self._easier(movement)}
        for movement in sorted(found.values(), key=order, reverse=True):
            light = movement.hang is None or movement.hang.feet is Feet.ON
            if (
                light
                and not edged(movement)
                and all(self.forms.allowed(movement, person) for person in doing)
            ):
                return movement
        return min(own, key=order)

    def _easier(self, movement: Movement) -> Iterable[Movement]:
        names = [movement.easier, *movement.also_easier]
        for name in names:
            easier = self.library.movements.get(name or "")
            if easier is not None and (easier.unit is movement.unit or gentle(easier)):
                yield easier
                yield from self._easier(easier)


def edged(movement: Movement) -> bool:
    """Whether it hangs from less than the largest hold: in a group nobody is asked how it felt."""
    return movement.hang is not None and movement.hang.hold is not Hold.LARGEST


def order(movement: Movement) -> tuple[int, int, int]:
    """Heavier forms of a movement come later."""
    load = movement.load.values()
    return (max(load, default=0), sum(load), movement.order)


def _joins(stop: Stop) -> bool:
    spent = sum(cost(common.step) for common in stop.commons)
    return stop.block is BlockKind.BOARD or spent < LEAST_TURN


def _all(stops: Iterable[Stop]) -> list[Common]:
    return [common for stop in stops for common in stop.commons]


def turns_of(stops: Iterable[Stop], people: Iterable[int]) -> list[Turn]:
    """Everybody's turns; who may do nothing at a stop has none there."""
    found = []
    for who in people:
        for stop in stops:
            mine = steps_of(stop, who)
            if mine:
                seconds = MOVE + sum(cost(common.step) for common in mine)
                rank = max(peak(common, who) for common in mine)
                found.append(Turn(who, stop.name, stop.kind, -int(-seconds // 10) * 10, rank))
    return found


def steps_of(stop: Stop, who: int) -> tuple[Common, ...]:
    """What one person does in a turn."""
    return tuple(
        common
        for common in stop.commons
        if (form := common.step.form(who)) is not None and form.movement
    )


def peak(common: Common, who: int) -> int:
    """The highest load of any part in the form of one person."""
    form = common.step.form(who)
    return max(form.load.values(), default=0) if form is not None else 0


def late_turn(who: int, warm: Sequence[Common]) -> Turn:
    """The mat of somebody who came late, in their own time: what of it never goes."""
    kept = tuple(common for common in warm if common.step.floor or common.step.core)
    return Turn(who, MAT, MAT, -int(-(MOVE + together(kept)) // 10) * 10, 0)


def recompute(turns: Sequence[Turn], stations: Sequence[Station], held: Held) -> Rota:
    """A rota of what is left; the mat has a place for everybody."""
    mat = Station(MAT, MAT, max(sum(turn.kind == MAT for turn in turns), 1))
    return rota(turns, (*stations, mat), held)


def _omitted(commons: Iterable[Common], day: Day, library: Library) -> Iterable[Omitted]:
    """What people do otherwise than the routine means it, and why; once for each movement."""
    people = {person.who: person for person in day.people}
    seen: set[tuple[int, str]] = set()
    for common in commons:
        for meant in common.step.intended:
            form = common.step.form(meant.who)
            done = form.movement if form is not None else ""
            key = (meant.who, meant.movement)
            if not meant.movement or done == meant.movement or key in seen:
                continue
            seen.add(key)
            movement = library.movements[meant.movement]
            unasked = "check" if edged(movement) else "offered"
            why = why_not(movement, people[meant.who], day) or unasked
            yield Omitted(0.0, meant.who, meant.movement, done, why)


def why_not(movement: Movement, person: Person, day: Day) -> str:
    """The rule that keeps a person from a movement now; '' where none does."""
    if not ages.allows(person, movement):
        return "age-untold" if person.age is AgeBand.UNKNOWN else person.age.value
    for cap in day.caps:
        over = movement.load.get(cap.part, 0) > cap.most
        if cap.who == person.who and over and cap.reason is not CapReason.GATE:
            return cap.rule
    if gates.waits(movement, gates.shut(day.caps, person.who)):
        return "check"
    if any(load > ceiling(day.caps, person.who, part) for part, load in movement.load.items()):
        return "check"
    feels = {f"{item.feel}:{item.part}" for item in day.reports if item.who == person.who}
    feels |= {f"sign:{c.part}" for c in day.caps if c.who == person.who and c.most == 0}
    return next((tag for tag in movement.leave_out if tag in feels), "")
