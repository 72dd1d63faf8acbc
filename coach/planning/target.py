"""The target: by which minute the first hard try is meant to come, and what makes it later.

About half an hour for mat, board, ten easy and five middle boulders is common practice when time
is short; no trial was found for the length of a bouldering warm-up. How it bends with the minutes
of a session, and by how much a day lengthens it, is our choice.
"""

from itertools import pairwise

from coach.model.body import Feel
from coach.model.day import Day
from coach.planning.day_tags import LONG_WARM_UP
from coach.planning.levels import Level

#: Minutes of a session, and the minute by which its first hard try is meant to come; between two
#: of them it bends evenly.
FIRST_TRY = ((45.0, 26.0), (60.0, 30.0), (75.0, 30.0), (90.0, 32.0))
#: What is told of a day -> minutes by which it lengthens the warm-up.
LONGER = {
    LONG_WARM_UP: 10.0,
    # three middle boulders more, or as many as find room
    Level.STRONG.value: 5.0,
    "cold": 4.0,
    "morning": 4.0,
    "over-50": 4.0,
    "stiff": 4.0,
    "tired": 3.0,
    "short-of-sleep": 3.0,
}
#: Minutes by which several reasons together lengthen it at most.
MOST_LONGER = 12.0
#: Seconds in which the plan is told, before the first step.
TELLING = 20.0


def reasons(day: Day) -> tuple[str, ...]:
    """What of this day lengthens the warm-up, each once."""
    told = {tag for _, tag in day.told}
    if any(report.feel is Feel.STIFF for report in day.reports):
        told.add("stiff")
    return tuple(reason for reason in LONGER if reason in told)


def longer(day: Day) -> float:
    """Minutes by which the warm-up is longer today."""
    return min(sum(LONGER[reason] for reason in reasons(day)), MOST_LONGER)


def of_minutes(minutes: float) -> float:
    """The minute by which the first hard try comes in an ordinary session of so many minutes."""
    for (low, at), (high, then) in pairwise(FIRST_TRY):
        if minutes <= high:
            return at + (then - at) * max(minutes - low, 0.0) / (high - low)
    return FIRST_TRY[-1][1]


def seconds(day: Day, now: float) -> float:
    """Seconds from now until the first hard try is meant to come today."""
    minute = of_minutes((day.ends_at - day.begins_at) / 60.0) + longer(day)
    return day.begins_at + minute * 60.0 - now - TELLING
