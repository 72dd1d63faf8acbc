"""What is told of a body means the same in every mode: what is still offered is compared.

The real machines run: a session of one or two people, told before it by an option or in it aloud, a
group whose leader tells it, and a roster. Whatever they ask next meets silence. No mode may offer
what another takes away.
"""

import sys
from functools import cache

import pytest

from coach.group import limits
from coach.group.gathering import Status
from coach.group.group_step import new_group
from coach.group.kind import GROUP
from coach.model.answers import Answer, Meaning, parse
from coach.model.body import Part
from coach.model.day import Day
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.planning import forms
from coach.planning.offers import hopeful
from coach.runtime.rehearsal import TextWorld
from coach.session.events import Answered, Source, Started, TimePassed
from coach.session.state import Phase
from tests.group.runs import BOARDS, WALL, language, library
from tests.session.stage import Play

TOLD = (
    "feel:{}:stiff", "feel:{}:tired", "feel:{}:sore", "feel:{}:hurting", "feel:{}:hurting:1",
    "feel:{}:hurting:9", "hurt:{}", "sign:{}:swelling", "sign:{}:clicky",
)  # fmt: skip
UNTOLD = ("feel:sore", "feel:hurting", "sign:swelling", "sign:clicky")
#: No pack has a phrase for it: it is typed.
TYPED = "clicky"
#: Seconds of silence after it: more than any question waits.
SILENCE = 60.0


def offered(day: Day) -> frozenset[str]:
    """The movements that the first person may still do, once every check is answered well."""
    able, person = forms.of(hopeful(day), library()), day.people[0]
    return frozenset(m.name for m in library().movements.values() if able.allowed(m, person))


def people(age: AgeBand, number: int) -> tuple[Person, ...]:
    return tuple(Person(n + 1, age=age, edge="medium") for n in range(number))


def by_option(key: str, age: AgeBand, number: int) -> Day:
    """Told before the first word."""
    play = Play(people=number, age=age, complaints=((1, key),))
    play.run(SILENCE)
    day: Day = play.session.day
    return day


def aloud(key: str, age: AgeBand, number: int) -> Day | None:
    """Told in the session; None where it stands still until somebody says more."""
    play = Play(people=number, age=age)
    play.until(Phase.WORK)
    play.say(key, source=Source.KEY)
    if number > 1 and play.session.questions.asking is not None:
        play.run(4.0)
        play.say("person:1")
    play.run(SILENCE)
    answer = parse(key)
    if answer.part is None and play.session.phase is Phase.HURT:
        return None
    day: Day = play.session.day
    return day


def by_leader(key: str, age: AgeBand) -> Day | None:
    """Told by a leader of the first of three, in stages; None where the person is out."""
    answer = parse(key)
    group = new_group(library(), Options(people(age, 3), 45.0, ()), (*BOARDS, WALL))
    world = TextWorld(language(), (), anytime=frozenset(GROUP.anytime))

    def send(event: object) -> None:
        nonlocal group
        group, effects = GROUP.step(group, event)  # type: ignore[arg-type]
        for effect in effects:
            world.carry_out(effect)

    def on(seconds: float) -> None:
        until = world.now() + seconds
        while world.now() < until and group.phase is not Phase.OVER:
            wake = group.wake
            at = until if wake is None else min(until, wake)
            event = world.wait(at)
            if event is not None or (wake is not None and world.now() >= wake):
                send(event or TimePassed(world.now()))

    send(Started(0.0))
    on(400.0)
    whole = Answer(answer.meaning, None, answer.feel, sign=answer.sign)
    staged = ["person:1", "hurts" if answer.meaning is Meaning.HURT else whole.key]
    if answer.part is not None:
        staged.append(f"part:{answer.part}")
    for said in staged:
        send(Answered(world.now(), parse(said), 0, world.now(), None, Source.KEY))
        on(3.0)
    on(SILENCE)
    day: Day = group.programme.day
    return None if group.status(1) is Status.HURT else day


def by_roster(key: str, age: AgeBand) -> Day:
    return limits.day_of(Options(people(age, 2), 45.0, (), complaints=((1, key),)), library())


@cache
def modes(key: str, age: AgeBand) -> dict[str, frozenset[str]]:
    """What each mode still offers."""
    days: dict[str, Day | None] = {
        "option alone": by_option(key, age, 1),
        "option pair": by_option(key, age, 2),
        "roster": by_roster(key, age),
    }
    if TYPED not in key:
        days |= {
            "aloud alone": aloud(key, age, 1),
            "aloud pair": aloud(key, age, 2),
            "leader": by_leader(key, age),
        }
    return {mode: offered(day) for mode, day in days.items() if day is not None}


def more(found: dict[str, frozenset[str]]) -> dict[str, set[str]]:
    """What a mode offers that another does not."""
    least = frozenset.intersection(*found.values())
    return {mode: set(names - least) for mode, names in found.items() if names - least}


def compared(key: str, age: AgeBand) -> dict[str, set[str]]:
    """What a mode offers that another does not.

    A neck that is hurt is an emergency where it is told now; before the first word it is one of an
    earlier day that stands: what is told now may only leave less.
    """
    found = modes(key, age)
    if key == f"hurt:{Part.NECK}":
        now = {mode: names for mode, names in found.items() if mode.startswith("aloud")}
        return more(now) | {
            mode: set(names - found["roster"])
            for mode, names in now.items()
            if names - found["roster"]
        }
    return more(found)


@pytest.mark.no_cover
@pytest.mark.parametrize("number", range(len(TOLD)))
def test_no_mode_offers_what_another_takes_away(number: int) -> None:
    """A share with the ages in turn; `python -m tests.planning.test_modes` compares all of them."""
    for place, part in enumerate(Part):
        age = list(AgeBand)[(number + place) % len(AgeBand)]
        assert compared(TOLD[number].format(part), age) == {}, (part, age)


@pytest.mark.parametrize("told", UNTOLD)
def test_what_is_told_of_no_part_means_the_same_too(told: str) -> None:
    assert compared(told, AgeBand.ADULT) == {}


def main() -> int:
    """Compare all of them; how many differ."""
    every = [told.format(part) for told in TOLD for part in Part] + list(UNTOLD)
    found = [(key, age) for key in every for age in AgeBand if compared(key, age)]
    for one in found[:20]:
        print(*one)
    print(f"{len(every) * len(AgeBand)} told, in six modes: {len(found)} differ")
    return len(found)


if __name__ == "__main__":
    sys.exit(bool(main()))
