"""Campaigns on the record: `python -m tests.bench.record recount|flips|imports|kills [NUMBER]`.

recount: every figure of every panel over so many real sessions, counted again by the judge. flips:
bits flipped in a sealed journal, found out or harmless, and what rescue saves. imports: spoilt
files. kills: a process that seals, deletes, merges and backs up, ended at any moment.
"""

import os
import signal
import sys
import tempfile
import time
from datetime import UTC, date, datetime
from pathlib import Path
from random import Random

from coach.errors import JournalError
from coach.journal import Journal, SessionId, rolling
from coach.journal.deletion import delete_session
from coach.journal.lines import export
from coach.journal.rescue import rescue
from coach.journal.transfer import merge, put_all
from coach.journal.verify import verify
from coach.record.periods import Span
from tests.journal.test_mutated_imports import spoilt
from tests.record import real
from tests.record.invented import session
from tests.record.test_recount import compared


def recount(folder: Path, number: int) -> str:
    """So many different real sessions, every panel, by month, quarter and year."""
    begins = zip(range(number), real.evenings(Random(1)), strict=False)
    with Journal.open(folder / "journal.db", write=True) as journal:
        put_all(journal, (session(real.day(n), begun, f"{n:08}") for n, begun in begins))
        journal.db.execute("VACUUM")
        journal.db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        with (folder / "journal.jsonl").open("w", encoding="utf-8") as to:
            export(journal, to)
    size = (folder / "journal.db").stat().st_size / number
    wrong = [
        line
        for name in ("", "Runa", "Osk", "Tarn")
        for by in (Span.MONTH, Span.QUARTER, Span.YEAR)
        for line in compared(folder, name, by)
    ]
    return f"{number} sessions, {size / 1000:.1f} kB each: {len(wrong)} figures differ {wrong[:3]}"


def flips(folder: Path, number: int) -> str:
    """Single bits of a sealed journal of twelve sessions."""
    path = folder / "journal.db"
    with Journal.open(path, write=True) as journal:
        real.fill(journal, 12, 12)
        journal.db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        held = [list(journal.events(row.id)) for row in journal.sessions()]
    whole, chance = path.read_bytes(), Random(1)
    found = harmless = undetected = saved = asked = 0
    for n in range(number):
        spoilt_ = bytearray(whole)
        spoilt_[chance.randrange(len(whole))] ^= 1 << chance.randrange(8)
        other = folder / f"flipped-{n}.db"
        other.write_bytes(spoilt_)
        try:
            good = verify(other).whole
        except JournalError:
            good = False
        if good:
            with Journal.open(other, write=False) as journal:
                alike = [list(journal.events(row.id)) for row in journal.sessions()] == held
            harmless, undetected = harmless + alike, undetected + (not alike)
        else:
            found += 1
            asked += 12
            saved += _rescued(other, folder / f"saved-{n}.db")
        for file in folder.glob(f"*-{n}.db*"):
            file.unlink()
    return (
        f"{number} flips: {found} found, {harmless} harmless, {undetected} undetected; "
        f"rescued {saved} of {asked} sessions"
    )


def _rescued(damaged: Path, to: Path) -> int:
    try:
        with Journal.open_damaged(damaged) as source, Journal.open(to, write=True) as into:
            return rescue(source, into).whole
    except JournalError:
        return 0


def kills(folder: Path, number: int) -> str:
    """A child that works on a journal of its own and is killed; what was acknowledged is there."""
    lost = unsound = 0
    chance = Random(2)
    for n in range(number):
        place = folder / f"kill-{n}"
        place.mkdir()
        ready, told = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(ready)
            _work(place, told, n)
            os._exit(0)
        os.close(told)
        os.read(ready, 1)
        time.sleep(chance.uniform(0.0, 1.5))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        acknowledged = b""
        while some := os.read(ready, 65536):
            acknowledged += some
        os.close(ready)
        with Journal.open(place / "journal.db", write=True) as journal:
            uids = {row.uid for row in journal.sessions()}
        kept, gone = set(), set()
        for word in acknowledged.decode().split(";"):
            if word.startswith("+"):
                kept.add(word[1:])
            elif word.startswith("-"):
                gone.add(word[1:])
        lost += len(kept - gone - uids) + len(gone & uids)
        unsound += not verify(place / "journal.db").whole
    return f"{number} kills: {lost} acknowledged lost or back, {unsound} journals not whole"


def _work(place: Path, told: int, seed: int) -> None:
    """Sessions, a merge, a deletion, a backup, over and over."""
    with Journal.open(place / "other.db", write=True) as other:
        real.put(other, real.day(20, "rests"), real.FIRST, "merged")
        with Journal.open(place / "journal.db", write=True) as journal:
            os.write(told, b"!")
            for n in range(1000):
                added = real.put(journal, real.day(20, "rests"), real.FIRST, f"s{n}")
                os.write(told, f"+s{n};".encode())
                merge(journal, other)
                os.write(told, b"+merged;")
                if n % 2:
                    delete_session(journal, SessionId(added), datetime.now(UTC))
                    os.write(told, f"-s{n};".encode())
                rolling.roll(journal.path, date(2026, 1, 1 + (n + seed) % 28))


def main(what: str, number: str = "0") -> None:
    """Run one campaign and print its figures."""
    usual = {"recount": 300, "flips": 1000, "imports": 10_000, "kills": 1000}
    times = int(number) or usual[what]
    began = time.monotonic()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        if what == "imports":
            told = f"{times} spoilt imports: {spoilt(folder, times, 7)}"
        else:
            told = {"recount": recount, "flips": flips, "kills": kills}[what](folder, times)
    print(f"{told} ({time.monotonic() - began:.0f} s)")


if __name__ == "__main__":
    main(*sys.argv[1:])
