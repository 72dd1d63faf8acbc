"""What the leader may say at any time, after the address word or by a key."""

from coach.model.answers import ANYTIME

#: Numbers that can be called.
NUMBERS = range(1, 31)
#: Answer keys that need no window of their own.
ADDRESSED: tuple[str, ...] = (
    "next", "stay", "more-time:2", "again", "where", "resume", "finish",
    *(f"person:{number}" for number in NUMBERS),
)  # fmt: skip
ANY_TIME: tuple[str, ...] = (*ADDRESSED, *ANYTIME)
