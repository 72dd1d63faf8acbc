"""A club's gathered tables: many invented climbers under pseudonyms, one folder each.

`python -m tests.exports.club FOLDER [CLIMBERS]` writes them. Nobody in them exists.
"""

import random
import sys
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

from coach.exports.parquet import write_parquet
from coach.exports.tables import ExportedSession
from coach.journal.transfer import Whole
from coach.model.facts import EdgeChecked, Finished, Tried
from tests.record.invented import sessions

NOTES = {"consent": "Invented climbers: nobody had to be asked.", "origin": "invented"}

#: The facts that the club asks its climbers for; the others stay at home.
_ASKED_FOR = (EdgeChecked, Tried, Finished)


def rows(climber: str, wholes: list[Whole]) -> Iterator[ExportedSession]:
    """Sessions of one climber as table rows."""
    for one in wholes:
        every = [fact for recorded in one.recorded for fact in recorded.facts]
        facts = tuple(fact for fact in every if isinstance(fact, _ASKED_FOR))
        ended = every[-1]
        yield ExportedSession(
            climber,
            f"{climber}-{one.uid}",
            datetime.fromisoformat(one.start.wall),
            one.start.routine,
            one.start.library.place.name,
            one.start.minutes,
            getattr(ended, "seconds", 0.0),
            getattr(ended, "effort", None),
            one.how or "",
            facts,
        )


def gather(folder: Path, climbers: int, weeks: int = 4) -> tuple[int, list[float]]:
    """Write a folder of tables for each climber; how many sessions, and the readings."""
    chance = random.Random(3)
    stories = [sessions(weeks, seed) for seed in range(3)]
    total = 0
    readings: list[float] = []
    for number in range(climbers):
        climber = f"climber-{number:04}"
        story = chance.choice(stories)
        told = list(rows(climber, story))
        write_parquet(told, folder / f"export={climber}", NOTES)
        total += len(story)
        checks = (f for one in told for f in one.facts if isinstance(f, EdgeChecked))
        readings += [check.reading for check in checks if check.reading is not None]
    return total, readings


if __name__ == "__main__":
    target = Path(sys.argv[1])
    target.mkdir(exist_ok=True)
    print(gather(target, int(sys.argv[2]) if len(sys.argv) > 2 else 1000)[0], "sessions")
