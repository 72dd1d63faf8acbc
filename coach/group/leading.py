"""What the leader may say: in which window and for how long, and what at any time."""

from dataclasses import replace

from coach.language import Language
from coach.model.answers import ANYTIME

#: In the window after a cue.
LEADING = ("next", "stay", "more-time:2", "again", "where")
#: What may be told of somebody who was named.
ABOUT = ("hurts", "late", "out", "return", "feel:sore", "no")
#: After hurting, the one clear yes.
LET_IN = ("let-in", "no")
#: While timers stand.
STANDING = ("resume", "finish")
#: Seconds for which the leader's answers count after a cue; later the address word or a key.
OPEN_FOR = 20.0
#: Seconds for which the leader may think before telling it.
THINK = 12.0
#: And before timers run on.
THINK_LONG = 600.0
#: Numbers that can be called.
NUMBERS = range(1, 31)
#: Answer keys that need no window of their own: after the address word, or by a key.
ADDRESSED: tuple[str, ...] = (
    "next", "stay", "more-time:2", "again", "where", "resume", "finish",
    *(f"person:{number}" for number in NUMBERS),
)  # fmt: skip
#: Answers of one person alone whose phrases stand for people here: the first focus is number one.
_FIRST = {f"focus:{number}": f"person:{number}" for number in (1, 2, 3)}
ANY_TIME: tuple[str, ...] = (*ADDRESSED, *ANYTIME)


def heard_from(language: Language, names: dict[int, str]) -> Language:
    """The pack as a leader is heard: people by number, and these by name as well."""
    answers = {key: phrases for key, phrases in language.answers.items() if key not in _FIRST}
    for focus, person in _FIRST.items():
        answers[person] = (*language.answers.get(focus, ())[:1], *answers.get(person, ()))
    for who, name in names.items():
        answers[f"person:{who}"] = (*answers.get(f"person:{who}", ())[:1], name)
    return replace(language, answers=answers)
