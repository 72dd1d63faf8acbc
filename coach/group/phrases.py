"""What the leader may say: in which window and for how long, and what at any time."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from coach.language import Language
from coach.model.answers import ANYTIME
from coach.model.questions import QUESTIONS

#: In the window after a cue.
LEADING = ("next", "stay", "more-time:2", "again", "where", "undo")
#: What may be told of somebody who was named.
ABOUT = ("hurts", "late", "out", "return", "feel:sore", "no")
#: After hurting, the one clear yes.
LET_IN = ("let-in", "no")
#: While timers stand.
STANDING = ("resume", "finish")
#: Seconds for which the leader may think before telling it.
THINK = 12.0
#: And before timers run on: until the course of standing still ends it.
THINK_LONG = 600.0
#: Numbers that can be called.
NUMBERS = range(1, 31)
#: Answer keys that need no window of their own: after the address word, or by a key.
ADDRESSED: tuple[str, ...] = (
    "next", "stay", "more-time:2", "again", "where", "resume", "finish", "undo",
    *(f"person:{number}" for number in NUMBERS),
)  # fmt: skip
#: Answers of one person alone whose phrases stand for people here: the first focus is number one.
_FIRST = {f"focus:{number}": f"person:{number}" for number in (1, 2, 3)}
ANY_TIME: tuple[str, ...] = (*ADDRESSED, *ANYTIME)


def who_of(people: Iterable[int]) -> tuple[str, ...]:
    """The answers to "who is it?": everybody by number."""
    return tuple(f"person:{who}" for who in people)


def answers_to(question: str) -> tuple[str, ...]:
    """The answers to a question of the rules."""
    return QUESTIONS[question].answers


def heard_from(language: Language, names: Mapping[int, str]) -> Language:
    """The pack as a leader is heard: people by number, and these by name as well."""
    answers = {key: phrases for key, phrases in language.answers.items() if key not in _FIRST}
    for focus, person in _FIRST.items():
        answers[person] = (*language.answers.get(focus, ())[:1], *answers.get(person, ()))
    for who, name in names.items():
        answers[f"person:{who}"] = (*answers.get(f"person:{who}", ())[:1], name)
    return replace(language, answers=answers)
