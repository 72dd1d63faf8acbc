"""A child process that commits without pause and says so after each commit.

Run as `python -m tests.journal.committer JOURNAL COUNT [SYNCHRONOUS]`; prints 'ack SEQ'.
"""

import itertools
import sys
from datetime import UTC, datetime
from pathlib import Path

from coach.journal import Journal
from coach.model.facts import Rested
from coach.session.events import TimePassed
from tests.journal.made import start


def main(path: str, count: str, synchronous: str = "") -> None:
    """Commit COUNT events (0: until killed)."""
    journal = Journal.open(Path(path), write=True)
    if synchronous:
        journal.db.execute(f"PRAGMA synchronous = {synchronous}")
    running = journal.unfinished()
    session = running.id if running else journal.begin(start())
    turns = range(int(count)) if int(count) else itertools.count()
    for turn in turns:
        facts = [Rested(turn, 0, 60.0, 90.0, f"hard.{n}.rest") for n in range(turn % 4)]
        seq = journal.commit(session, TimePassed(float(turn)), facts, datetime.now(UTC))
        print(f"ack {seq};", flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
