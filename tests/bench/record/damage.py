"""Bits flipped in a sealed journal, and the file cut short: found out, and what is saved."""

from collections import Counter
from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

from coach.errors import JournalError
from coach.journal import Journal, SessionId
from coach.journal.corrections import fix
from coach.journal.deletion import delete_session
from coach.journal.journal_checks import verify
from coach.journal.kept_aims import add_aim
from coach.journal.persons import known_people, rename
from coach.journal.rescue import rescue
from coach.journal.transfer import put
from coach.model.aim import Aim, AimKind
from tests.journal.content import beside, content
from tests.record import real
from tests.record.invented import session

NOW = datetime(2026, 3, 3, 18, 0, tzinfo=UTC)
SESSIONS = 6
#: One of each kind, the short ones more than once: what is read again and again is small.
KINDS = ("rests", "rests-pair", "rests", "alone", "group", "rests-pair", "rests")


def fill(path: Path) -> list[object]:
    """A journal of every kind of session, with something of all else; what it holds."""
    with Journal.open(path, write=True) as journal:
        for seed, kind in enumerate(KINDS[-SESSIONS - 1 :], 1):
            begun = real.FIRST + timedelta(days=3 * seed)
            put(journal, session(real.day(seed, kind), begun, f"{seed:08}"))
        delete_session(journal, SessionId(SESSIONS + 1), NOW)
        fix(journal, SessionId(1), NOW, "effort 1", 9)
        fix(journal, SessionId(2), NOW, "begun", (real.FIRST + timedelta(days=5)).isoformat())
        rename(journal, known_people(journal).people[0], "Lena", NOW)
        add_aim(journal, Aim("aim-1", AimKind.GRADE, "7A", "", 0.0))
        journal.db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        return _held(journal)


def _held(journal: Journal) -> list[object]:
    return [content(journal), *beside(journal)]


def _harmed(
    folder: Path, numbers: Sequence[int], harm: Callable[[bytes, Random], bytes]
) -> Counter[str]:
    path = folder / "journal.db"
    held = fill(path)
    whole = path.read_bytes()
    found: Counter[str] = Counter()
    other, saved = folder / "harmed.db", folder / "saved.db"
    for number in numbers:
        other.write_bytes(harm(whole, Random(number)))
        found["harmed"] += 1
        try:
            good = verify(other).whole
        except JournalError:
            good = False
        if not good:
            found["found out"] += 1
            found["sessions asked for"] += SESSIONS
            found["sessions saved"] += _rescued(other, saved)
        elif _reads_alike(other, held):
            found["harmless"] += 1
        else:
            found["WRONG: undetected"] += 1
        for file in (*folder.glob("harmed.db*"), *folder.glob("saved.db*")):
            file.unlink()
    return found


def _reads_alike(path: Path, held: list[object]) -> bool:
    with Journal.open(path, write=False) as journal:
        return _held(journal) == held


def _rescued(damaged: Path, to: Path) -> int:
    try:
        with Journal.open_damaged(damaged) as source, Journal.open(to, write=True) as into:
            saved = rescue(source, into).whole
    except JournalError:
        return 0
    assert verify(to).whole
    return saved


def _flipped(whole: bytes, chance: Random) -> bytes:
    spoilt = bytearray(whole)
    spoilt[chance.randrange(len(whole))] ^= 1 << chance.randrange(8)
    return bytes(spoilt)


def flips(folder: Path, numbers: Sequence[int]) -> Counter[str]:
    """One bit of the file."""
    return _harmed(folder, numbers, _flipped)


def cuts(folder: Path, numbers: Sequence[int]) -> Counter[str]:
    """The file cut short, anywhere."""
    return _harmed(folder, numbers, lambda whole, chance: whole[: chance.randrange(len(whole))])
