"""Random groups with a leader who says random things, and what never happens to anybody in them.

The check is its own: it reads ages and what was told from the script, and uses no planner code.
"""

import random
from collections import Counter

from coach.errors import UsageError
from coach.group.display import look
from coach.group.gathering import Group, Status
from coach.model.body import Feel, Part
from coach.model.movement import Feet, Hold
from coach.model.person import AgeBand
from coach.planning.stations import Station
from coach.session.effects import Effect, Say
from coach.session.events import Answered, Event
from tests.group.runs import group, library

ABOUT = ("is hurting", "is late", "is out", "is back", "sore", "no", "undo that")
ALONE = ("next", "stay there", "two more minutes", "say again", "who is where", "pause", "carry on")
#: Sentences that tell a reason: on the screen only.
SHOWN = {f"group-{key}-shown" for key in ("hurt", "out", "late", "eased", "noted", "back")}
#: More than what hurting people may still do.
GENTLE = 1


def random_words(dice: random.Random, people: int) -> str:
    """What the leader says, a line each."""
    lines, at = [], 20
    while at < 40 * 60:
        at += dice.randint(5, 200)
        if dice.random() < 0.5:
            lines.append((at, dice.choice(ALONE)))
        else:
            lines.append((at, f"person:{dice.randint(1, people)}"))
            lines.append((at + 3, dice.choice(ABOUT)))
            if dice.random() < 0.5:
                lines.append((at + 6, "my knee"))
            if dice.random() < 0.5:
                lines.append((at + 11, "let them in"))
        if lines[-1][1] in ("stay there", "pause"):
            lines.append((at + 20, "next" if lines[-1][1] == "stay there" else "carry on"))
    return "\n".join(f"{at // 60:02d}:{at % 60:02d} {words}" for at, words in lines)


class Watch:
    """Looks at every turn of a session."""

    def __init__(self, ages: list[AgeBand], sore: set[tuple[int, Part]], places: int) -> None:
        self.ages, self.sore, self.places = ages, sore, places
        self.hurt: set[int] = set()
        self.let_in: set[int] = set()
        self.plan: object = None

    def __call__(self, now: Group, event: Event, effects: tuple[Effect, ...]) -> None:
        look(now)
        seats = [who for seat in now.seated for who in now.members(seat)]
        assert len(seats) == len(set(seats)), "somebody is in two places"
        taken = Counter((seat.station, seat.place) for seat in now.seated if seat.station != "mat")
        assert max(taken.values(), default=0) <= 1, "two people in one place"
        limits = {station.name: station.places for station in now.stations}
        for station, place in taken:
            assert 1 <= place <= limits[station]
        for who in seats:
            assert now.status(who) is Status.HERE
        for effect in effects:
            if isinstance(effect, Say):
                assert effect.what.key not in SHOWN, "a reason was spoken"
        for who in now.people:
            self._status(now, who, event)
        if now.programme is not self.plan:
            self.plan = now.programme
            self._forms(now)

    def _status(self, now: Group, who: int, event: Event) -> None:
        if now.status(who) is Status.HURT:
            self.hurt.add(who)
            self.let_in.discard(who)
        elif now.status(who) is Status.HERE and who in self.hurt - self.let_in:
            key = event.answer.key if isinstance(event, Answered) else ""
            assert key in ("let-in", "undo"), f"{who} came back after hurting by {key!r}"
            if key == "undo":
                self.hurt.discard(who)
            self.let_in.add(who)

    def _forms(self, now: Group) -> None:
        movements = library().movements
        commons = [common for stop in now.programme.stops for common in stop.callouts]
        for common in (*now.programme.warm, *commons, *now.programme.down):
            forms = {form.who: form.movement for form in common.step.forms if form.movement}
            for who in common.may:
                assert self._may(who, common.offer), f"{common.offer} was offered to {who}"
                assert movements[common.offer].hang is None or who not in self.hurt
            for who, name in forms.items():
                assert self._may(who, name), f"{who} does {name}"
                if who in self.hurt:
                    assert max(movements[name].load.values(), default=0) <= 1

    def _may(self, who: int, name: str) -> bool:
        movement, age = library().movements[name], self.ages[who - 1]
        hang = movement.hang
        if hang is not None and age is AgeBand.UNDER_16:
            return False
        easy = hang is None or (hang.hold is Hold.LARGEST and hang.feet is Feet.ON)
        if age is not AgeBand.ADULT and not easy:
            return False
        load = movement.load
        if any(load.get(part, 0) > 2 for part in Part):
            return False
        return all(load.get(part, 0) <= 1 for one, part in self.sore if one == who)


def random_group(dice: random.Random) -> tuple[Group, Watch]:
    """A group that has not begun, and who watches it."""
    ages = [dice.choice(list(AgeBand)) for _ in range(dice.randint(2, 30))]
    sore = {(dice.randint(1, len(ages)), dice.choice((Part.FINGERS, Part.SHOULDERS)))}
    stations = [Station(f"board {n}", "board", 1) for n in range(1, dice.randint(1, 6) + 1)]
    stations.append(Station("wall", "wall", dice.choice((4, 6, 8, 12))))
    routine = dice.choice(("group", "group", "mat-and-board", "full"))
    late = tuple({dice.randint(1, len(ages))}) if dice.random() < 0.5 else ()
    given = None
    for minutes in (40.0, 60.0, 90.0, 120.0, 200.0, 300.0):
        try:
            given = group(
                ages,
                minutes=minutes,
                routine=routine,
                stations=tuple(stations),
                hurting=tuple((who, part, Feel.SORE) for who, part in sore),
                late=late,
            )
            break
        except UsageError:
            continue
    assert given is not None
    assert given.programme.seconds <= minutes * 60
    return given, Watch(ages, sore, len(stations))
