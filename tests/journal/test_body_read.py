"""What is read of a body from the whole journal comes to the same as reading every event of it.

The judge decodes all that was ever recorded; the program leaves out what can't matter.
"""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random

import pytest

from coach.journal import Journal
from coach.journal.body_statements import Before, end, signs_of, told_by
from coach.journal.codec import Recorded
from coach.journal.deletion import delete_session
from coach.journal.persons import person_of, sessions_of
from coach.journal.transfer import Whole, put_all, wholes
from coach.model.body import Feel, Part
from coach.model.facts import TAKEN_BACK, Felt, SignTold
from coach.model.person import Person
from coach.record.people import Someone
from coach.record.standing import JournalPlace, Told, eased, standing
from coach.session.events import KeyClaimed, TimePassed
from tests.journal.made import start

FIRST = datetime(2026, 3, 3, 18, 0, tzinfo=UTC)
TODAY = date(2026, 3, 20)
ADA, BO = Person(1, "Ada"), Person(2, "Bo")
PARTS = (Part.FINGERS, Part.WRISTS, Part.HEAD)
CLAIMS = ("well:fingers", "cleared:wrists", "cleared:head", "reading:48.1", "well:fever")


def _session(chance: Random, number: int) -> Whole:
    wrong = chance.choice([0] * 8 + [-3, 3, 400])
    begun = FIRST + timedelta(days=number + wrong, hours=chance.choice([0, 0, 2]))
    people = chance.choice([(ADA,), (Person(1),), (ADA, BO), (Person(1, "Bo"), Person(2, "Ada"))])
    recorded = []
    for seq in range(1, chance.randint(1, 6)):
        who, at = chance.randint(0, len(people)), float(seq)
        event: KeyClaimed | TimePassed = TimePassed(at)
        facts: tuple[Felt | SignTold, ...] = ()
        drawn = chance.random()
        if drawn < 0.15:
            event = KeyClaimed(at, chance.choice(CLAIMS), who)
        elif drawn < 0.3:
            sign = chance.choice([("pop", Part.FINGERS), ("fever", None), ("dizzy", Part.HEAD)])
            facts = (SignTold(at, who, *sign),)
        else:
            feel = chance.choice([Feel.SORE, Feel.SORE, Feel.FINE, Feel.HURTING, Feel.STIFF])
            gate = chance.choice(["", "", "gate-fingers", TAKEN_BACK])
            facts = (Felt(at, who, chance.choice(PARTS), feel, None, gate),)
        recorded.append(Recorded(seq, begun.isoformat(), event, facts))
    before = f"{number - 1:08}" if number and chance.random() < 0.9 else ""
    how = chance.choice(["done", "done", "ended", None])
    return Whole(f"{number:08}", before, start(begun.isoformat(), people), how, tuple(recorded))


def _filled(path: Path, chance: Random) -> Journal:
    """A journal with sessions in any order, some deleted, some sealed, with statements between."""
    journal = Journal.open(path, write=True)
    sessions = [_session(chance, number) for number in range(chance.randint(1, 9))]
    chance.shuffle(sessions)
    put_all(journal, sessions)
    for row in journal.sessions():
        if row.how and chance.random() < 0.5:
            journal.seal(row.id)
    if chance.random() < 0.3:
        delete_session(journal, chance.choice(journal.sessions()).id, FIRST)
    if chance.random() < 0.3:
        someone = person_of(journal, chance.choice([ADA, BO]))
        end(journal, someone, chance.choice(CLAIMS[:3]), FIRST + timedelta(days=4))
    return journal


def _all_told(journal: Journal, someone: Someone) -> Iterator[Told]:
    numbers = sessions_of(journal, someone)
    for row in journal.sessions(twins=True):
        begun = datetime.fromisoformat(row.begun)
        if row.id not in numbers:
            continue
        mine, instant = (0, numbers[row.id]), begun.timestamp()
        for one in journal.recorded(row.id):
            if isinstance(one.event, KeyClaimed) and one.event.who in mine:
                place = JournalPlace(row.id, one.seq, instant)
                yield Told(place, begun.date(), one.event.claim)
            for fact in one.facts:
                if isinstance(fact, Felt | SignTold) and fact.who in mine:
                    place = JournalPlace(row.id, one.seq, instant, fact.at)
                    yield Told(place, begun.date(), fact)


@pytest.mark.parametrize("seed", range(6))
def test_it_comes_to_the_same_as_reading_everything(tmp_path: Path, seed: int) -> None:
    for n in range(12):
        with _filled(tmp_path / f"{n}.db", Random(100 * seed + n)) as journal:
            # once more in a journal of its own, merged in another order
            with Journal.open(tmp_path / f"{n}-merged.db", write=True) as other:
                put_all(other, reversed(list(wholes(journal))))
                for somebody in (ADA, BO, Person(1)):
                    _compare(other, person_of(other, somebody), None)
            for somebody in (ADA, BO, Person(1)):
                someone = person_of(journal, somebody)
                _compare(journal, someone, None)
                for row in journal.sessions():
                    begun = datetime.fromisoformat(row.begun).timestamp()
                    _compare(journal, someone, JournalPlace(row.id, 0, begun))


def _compare(journal: Journal, someone: Someone, last: JournalPlace | None) -> None:
    read, before = told_by(journal, someone), Before(journal)
    between = [one for one in read if one.place.session < 0]
    every = [*_all_told(journal, someone), *between]
    assert set(read) <= set(every)
    stands = standing(every, before)
    assert standing(read, before) == stands
    assert eased(read, before, last, TODAY) == eased(every, before, last, TODAY)
    signs = {(one.day, one.sign, one.part) for one in stands if one.sign}
    told = [
        one.what
        for one in every
        if isinstance(one.what, SignTold) and (one.day, one.what.sign, one.what.part) in signs
    ]
    assert list(signs_of(journal, someone)) == told


def test_what_is_fine_after_a_clock_was_set_back_ends_a_soreness(journal: Journal) -> None:
    walls = [FIRST + timedelta(days=2000), FIRST]
    for number, (begun, feel) in enumerate(zip(walls, [Feel.SORE, Feel.FINE], strict=True)):
        session = journal.begin(start(begun.isoformat()), f"{number:08}")
        journal.commit(session, TimePassed(1.0), [Felt(1.0, 1, Part.FINGERS, feel)], begun)
        journal.close_session(session, "done")

    assert standing(told_by(journal, person_of(journal, Person(1))), Before(journal)) == ()


def test_of_ten_years_that_feel_fine_little_is_read(journal: Journal) -> None:
    sessions = []
    for number in range(40):
        begun = FIRST + timedelta(days=number)
        feel = Feel.SORE if number == 30 else Feel.FINE
        facts = (Felt(1.0, 1, Part.FINGERS, feel), Felt(1.0, 1, Part.WRISTS, Feel.FINE))
        one = Recorded(1, begun.isoformat(), TimePassed(1.0), facts)
        before = f"{number - 1:08}" if number else ""
        sessions.append(Whole(f"{number:08}", before, start(begun.isoformat()), "done", (one,)))
    put_all(journal, sessions)

    told = told_by(journal, person_of(journal, Person(1)))

    assert [one.day for one in told] == [(FIRST + timedelta(days=n)).date() for n in range(30, 40)]
