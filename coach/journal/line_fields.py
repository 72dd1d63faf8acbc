"""What a line of anybody's making may hold: names, beginnings and statements that could be ours."""

from datetime import datetime
from typing import Any

from coach.journal import statements
from coach.journal.session_rows import instant_of
from coach.journal.statements import Stated
from coach.model.start import Start

#: The most people of a session that is taken.
MOST_PEOPLE = 200
#: Names of sessions and statements are short; longer ones are no names of ours.
LONGEST_NAME = 200


def word(value: object) -> str:
    """A text; TypeError for anything else."""
    if not isinstance(value, str):
        raise TypeError(f"{value!r:.40} is no text")
    return value


def name_of(value: object) -> str:
    """A name of a session or a statement; TypeError or ValueError for what is none."""
    name = word(value)
    if not 0 < len(name) <= LONGEST_NAME:
        raise ValueError("uid: it is no name of a session")
    return name


def no_number(text: str) -> object:
    """For what JSON calls a constant and is no number of ours: ValueError."""
    raise ValueError(f"{text} is no number")


def check_start(start: Start) -> None:
    """ValueError where the beginning of a session is none that could have been."""
    instant_of(start.wall)
    if not 1970 <= datetime.fromisoformat(start.wall).year <= 2200:
        raise ValueError("wall: no session was then")
    if not 0 <= start.minutes <= 10_000:
        raise ValueError("minutes: no session is that long")
    numbers = [person.who for person in start.people]
    if not numbers or sorted(set(numbers)) != sorted(numbers) or min(numbers) < 1:
        raise ValueError("people: each has a number of their own, from 1")
    if max(numbers) > MOST_PEOPLE:
        raise ValueError("people: there are too many")


def stated(fields: dict[str, Any]) -> Stated:
    """A statement from the fields of its line; JournalError, TypeError or ValueError for none."""
    kind, body = word(fields["kind"]), fields["body"]
    if kind not in statements.KINDS:
        raise ValueError(f"kind: {kind!r:.40} states nothing")
    if not isinstance(body, list) or not body or not isinstance(body[0], str):
        raise TypeError("body: it is no statement")
    instant_of(word(fields["wall"]))
    one = Stated(name_of(fields["uid"]), fields["wall"], kind, tuple(body))
    statements.check(one)
    return one
