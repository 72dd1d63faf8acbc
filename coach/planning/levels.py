"""Levels: what months of climbing and the distance to one's best change about the doses.

No source gives a number of months for bouldering; that beginners hang with their feet on and that
fingers are loaded late is common practice, the months and the doses are our choice. Months that
nobody told change nothing.
"""

from datetime import date
from enum import StrEnum

from coach.errors import UsageError
from coach.model.day import Day
from coach.model.movement import Feet, Hold, Movement
from coach.model.person import Person
from coach.model.place import Place
from coach.model.routine import BlockKind
from coach.planning import pyramid

#: Months of climbing below which somebody is new to it, and below which the fingers still learn.
NEW, LEARNING = pyramid.NEW, 24
#: Circuits between the comfortable one and the best from which on somebody is strong.
DISTANCE = 3
#: Hard tries of somebody new at most: what is left goes to technique.
FEW_TRIES = 5
#: Seconds that somebody new rests between hard tries, least and most, and as planned: theirs is a
#: boulder just above what is comfortable. Sets of several joints are rested 2 to 3 min (ACSM 2009,
#: Med Sci Sports Exerc 41:687-708); that this is enough for a boulder is our choice.
RESTS = (120.0, 180.0)
REST = sum(RESTS) / 2
#: Middle boulders of the strong before hard tries: the usual five, and one more for each circuit
#: between the comfortable one and the best, up to so many.
USUAL_MIDDLE, MOST_MIDDLE = 5, 10


#: Days of a month, in the mean.
MONTH = 365.25 / 12


class Level(StrEnum):
    """What decides about doses; also the tag in `Day.told` of whoever is of it."""

    NEW = "new-to-climbing"
    LEARNING = "learning"
    STRONG = "strong"
    USUAL = ""


def of(person: Person, place: Place) -> Level:
    """The level of a person at a place."""
    if person.months is None:
        return Level.USUAL
    if person.months < NEW:
        return Level.NEW
    if person.months < LEARNING:
        return Level.LEARNING
    return Level.STRONG if _distance(person, place) >= DISTANCE else Level.USUAL


def months_by(told: int | None, then: date, today: date) -> int | None:
    """Months of climbing by today, of so many that were told on a day; None stays None."""
    return None if told is None else told + max(int((today - then).days / MONTH), 0)


def _distance(person: Person, place: Place) -> int:
    """Circuits between the comfortable one and the best; 0 where either is unknown."""
    try:
        comfortable = pyramid.index_of(person.comfortable, place) if person.comfortable else None
        best = pyramid.index_of_best(person.best, place) if person.best else None
    except UsageError:
        return 0
    return 0 if comfortable is None or best is None else best - comfortable


def tags(people: tuple[Person, ...], place: Place) -> tuple[tuple[int, str], ...]:
    """The levels of the people as what is told of the day."""
    found = ((person.who, of(person, place)) for person in people)
    return tuple((who, level.value) for who, level in found if level is not Level.USUAL)


def allows(person: Person, movement: Movement) -> bool:
    """Whether the level lets a person do a movement.

    Who is new hangs with the feet on, and never unevenly; who is learning hangs unevenly only so.
    """
    hang, months = movement.hang, person.months
    if hang is None or months is None or months >= LEARNING:
        return True
    uneven, off = hang.hold is Hold.UNEVEN, hang.feet is Feet.OFF
    return not (uneven or off) if months < NEW else not (uneven and off)


def rounds(day: Day) -> int | None:
    """Rounds of hard tries at most where all are new, so that technique gets the minutes."""
    return FEW_TRIES if all_new(day) else None


def all_new(day: Day) -> bool:
    """Whether nobody of the day has climbed for long."""
    return all(is_new(day, person.who) for person in day.people)


def is_new(day: Day, who: int) -> bool:
    """Whether a person is new to climbing."""
    return (who, Level.NEW.value) in day.told


def least(day: Day, place: Place) -> dict[BlockKind, int]:
    """Boulders before hard tries beyond the usual least: more middle ones where all are strong."""
    if not all((person.who, Level.STRONG.value) in day.told for person in day.people):
        return {}
    distance = min(_distance(person, place) for person in day.people)
    return {BlockKind.MIDDLE: min(USUAL_MIDDLE + distance, MOST_MIDDLE)}
