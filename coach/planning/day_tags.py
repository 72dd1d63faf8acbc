"""What can be told of a day besides how parts feel: tags, set at the check-in by key or option.

Owns the list. `Day.told` holds who and tag; the rules of `coach.planning.rules.opening` and
others look at them.
"""

from collections.abc import Iterable
from difflib import get_close_matches

from coach.errors import UsageError
from coach.model.body import Part

#: Head of the tags that say how many hard tries there are at most, and the most that one says.
TRIES, MOST_TRIES = "tries:", 9
#: The tag of a longer warm-up.
LONG_WARM_UP = "long-warm-up"
#: What tells of a day that more load is unwise, whatever the parts feel like.
WEARY = frozenset({"tired", "short-of-sleep", "hard-yesterday", "break:holiday"})
#: Tag -> what it means, as help and documents show it.
TOLD: dict[str, str] = {
    "short-of-sleep": "slept little or badly",
    "tired": "tired all over, or the head is",
    "hard-yesterday": "a hard session yesterday",
    "break": "back after a break, the reason not told",
    "break:holiday": "back after a break: holiday or work",
    "break:illness": "back after an illness",
    "break:injury": "back after an injury",
    "break:birth": "back after giving birth",
    "late": "came late",
    "crowded": "the place is crowded",
    "cold": "the place is cold",
    "morning": "it is early in the morning",
    "over-50": "over 50 years old",
    LONG_WARM_UP: "a longer warm-up is wanted",
    "no-partner": "nobody else is there",
    "high-or-leaping": "the hard boulder is high, or leaps",
    "edge:low": "today's edge check is below one's own usual",
    "ill": "symptoms of an illness within the last seven days",
    "sign:untold": "a warning sign of an earlier day, of a part that nobody told",
    "well:all": "well again: the first day with load",
    **{f"well:{part}": f"well again: the first day with load on the {part}" for part in Part},
}
#: And the same for a number of hard tries that is wanted at most.
WANTED = {f"{TRIES}{n}": f"at most {n} hard tries are wanted" for n in range(MOST_TRIES + 1)}
TAGS = TOLD | WANTED


def check(told: Iterable[tuple[int, str]]) -> tuple[tuple[int, str], ...]:
    """The tags, each once; UsageError with the nearest name for one that is not known."""
    found: list[tuple[int, str]] = []
    for who, tag in told:
        if tag not in TAGS:
            nearest = get_close_matches(tag, TAGS, n=1, cutoff=0.0)[0]
            raise UsageError(f"nothing is told by {tag!r}", f"the nearest is {nearest!r}")
        if (who, tag) not in found:
            found.append((who, tag))
    return tuple(found)
