"""What is called out for a step of the group, and what each person does of it.

Aloud there is one form, which fits everybody who may do any of it. Nobody is singled out: who may
do none of it has a form of their own beside it, agreed on with the leader beforehand, and hears
"or your easier form" as everybody does; who may do more hears "whoever agreed on it". Names stand
on the leader's sheet only, so that no line aloud depends on whose limit it is.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from coach.model.day import Day, Library
from coach.model.movement import Family, Feet, Hold, Movement, Unit
from coach.model.person import Person
from coach.model.plan import Form, Step
from coach.planning import forms
from coach.planning.allowance import gentle
from coach.planning.offers import Offer, cost

#: Seconds that somebody who shares a place is on the wall for one boulder (ours): the rest of a
#: boulder's time is walking, brushing and looking, while the other climbs.
CLIMBS = 35.0
#: Movements that keep warm what cools while people wait: the whole body first, then the hands.
PULSES, HANDS = (Family.PULSE,), (Family.HANDS, Family.SHOULDERS)
GAMES = (Family.GAME,)


@dataclass(frozen=True, slots=True)
class Callout:
    """A step of the whole group: one form for everybody, others by agreement."""

    step: Step
    """Its forms are what each person does; somebody who may do no form sits it out."""
    form: str
    """The movement that is called out."""
    eased: bool = False
    """Whether anybody does something of their own instead."""
    offer: str = ""
    """The harder form that some may take if they agreed on it; '' for none."""
    may: tuple[int, ...] = ()
    """Who may take it; for the sheet only."""

    def doing(self, who: int) -> Form | None:
        """What a person does of it, None for nothing."""
        form = self.step.form(who)
        return form if form is not None and form.movement else None

    @property
    def alone(self) -> float:
        """Seconds that it takes one person, lead-in and rest counted."""
        return cost(self.step)

    @property
    def shared(self) -> float:
        """Seconds that it takes two who share a place: one works while the other rests."""
        step = self.step
        lead_in = cost(step) - step.seconds - step.rest
        work = CLIMBS * step.amount if step.on_the_wall and not step.hangs else step.seconds
        return max(self.alone, 2 * (lead_in + work))


class Callouts:
    """What is called out under the caps of one day."""

    def __init__(self, day: Day, library: Library) -> None:
        self.day, self.library = day, library
        self.forms = forms.of(day, library)
        self._people = {person.who: person for person in day.people}
        self._made: dict[tuple[str, int], Callout | None] = {}

    def of(self, offers: Iterable[Offer]) -> tuple[Callout, ...]:
        """What is called out for offers; what nobody may do is left out."""
        found = (self.callout(step) for offer in offers for step in offer.steps)
        return tuple(one for one in found if one is not None)

    def callout(self, step: Step) -> Callout | None:
        """A step in the form that is called out; None where nobody may do it."""
        key = step.name, step.amount
        if key not in self._made:
            self._made[key] = self._callout(step)
        return self._made[key]

    def _callout(self, step: Step) -> Callout | None:
        resolved = self.forms.resolve(step)
        if resolved is None:
            return None
        movements = self.library.movements
        doing = [form for form in resolved.forms if form.movement]
        called = self._called(doing)
        done = tuple(
            form
            if not form.movement or not self.forms.allowed(called, self._people[form.who])
            else Form(form.who, called.name, called.load, called.aims)
            for form in resolved.forms
        )
        if not any(form.movement for form in done):
            return None
        eased = any(form.movement != called.name for form in done)
        harder = [
            form
            for form in doing
            if order(movements[form.movement]) > order(called)
            and not edged(movements[form.movement])
        ]
        found = Callout(replace(resolved, forms=done), called.name, eased)
        if not harder:
            return found
        top = max(harder, key=lambda form: order(movements[form.movement])).movement
        return replace(
            found, offer=top, may=tuple(form.who for form in harder if form.movement == top)
        )

    def _called(self, doing: Sequence[Form]) -> Movement:
        """The form that fits everybody who may do any; where people hang, feet on, largest hold.

        Who was hurt today has their own form whatever is called out: it does not lower the others'.
        """
        movements = self.library.movements
        spared = {cap.who for cap in self.day.caps if cap.rule == "hurt"}
        doing = [form for form in doing if form.who not in spared] or doing
        people = [self._people[form.who] for form in doing]
        own = [movements[form.movement] for form in doing]
        found = {movement.name: movement for movement in own}
        for movement in own:
            found |= {one.name: one for one in self._easier(movement)}
        for movement in sorted(found.values(), key=order, reverse=True):
            light = movement.hang is None or movement.hang.feet is Feet.ON
            if (
                light
                and not edged(movement)
                and all(self.forms.allowed(movement, person) for person in people)
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

    # in place

    def own_form(self, who: int, instead_of: Movement) -> str:
        """What somebody does in place of a movement that they may do no form of; '' to watch."""
        fitting = self._fitting((self._people[who],), (Family.HANDS, *PULSES, *HANDS, Family.MAT))
        return next((one.name for one in fitting if one.name != instead_of.name), "")

    def keeping_warm(self, turn: int, several: bool) -> tuple[tuple[str, ...], bool]:
        """A movement of the body and one of the hands for all who wait, others each turn.

        Where several wait, every second time a game takes the place of the first. They fit whoever
        may do any, wherever they are now, so that they tell nothing of those who wait. Also whether
        anybody does something of their own instead. None where nobody may do any: people spot.
        """
        games = self.while_waiting(GAMES) if several and turn % 2 else []
        found = (games or self.while_waiting(PULSES), self.while_waiting(HANDS))
        chosen = [kind[turn % len(kind)] for kind in found if kind]
        every = self._people.values()
        own = any(not self.forms.allowed(one, person) for one in chosen for person in every)
        return tuple(one.name for one in chosen), own

    def while_waiting(self, families: tuple[Family, ...]) -> list[Movement]:
        """What all may do, else what most may; who was hurt today does not lower the others'."""
        spared = {cap.who for cap in self.day.caps if cap.rule == "hurt"}
        people = [one for one in self._people.values() if one.who not in spared]
        found = self._fitting((), families)
        counts = {
            one.name: sum(self.forms.allowed(one, person) for person in people) for one in found
        }
        most = max(counts.values(), default=0)
        return [one for one in found if counts[one.name] == most > 0]

    def _fitting(self, people: Sequence[Person], families: tuple[Family, ...]) -> list[Movement]:
        """Gentle movements on the feet that all these people may do, in the order of families."""
        found = [
            movement
            for movement in self.library.movements.values()
            if movement.family in families
            and movement.unit in (Unit.SECONDS, Unit.REPEATS)
            and movement.hang is None
            and not movement.static_stretch
            and not movement.equipment
            and gentle(movement)
            and all(self.forms.allowed(movement, person) for person in people)
        ]
        return sorted(found, key=lambda one: (families.index(one.family), one.order, one.name))


def edged(movement: Movement) -> bool:
    """Whether it hangs from less than the largest hold: in a group nobody is asked how it felt."""
    return movement.hang is not None and movement.hang.hold is not Hold.LARGEST


def order(movement: Movement) -> tuple[int, int, int]:
    """Heavier forms of a movement come later."""
    load = movement.load.values()
    return (max(load, default=0), sum(load), movement.order)


def together(callouts: Iterable[Callout]) -> float:
    """Seconds of steps that everybody does at once, lead-ins and rests counted."""
    return sum(one.alone for one in callouts)
