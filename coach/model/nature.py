"""What can be particular about an answer: whose load it may move, where and when it counts."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Self


class Tendency(StrEnum):
    """Which way an answer can move the load of what is left."""

    LOWERING = "lowering"
    NEUTRAL = "neutral"
    RAISING = "raising"


class About(StrEnum):
    """Whose load or try an answer is about, where one microphone hears several people."""

    #: whoever says it, or everybody
    ALL = "all"
    #: a body: never guessed, always asked
    BODY = "body"
    #: the tries to come of one person
    TRIES = "tries"
    #: the last try, so whoever had it
    LAST_TRY = "last-try"


@dataclass(frozen=True, slots=True)
class Nature:
    """What is particular about a meaning; what is not named here is the usual."""

    tendency: Tendency
    does: str = ""
    """What it does, in words for the documents; '' where it only answers a question."""
    numbers: tuple[int, ...] = ()
    """The numbers that it is said with, where it takes one: minutes, say."""
    always: tuple[str, ...] = ()
    """Answer keys of it that count at any time, on the board and on the wall too."""
    shown: bool = False
    """Somebody alone is heard without a call word wherever it is offered."""
    called: bool = False
    """Counts outside windows after the call word; never on the wall."""
    leader: bool = False
    """Means something when the leader of a group says it."""
    asked: bool = False
    """Only ever answers a question: alone it does nothing."""
    early: bool = False
    """May come before there is a plan."""
    moves: bool = False
    """Moves the session on: means nothing while it stands still."""
    overtakes: bool = False
    """Taken before everything else that waits."""
    asked_back: bool = False
    """Asked back when it was heard unsurely: in its own question only where it has a number."""
    goes_on: bool = False
    """By key it also lets the next hang or hard try begin while nobody can be heard."""
    letter: str = ""
    """The key that sends it; of two with one letter the second while that one counts."""
    twice: bool = False
    """A key that was not asked for it sends it on the second press only."""
    chosen: bool = False
    """Says how a body is, what happened, or ends something: a knuckle on any key can't mean it."""
    about: About = About.ALL
    result: str = ""
    """Where a try ended, or how hard it was beside the one before, as the record writes it."""
    tells: str = ""
    """What of a try it tells: one breath may hold one answer of each of TOLD_OF_A_TRY."""


class WithNature(StrEnum):
    """A name in answer keys, with all that is particular about it."""

    _value_: str
    nature: Nature

    def __new__(cls, value: str, nature: Nature) -> Self:
        """A member is its name in answer keys, and its nature."""
        member = str.__new__(cls, value)
        member._value_ = value
        member.nature = nature
        return member

    @classmethod
    def called(cls, name: str) -> Self:
        """The meaning by its name in answer keys; ValueError where there is none."""
        found = cls._value2member_map_.get(name)
        if not isinstance(found, cls):
            raise ValueError(name)
        return found

    @property
    def numbered(self) -> tuple[str, ...]:
        """Its answer keys with each number that it is said with: 'minutes:45'."""
        return tuple(f"{self.value}:{number}" for number in self.nature.numbers)
