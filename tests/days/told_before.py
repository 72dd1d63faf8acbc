"""Days on which much is known before: boulders, rests, edges, complaints, weariness; and bad luck.

`live(seed, kind)` is one of them. They are for what the plain days of `tests.days.living` seldom
come to; every event of them is the core's or an invented person's.
"""

from dataclasses import dataclass, replace
from random import Random
from typing import Any

from coach.files.library import load_library
from coach.files.words import load_language
from coach.language import Language
from coach.model.answers import ANYTIME, parse
from coach.model.body import Feel, Part
from coach.model.day import Library
from coach.model.doses import DOSES
from coach.model.key_moves import CAUSES, KEY_MOVES, STYLES
from coach.model.movement import Family
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.model.tries import HANDS, HEIGHTS, Boulder, Went
from coach.model.usual_edge import EdgeSetup, Usual
from coach.planning.day_tags import TAGS
from coach.session.events import (
    Answered,
    ClockJumped,
    DeviceLost,
    DeviceReturned,
    Event,
    KeyClaimed,
    Reopened,
    Source,
    Sureness,
)
from coach.session.step import new_session
from coach.session.view import Word
from tests.days.hall import Hall, Line
from tests.days.judges import LivedDay
from tests.days.living import Also, climber, files_of, routines, run

#: Seconds between two pieces of bad luck, and the devices that have it.
APART, DEVICES = (60.0, 900.0), ("microphone", "speaker", "recogniser", "journal", "quiet")

#: Most of those who come are grown up.
AGES = (AgeBand.ADULT, AgeBand.ADULT, AgeBand.ADULT, *AgeBand)


@dataclass
class BadLuck:
    """Somebody who only brings it: sleep, a crash, a device gone and back, an unsure ear."""

    dice: Random
    who: int = 1
    _set: bool = False

    def notice(self, hall: Hall, line: Line) -> None:
        """It hears nothing."""

    def asked(self, hall: Hall, answers: tuple[str, ...], who: int) -> None:
        """Now and then the ear is unsure of an answer, or somebody else is taken for who asked."""
        if self.dice.random() < 0.15:
            opened, key = hall.window, self.dice.choice(answers)
            after = self.dice.uniform(0.7, 4.0)
            hall.post(hall.now() + after, lambda: self._unsure(hall, opened, key, who))

    def _unsure(self, hall: Hall, opened: Any, key: str, who: int) -> Event | None:
        now = hall.now()
        if opened is not hall.window or opened is None or now < opened.at:
            return None
        number = opened.window if key in opened.answers else None
        return Answered(
            now, parse(key), who or 1, now, number, Source.VOICE, Sureness.UNSURE,
            addressed=self.dice.random() < 0.3,
        )  # fmt: skip

    def look(self, hall: Hall, view: Any) -> None:
        """It begins with the day."""
        if not self._set:
            self._set = True
            self._later(hall)

    def _later(self, hall: Hall) -> None:
        hall.post(hall.now() + self.dice.uniform(*APART), lambda: self._strike(hall))

    def _strike(self, hall: Hall) -> Event | None:
        if hall.view.word is Word.OVER:
            return None
        self._later(hall)
        now, lot = hall.now(), self.dice.random()
        if lot < 0.2:
            return ClockJumped(now, self.dice.choice((3.0, 70.0, 1300.0)))
        if lot < 0.3:
            return Reopened(now, self.dice.choice((60.0, 1500.0)))
        if lot < 0.5 and hall.view.weighs:
            return KeyClaimed(now, f"reading:{self.dice.uniform(30.0, 60.0):.1f}", hall.view.weighs)
        if lot < 0.6:
            key = self.dice.choice(tuple(ANYTIME))
            return Answered(now, parse(key), 1, now, None, Source.VOICE, Sureness.UNSURE)
        device = self.dice.choice(DEVICES)
        back = now + self.dice.uniform(5.0, 200.0)
        hall.post(back, lambda: DeviceReturned(hall.now(), device))
        return DeviceLost(now, device, "gone")


def live(seed: int, kind: str, *, tongue: str = "en", also: Also = lambda *_: None) -> LivedDay:
    """Run the day of a seed to its end."""
    dice = Random(f"told-before-{seed}")
    well = kind == "thorough"
    any_day = ["full", "full", "rests", *(one for one in routines() if one != "group")]
    routine = dice.choice(["full", "rests", "rests"] if well else any_day)
    place = dice.choice(("tarnwick", "tarnwick", None)) if routine != "outdoors" else "umbershaw"
    library, language = _files(routine, place, tongue)
    options = drawn(dice, library)
    if well:
        options = who_are_well(dice, library, options)
    hall = Hall(language, [])
    here = [climber(dice, one.who, kind, sorted(language.answers)) for one in options.people]
    hall.people = [*here]
    if dice.random() < 0.4:
        hall.people.append(BadLuck(Random(dice.random())))
    day = LivedDay(hall, here, options.minutes or float(library.routine.minutes))
    run(day, new_session(library, options), also)
    return day


