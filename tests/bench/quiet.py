"""What hard tries cost in questions and speech: `python -m tests.bench.quiet 300`.

Blocks of rests and tries of one to three people on boulders that are about something. One says
"down" and answers what is asked, one tells at once where it ended and why, one answers half of the
questions, one none. Questions about a try are counted each time that they are said. A second number
is the first block. Goals: one question a try on average at most, the median 1 at most, and under a
fifth of the time spoken.
"""

import sys
from collections import defaultdict
from functools import cache
from random import Random
from statistics import median
from typing import Any

from coach.files.library import load_library
from coach.model.day import Library
from coach.model.key_moves import CAUSES, KEY_MOVES
from coach.model.person import AgeBand, Person
from coach.model.tries import Boulder
from docs.tries import asked_by_try, speech_share
from tests.climber import Pace, rehearsed

WAYS = ("answers", "tells at once", "answers half", "silent")
_ENDS = ("ended-start", "ended-middle", "ended-top")
ABOUT = ("try-result", "try-cause", "try-effort", "went-for-it", "after-top", "own-view")


@cache
def rests() -> Library:
    """The routine of rests and tries alone."""
    return load_library("rests", "tarnwick")


def block(number: int, way: str) -> tuple[list[int], float]:
    """Questions after each try of a random block, and the part of its time that was spoken."""
    dice = Random(f"{way}-{number}")
    people = tuple(
        Person(who, age=AgeBand.ADULT) for who in range(1, dice.choice((1, 1, 2, 3)) + 1)
    )
    boulders = tuple(
        (
            one.who,
            Boulder(f"flint {one.who}", moves=9, about=dice.choice(("", *KEY_MOVES)), key_at=5),
        )
        for one in people
    )
    heard: set[tuple[str, int]] = set()

    def also(s: Any, now: float) -> str | None:
        """At once where it ended, and sometimes why."""
        running = s.course.running
        trying = running is not None and running.step.kind.value == "try" and running.since
        if way != "tells at once" or not trying or s.window is None:
            return None
        key = (running.step.name, s.window.number)
        moves = [one for one in s.window.answers if one.startswith("move:")]
        if key in heard or not moves or now < running.since + 20.0:
            return None
        heard.add(key)
        return str(dice.choice(moves))

    answers = {
        "try-result": dice.choice((*_ENDS, "topped")),
        "try-cause": f"cause:{dice.choice(CAUSES)}",
        "try-effort": dice.choice(("felt-harder", "felt-same")),
        "after-top": "same",
        "own-view": "no",
    }
    if way in ("answers half", "silent"):
        mute = [key for key in ABOUT if way == "silent" or dice.random() < 0.5]
        answers |= dict.fromkeys(mute, "nothing")
    day = rehearsed(
        60.0,
        Pace(hard=dice.uniform(10, 60)),
        people=people,
        library=rests(),
        answers=answers,
        also=also,
        boulders=boulders,
    )
    return asked_by_try(day), speech_share(day)  # type: ignore[arg-type]


def main(blocks: int, first: int = 0) -> int:
    """Print what each way costs; how many blocks speak a fifth of their time or more."""
    every: dict[str, list[int]] = defaultdict(list)
    shares: dict[str, list[float]] = defaultdict(list)
    for number in range(first, first + blocks):
        way = WAYS[number % len(WAYS)]
        asked, share = block(number, way)
        every[way] += asked
        shares[way].append(share)
    print("way            tries  questions a try  median  speech, median and most")
    for way in WAYS:
        found, part = every[way] or [0], shares[way] or [0.0]
        print(
            f"{way:13}  {len(found):5}  {sum(found) / len(found):15.2f}  {median(found):6g}  "
            f"{median(part):.1%}, {max(part):.1%}"
        )
    loud = sum(share >= 0.2 for part in shares.values() for share in part)
    mean = {way: sum(one) / max(len(one), 1) for way, one in every.items()}
    wrong = sum(by > 1.0 for by in mean.values()) + sum(median(o) > 1 for o in every.values() if o)
    print(f"{blocks} blocks, {loud} of them speak a fifth or more, {wrong} ways ask too much")
    return loud + wrong


if __name__ == "__main__":
    given = [int(one) for one in sys.argv[1:] if one.isdigit()]
    sys.exit(bool(main(*(given or [300]))))
