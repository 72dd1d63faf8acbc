"""Imports of spoilt files: no traceback, and all of it or nothing."""

from pathlib import Path
from random import Random

from coach.errors import JournalError
from coach.journal import Journal, lines
from coach.journal.journal_checks import sums
from tests.journal.mutated import mutated
from tests.record import real

#: In the tests; the bench tries 10,000 (`python -m tests.bench.record imports`).
TRIES = 200


def spoilt(folder: Path, tries: int, seed: int) -> dict[str, int]:
    """Import so many spoilt exports; how many were taken, refused, or named as damaged."""
    with Journal.open(folder / "one.db", write=True) as journal:
        real.put(journal, real.day(20, "rests"), real.FIRST, "first")
        with (folder / "one.jsonl").open("w", encoding="utf-8") as to:
            lines.export(journal, to)
    text = (folder / "one.jsonl").read_text("utf-8")
    chance = Random(seed)
    counts = {"taken": 0, "refused": 0, "damaged": 0}
    path = folder / "spoilt.jsonl"
    with Journal.open(folder / "into.db", write=True) as into:
        for _ in range(tries):
            spoil = mutated(text, chance).encode("utf-8", "surrogatepass")
            path.write_bytes(spoil)
            before = into.rows("SELECT count(*), total(length(body)) FROM seal")
            try:
                wrong = lines.read(path, into).wrong
            except JournalError:
                counts["refused"] += 1
                assert into.rows("SELECT count(*), total(length(body)) FROM seal") == before
                continue
            if wrong:
                counts["damaged"] += 1
                assert "line " in wrong
                assert into.rows("SELECT count(*), total(length(body)) FROM seal") == before
            else:
                counts["taken"] += 1
    assert sums(folder / "into.db") == ()
    return counts


def test_spoilt_files_are_taken_whole_or_not_at_all(tmp_path: Path) -> None:
    counts = spoilt(tmp_path, TRIES, 5)
    assert sum(counts.values()) == TRIES
    assert counts["damaged"] > TRIES / 4
