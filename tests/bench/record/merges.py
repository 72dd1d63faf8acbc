"""Three journals that share sessions, with deletions and corrections between, in all orders."""

import shutil
from collections import Counter
from collections.abc import Sequence
from contextlib import ExitStack
from datetime import UTC, datetime, timedelta
from itertools import permutations
from pathlib import Path
from random import Random

from coach.journal import Journal, SessionId
from coach.journal.corrections import fix
from coach.journal.deletion import delete_person, delete_session
from coach.journal.journal_checks import verify
from coach.journal.persons import known_people
from coach.journal.transfer import merge, put
from tests.journal.content import beside, content
from tests.record import real
from tests.record.invented import session

NOW = datetime(2026, 3, 3, 18, 0, tzinfo=UTC)
#: Sessions that the three draw from: short ones, of one and of two people.
POOL = 8


def _add(journal: Journal, seed: int, chance: Random) -> None:
    """One of the pool; now and then only its beginning, as if it went on elsewhere."""
    kind = ("rests", "rests-pair")[seed % 2]
    one = session(real.day(seed, kind), real.FIRST + timedelta(days=seed), f"uid-{seed}")
    if chance.random() < 0.3:
        cut = chance.randrange(1, len(one.recorded))
        one = type(one)(one.uid, one.previous, one.start, None, one.recorded[:cut])
    put(journal, one)


def _something(journal: Journal, chance: Random, at: datetime) -> None:
    """A session, a deletion, or a correction."""
    there = [row.id for row in journal.sessions()]
    drawn = chance.random()
    if drawn < 0.6 or not there:
        _add(journal, chance.randrange(POOL), chance)
    elif drawn < 0.75:
        delete_session(journal, SessionId(chance.choice(there)), at)
    elif drawn < 0.85:
        people = known_people(journal).people
        if people:
            delete_person(journal, chance.choice(people), at)
    else:
        field, value = chance.choice(
            [("effort 1", chance.randrange(11)), ("name 1", "Tarn"), ("place", "Old Sluice"),
             ("begun", (real.FIRST + timedelta(days=chance.randrange(90))).isoformat())]
        )  # fmt: skip
        fix(journal, SessionId(chance.choice(there)), at, field, value)


def merges(folder: Path, numbers: Sequence[int]) -> Counter[str]:
    """So many times three journals, merged in six orders; each must come out the same."""
    found: Counter[str] = Counter()
    for number in numbers:
        chance = Random(number)
        with ExitStack() as stack:
            made = []
            for which in range(3):
                opened = Journal.open(folder / f"{number}-{which}" / "journal.db", write=True)
                made.append(stack.enter_context(opened))
            for n in range(chance.randint(6, 15)):
                _something(chance.choice(made), chance, NOW + timedelta(hours=n))
            held = {}
            for order in permutations(range(3)):
                path = folder / f"{number}-{''.join(map(str, order))}" / "journal.db"
                with Journal.open(path, write=True) as into:
                    for which in (*order, order[0]):
                        merge(into, made[which])
                        if chance.random() < 0.2:
                            merge(made[which], into)
                    for which in order:
                        merge(into, made[which])
                    held[order] = (content(into), str(beside(into)))
                found["WRONG: not whole"] += not verify(path).whole
            found["merges"] += len(held)
            found["WRONG: other content"] += len({text for text, _ in held.values()}) - 1
            found["WRONG: other people or numbers"] += len({text for _, text in held.values()}) - 1
        for each in folder.iterdir():
            shutil.rmtree(each)
    return found