def who_are_well(dice: Random, library: Library, options: Options) -> Options:
    """The same day of people who are grown up, practised and well, so that hard tries come."""
    people = tuple(replace(one, age=AgeBand.ADULT, months=24) for one in options.people)
    minutes = dice.choice((20.0, 30.0, 40.0)) if library.routine.name == "rests" else 75.0
    options = replace(options, people=people, hurting=(), signs=(), told=(), away=(), ageless=())
    return replace(options, minutes=minutes, open_end=False)


def _files(routine: str, place: str | None, tongue: str) -> tuple[Library, Language]:
    if tongue == "en":
        return files_of(routine, place)
    library = load_library(routine, place, ())
    return library, load_language(tongue, library.movements)


def drawn(dice: Random, library: Library) -> Options:
    """Who comes, and what is known of them."""

    def perhaps(share: float, made: Any) -> tuple[Any, ...]:
        return tuple(made(who) for who in numbers if dice.random() < share)

    numbers = range(1, dice.choice((1, 1, 1, 2, 3)) + 1)
    people = tuple(
        Person(
            who,
            dice.choice(("", "Runa", "Osk")) if who > 1 else "",
            dice.choice(AGES),
            edge=dice.choice(("", "medium", "medium", "small")),
            best=dice.choice(("", "6C", "7B")),
            months=dice.choice((None, 0, 6, 24)),
        )
        for who in numbers
    )
    named = perhaps(0.7, lambda who: (who, _boulder(dice)))
    went = tuple(
        Went(
            who,
            one.name,
            dice.choice((*HEIGHTS, "below", "untold")),
            dice.randint(0, one.moves),
            dice.choice((0.0, 20.0, 45.0)),
            dice.choice(("", *CAUSES)),
            closer=dice.random() < 0.3,
            today=False,
        )
        for who, one in named
        for _ in range(dice.choice((0, 0, 1, 3)))
    )
    focuses = tuple(name for name, one in library.movements.items() if one.family is Family.FOCUS)
    least = library.routine.least_minutes
    return Options(
        people=people,
        minutes=max(float(dice.choice((20, 45, 60, 75, 90, 120, 180))), least),
        hurting=perhaps(0.3, lambda who: (who, dice.choice(list(Part)), dice.choice(list(Feel)))),
        same_place=dice.choice((True, None, False)),
        signs=perhaps(0.1, lambda who: (who, dice.choice(list(Part)))),
        practised=perhaps(0.3, lambda who: (who, dice.choice(focuses))) if focuses else (),
        boulders=named,
        known=tuple(one for _, one in named if dice.random() < 0.5),
        went=went,
        notes=tuple((who, one.name, f"note-{who}") for who, one in named if dice.random() < 0.2),
        films=tuple((who, one.name) for who, one in named if dice.random() < 0.2),
        wall=dice.choice(("", "2026-03-02 07:30:00", "2026-03-02 18:00:00")),
        told=perhaps(0.4, lambda who: (who, dice.choice(sorted(TAGS)))),
        usual=perhaps(0.5, lambda who: (who, _usual(dice))),
        away=tuple(who for who in numbers if dice.random() < 0.1),
        doses=perhaps(0.4, lambda who: (who, dice.choice(DOSES), 5400.0)),
        rests=perhaps(0.4, lambda who: (who, dice.choice((120.0, 200.0, 240.0, 360.0)))),
        ask_tries=dice.random() < 0.9,
        view_first=dice.random() < 0.3,
        ageless=tuple(who for who in numbers if dice.random() < 0.1),
        level_asked=dice.choice(("", "", "climbed", "comfortable")) if len(people) == 1 else "",
        learn_voice=len(people) == 1 and dice.random() < 0.1,
        open_end=library.routine.name == "rests" and dice.random() < 0.5,
    )


def _boulder(dice: Random) -> Boulder:
    moves = dice.choice((0, 5, 9, 12))
    return Boulder(
        f"{dice.choice(('marble', 'slate'))} {dice.randint(1, 9)}",
        dice.choice(("", *STYLES)),
        moves,
        dice.choice(("", *KEY_MOVES)),
        dice.randint(0, moves),
        dice.choice(("", *HANDS)),
    )


def _usual(dice: Random) -> Usual:
    setup = EdgeSetup("medium", "edge-check", "off", dice.choice(("", "straight")))
    middle = dice.uniform(40.0, 60.0)
    recent = (middle - dice.uniform(0.0, 8.0), middle - dice.uniform(0.0, 8.0))
    return Usual(setup, dice.randint(3, 9), middle, 2.0, None, recent, middle)
