"""An invented climber's sessions at an invented hall, each run by the real core.

`python -m tests.record.invented JOURNAL` writes a year of them. Nobody did any of it: what is said
in them is drawn (`tests.record.real`), what came of it is the program's own.
"""

import random
import sys
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from zoneinfo import ZoneInfo

from coach.files.library import load_library
from coach.journal import Journal
from coach.journal.codec import Recorded
from coach.journal.transfer import Whole, put_all
from coach.model.day import Library
from tests.record import real

FIRST = datetime(2025, 1, 6, 18, 30, tzinfo=ZoneInfo("Europe/Vienna"))
#: Days that are run; later ones are the same days again, on other dates.
DIFFERENT = 24


@cache
def library() -> Library:
    """The shipped catalogue at the invented hall of the examples."""
    return load_library("full", "tarnwick", ())


def days(weeks: float, chance: random.Random) -> Iterator[datetime]:
    """When the sessions begin: two or three most weeks, with a holiday."""
    for week in range(round(weeks)):
        if 0.6 < week / max(weeks - 1, 1) < 0.64:
            continue
        for day in chance.choice([(0, 3), (1, 3), (0, 2, 5), (2,), (1, 4), (0, 3, 5)]):
            yield FIRST + timedelta(days=7 * week + day, minutes=chance.randint(-30, 60))


def session(ran: real.Ran, begun: datetime, uid: str) -> Whole:
    """A day that was run, as if it had begun then."""
    first = ran.committed[0][2]
    recorded = tuple(
        Recorded(seq, (begun + (wall - first)).isoformat(), event, facts)
        for seq, (event, facts, wall) in enumerate(ran.committed, 1)
    )
    return Whole(uid, "", replace(ran.start, wall=begun.isoformat()), ran.how, recorded)


def sessions(weeks: float = 52, seed: int = 1, different: int = DIFFERENT) -> list[Whole]:
    """The whole story, the earliest first; the same for the same seed."""
    chance = random.Random(seed)
    return [
        session(
            real.day(seed * 1000 + n % different, "alone"), begun, f"{chance.getrandbits(128):032x}"
        )
        for n, begun in enumerate(days(weeks, chance))
    ]


def main(path: str, weeks: str = "52") -> None:
    """Write the story into a journal."""
    with Journal.open(Path(path), write=True) as journal:
        counts = put_all(journal, sessions(float(weeks), different=1000))
    print(", ".join(f"{count} {outcome}" for outcome, count in counts.items()))


if __name__ == "__main__":
    main(*sys.argv[1:])
