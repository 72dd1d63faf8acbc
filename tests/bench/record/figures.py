"""Every figure of every panel over many real sessions, counted again by the judge."""

import tempfile
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from datetime import datetime
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from random import Random

from coach.journal import Journal
from coach.journal.lines import export
from coach.journal.transfer import Whole, put_all
from coach.record.periods import PeriodLength
from tests.record import real
from tests.record.invented import session
from tests.record.test_recount import compared

NAMES = ("", "Runa", "Osk", "Tarn")


def figures(number: int, processes: int, first: int) -> Counter[str]:
    """So many different sessions: alone, pairs, groups, rests; by every length of period."""
    begins = list(zip(range(first, first + number), real.evenings(Random(1)), strict=False))
    asked = [(name, by) for name in NAMES for by in PeriodLength]
    found: Counter[str] = Counter()
    with (
        tempfile.TemporaryDirectory() as name,
        ProcessPoolExecutor(processes, get_context("spawn")) as pool,
    ):
        folder = Path(name)
        with Journal.open(folder / "journal.db", write=True) as journal:
            put_all(journal, pool.map(_ran, begins, chunksize=4))
            found["sessions"] = len(journal.sessions())
            found.update(f"sessions, {kind}" for kind in map(_kind, range(first, first + number)))
            journal.db.execute("VACUUM")
            journal.db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            with (folder / "journal.jsonl").open("w", encoding="utf-8") as to:
                export(journal, to)
        found["bytes a session"] = (folder / "journal.db").stat().st_size // number
        for told in pool.map(partial(_compared, folder), asked):
            found += told
    return found


def _ran(given: tuple[int, datetime]) -> Whole:
    seed, begun = given
    return session(real.day(seed), begun, f"{seed:08}")


def _kind(seed: int) -> str:
    return Random(seed).choice(real.KINDS)


def _compared(folder: Path, asked: tuple[str, PeriodLength]) -> Counter[str]:
    counts: Counter[str] = Counter()
    wrong = list(compared(folder, *asked, counts))
    return counts + Counter(f"WRONG {asked[0]} by {asked[1]}: {line}" for line in wrong)
