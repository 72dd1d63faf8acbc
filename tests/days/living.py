"""One day from a seed: who comes, what routine, how many minutes; and how it is run."""

from collections.abc import Callable
from datetime import UTC, datetime
from functools import cache
from random import Random
from typing import Any

from coach.files.library import load_library
from coach.files.routines import list_routines
from coach.files.words import load_language
from coach.language import Language
from coach.model.body import Feel, Part
from coach.model.day import Library
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.runtime.runner import NoKeeper, Runner
from coach.session.effects import Effect
from coach.session.events import Event, Started
from coach.session.kinds import SOLO, Kind
from coach.session.step import new_session
from tests.days import climbers
from tests.days.climbers import Climber
from tests.days.device_hall import DeviceHall
from tests.days.hall import Hall, SpinningError, StandingError
from tests.days.judges import LivedDay

KINDS = (
    "good",
    "slow",
    "late",
    "silent",
    "silent later",
    "paused for good",
    "stopped for good",
    "away ten minutes",
    "hurt",
    "sore",
    "curious",
    "curious by keys",
    "shouting",
    "contrary",
    "aching",
)
#: Events of one day at most.
MOST_EVENTS = 60_000


#: What else looks at each turn of a day: the hall, the view, the event and its effects.
Also = Callable[[Hall, Any, Event, tuple[Effect, ...]], None]


def live(
    seed: int,
    kind: str = "",
    *,
    faults: bool = False,
    device: bool = False,
    also: Also = lambda *_: None,
) -> LivedDay:
    """Run the day of a seed to its end, or to what stops it; by a simulated `device` if wanted."""
    dice = Random(seed)
    kind = kind or dice.choice(KINDS)
    group = "group"
    routine = dice.choice([name for name in routines() if name != group])
    library, language = files_of(routine)
    people = tuple(
        Person(who, age=dice.choice(list(AgeBand)))
        for who in range(1, dice.choice((1, 1, 1, 2, 3)) + 1)
    )
    least = library.routine.least_minutes
    minutes = float(max(least, dice.choice((5, 10, 20, 30, 45, 60, 75, 90, 120, 180))))
    hurting: tuple[tuple[int, Part, Feel], ...] = ()
    if dice.random() < 0.2:
        hurting = ((1, dice.choice(list(Part)), dice.choice(list(Feel))),)
    told_before = dice.random() < 0.7
    options = Options(
        people=people,
        minutes=minutes if told_before else None,
        hurting=hurting if told_before else None,
        same_place=True if told_before else None,
    )
    world = DeviceHall if device else Hall
    hall = world(language, [], spoil=_bad_device(dice) if faults else None)
    climbers_here = [climber(dice, one.who, kind, sorted(language.answers)) for one in people]
    hall.people = [*climbers_here]
    usual = float(library.routine.minutes)
    day = LivedDay(hall, climbers_here, minutes if told_before else usual)
    run(day, new_session(library, options), also)
    return day


def run(
    day: LivedDay,
    session: Any,
    also: Also = lambda *_: None,
    kind: Kind[Any] = SOLO,
    watch: Callable[[Any, Event, tuple[Effect, ...]], None] = lambda *_: None,
) -> None:
    """Run a session in the hall of a day to its end, and once more from its events.

    `watch` looks at the session itself after each turn: what it raises stops the day.
    """
    hall, first = day.hall, session

    def seen(now: Any, event: Event, effects: tuple[Effect, ...]) -> None:
        view = kind.look(now)
        hall.seen(view, event, effects)
        also(hall, view, event, effects)
        watch(now, event, effects)

    runner = Runner(session, hall, NoKeeper(), lambda: datetime.now(UTC), seen, kind=kind)
    try:
        going = runner.take(Started(0.0))
        while going:
            if len(hall.events) > MOST_EVENTS:
                raise SpinningError(f"{MOST_EVENTS} events by {hall.now():.0f} s")
            going = runner.take(runner.next())
    except (SpinningError, StandingError) as error:
        day.stopped = f"{type(error).__name__} {error}"
    except Exception as error:  # noqa: BLE001  # a crash is a finding, told with its seed
        day.stopped = f"crashed: {type(error).__name__}: {error}"
    day.session = runner.session
    if not day.stopped:
        for event in hall.events:
            first, _ = kind.step(first, event)
        day.again = first


@cache
def files_of(routine: str, place: str | None = None) -> tuple[Library, Language]:
    """A day's library and words, read once: they took a fifth of a day."""
    library = load_library(routine, place, ())
    return library, load_language("en", library.movements)


@cache
def routines() -> list[str]:
    """The names of what a day can hold."""
    return list_routines()


def climber(dice: Random, who: int, kind: str, words: list[str]) -> Climber:
    """Somebody of a kind, with their own dice and pace."""
    own = Random(dice.random())
    easy, at = own.uniform(20.0, 70.0), own.uniform(20.0, 3000.0)
    part = own.choice(climbers.PARTS)
    feeling = f"feel:{part}:hurting"
    made: dict[str, Callable[[], Climber]] = {
        "slow": lambda: Climber(own, who, easy=110.0),
        "late": lambda: Climber(own, who, easy, late=own.uniform(6.0, 25.0)),
        "silent": lambda: climbers.Silent(own, who, easy),
        "silent later": lambda: climbers.Silent(own, who, easy, since=at),
        "paused for good": lambda: climbers.Away(own, who, easy, at=at),
        "stopped for good": lambda: climbers.Away(own, who, easy, at=at, word_of_leave="stop"),
        "away ten minutes": lambda: climbers.Away(
            own, who, easy, at=at, back_after=own.uniform(300.0, 900.0)
        ),
        "hurt": lambda: climbers.Hurt(own, who, easy, at=at, part=part),
        "sore": lambda: climbers.Hurt(
            own, who, easy, at=at, part=part, words=feeling if feeling in words else "hurt"
        ),
        "curious": lambda: climbers.Curious(own, who, easy),
        "curious by keys": lambda: climbers.Curious(own, who, easy, keys=True),
        "thorough": lambda: climbers.Thorough(own, who, easy),
        "shouting": lambda: climbers.Shouting(own, who, easy, words=tuple(words)),
        "contrary": lambda: climbers.Contrary(own, who, easy),
        "aching": lambda: climbers.Aching(own, who, easy),
    }
    if kind not in made or (who > 1 and kind in ("hurt", "sore")):
        return Climber(own, who, easy)
    return made[kind]()


def _bad_device(dice: Random) -> Any:
    """Of a hundred events, answers among them: one lost, one late by up to five seconds, one twice.

    What began when stays known: an answer that comes late still began when it was said.
    """

    def spoil(event: Event) -> list[tuple[float, Event]]:
        lot = dice.random()
        if lot < 0.01:
            return []
        if lot < 0.02:
            return [(5.0 * dice.random(), event)]
        return [(0.0, event), (0.0, event)] if lot < 0.03 else [(0.0, event)]

    return spoil
