"""Persons, not names: spellings, climbing alone, stating otherwise, what stands for somebody."""

from datetime import UTC, datetime, timedelta
from itertools import permutations
from pathlib import Path
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.cli import commands, diagnostics
from coach.errors import ExitCode, UsageError
from coach.journal import Journal, SessionId
from coach.journal.body_statements import stands_for
from coach.journal.entries import entries
from coach.journal.persons import (
    apart,
    join,
    known_people,
    person_of,
    rename,
    sessions_of,
)
from coach.journal.transfer import wholes
from coach.model.body import Feel, Part
from coach.model.facts import Fact, Felt, SignTold
from coach.model.person import Person
from coach.record.people import OWN, Attendance, key_of, people
from coach.session.events import KeyClaimed, TimePassed
from tests.journal import older
from tests.journal.made import start
from tests.record.days import MONDAY

NOW = MONDAY


def session(journal: Journal, day: float, *names: str, facts: tuple[Fact, ...] = ()) -> SessionId:
    """A session on a day with these people."""
    wall = MONDAY + timedelta(days=day)
    them = tuple(Person(who, name) for who, name in enumerate(names, 1))
    number = journal.begin(start(wall.isoformat(), them))
    journal.commit(number, TimePassed(1.0), facts, wall)
    journal.close_session(number, "done")
    return number


def claim(journal: Journal, day: float, name: str, what: str) -> None:
    wall = MONDAY + timedelta(days=day)
    number = journal.begin(start(wall.isoformat(), (Person(1, name),)))
    journal.commit(number, KeyClaimed(1.0, what, 1), (), wall)


def ids(journal: Journal) -> list[tuple[str, str, int]]:
    return [(one.id, one.name, one.sessions) for one in known_people(journal).people]


def test_whoever_climbs_alone_is_one_person_however_they_are_spelt(journal: Journal) -> None:
    for day, name in enumerate(("", "Lena", "lena", "Lena ", "LENA", "Lenna")):
        session(journal, day, name)
    (one,) = known_people(journal).people
    assert (one.id, one.sessions) == (OWN, 6)
    assert one.spellings == ("Lena", "lena", "Lena ", "LENA", "Lenna")
    for spelling in ("", "lena", "Lena", "  lEnA", "Lenaa"):
        assert person_of(journal, Person(1, spelling)).id == OWN
        assert len(entries(journal, Person(1, spelling))) == 6


def test_another_name_is_another_person(journal: Journal) -> None:
    session(journal, 0, "Lena")
    session(journal, 1, "Oskar")
    assert [(name, number) for _, name, number in ids(journal)] == [("Lena", 1), ("Oskar", 1)]
    assert person_of(journal, Person(1)).id == OWN == person_of(journal, Person(1, "lena")).id


def test_who_was_seen_with_the_own_person_is_not_the_own_person(journal: Journal) -> None:
    session(journal, 0, "", "Oskar")
    session(journal, 1, "Oskar")
    assert len(entries(journal, Person(1))) == 1
    assert len(entries(journal, Person(1, "Oskar"))) == 2


def test_a_partner_is_known_the_next_time(journal: Journal) -> None:
    first = session(journal, 0, "Lena", "Tarn")
    second = session(journal, 1, "tarn", "Runa")
    tarn = person_of(journal, Person(2, "TARN"), 2)
    assert sessions_of(journal, tarn) == {first: 2, second: 1}


def test_the_nameless_of_a_group_are_nobody_known_again(journal: Journal) -> None:
    session(journal, 0, "", "", "", "")
    session(journal, 1, "", "", "", "Runa")
    assert [name for _, name, _ in ids(journal)] == ["Runa"]


def test_what_is_stated_counts_from_then_on(journal: Journal) -> None:
    session(journal, 0, "Lena", "Tarn")
    session(journal, 1, "Lena", "Tarnie B.")
    tarn, other = (person_of(journal, Person(2, name), 2) for name in ("Tarn", "Tarnie B."))
    assert tarn.id != other.id
    join(journal, tarn, other, NOW)
    tarn = person_of(journal, Person(2, "Tarn"), 2)
    assert tarn.sessions == 2
    rename(journal, tarn, "Tarn Bo", NOW + timedelta(days=1))
    again = known_people(journal).named("tarn bo")
    assert again is not None
    assert (again.id, again.sessions) == (tarn.id, 2)
    with pytest.raises(UsageError, match="another person"):
        rename(journal, again, "Lena", NOW)
    apart(journal, key_of(Person(1, "Tarnie B.")), NOW + timedelta(days=2))
    assert person_of(journal, Person(2, "Tarn"), 2).sessions == 1


def test_an_older_journal_gets_its_people(path: Path) -> None:
    with Journal.open(path, write=True) as journal:
        session(journal, 0, "Lena", "Tarn")
        session(journal, 1, "")
        before = ids(journal)
        older.write(path.with_name("older.db"), wholes(journal))
    with Journal.open(path.with_name("older.db"), write=False) as journal:
        assert ids(journal) == before


keys = st.sampled_from(["", "own", "name:lena", "name:lenna", "name:tarn", "number:2"])
attendances = st.lists(
    st.builds(Attendance, keys, st.sampled_from(["", "Lena"]), st.booleans(), st.booleans()),
    max_size=12,
)


@given(attendances)
def test_everybody_is_exactly_one_person(given_: list[Attendance]) -> None:
    known = people(given_, ())
    held = [key for one in known.people for key in one.keys]
    assert len(held) == len(set(held))
    assert {one.key for one in given_ if one.key} <= set(held)
    assert sum(one.sessions for one in known.people) == sum(bool(one.key) for one in given_)
    assert len({one.id for one in known.people}) == len(known.people)


@pytest.mark.parametrize("seed", range(8))
def test_whoever_took_part_often_is_read_as_if_each_time_were(journal: Journal, seed: int) -> None:
    chance = Random(seed)
    pairs = [("",), ("Lena",), ("Lenna",), ("lena", "Tarn"), ("", "Tarn"), ("Tarn",), ("", "", "")]
    for _ in range(9):
        day = chance.randint(0, 30) + chance.random()
        session(journal, day, *chance.choice(pairs))
    rows = journal.rows(
        "SELECT session, key, name, several FROM attendance JOIN session ON id = session"
        " ORDER BY instant, uid, who"
    )
    owns = {number for number, key, *_ in rows if key == OWN}
    beside = {key for number, key, *_ in rows if number in owns}
    each = [Attendance(key, name, several == 1, key in beside) for _, key, name, several in rows]
    assert known_people(journal) == people(each, ())


# --- what stands -------------------------------------------------------------------------------


def stands(journal: Journal, name: str = "") -> list[tuple[Part | None, str]]:
    someone = person_of(journal, Person(1, name))
    return [(one.part, one.sign or str(one.feel)) for one in stands_for(journal, someone)]


def test_what_hurt_stands_for_the_person_in_any_spelling(journal: Journal) -> None:
    session(journal, 0, "Lena", facts=(Felt(1.0, 1, Part.WRISTS, Feel.HURTING),))
    for name in ("", "lena ", "Lena", "LENNA"):
        assert stands(journal, name) == [(Part.WRISTS, "hurting")]
    session(journal, 1, "", facts=(Felt(1.0, 1, Part.WRISTS, Feel.FRESH),))
    assert stands(journal) == [(Part.WRISTS, "hurting")], "feeling fresh clears no hurt"
    claim(journal, 2, "", "well:shoulders")
    assert stands(journal) == [(Part.WRISTS, "hurting")]
    claim(journal, 3, "", "well:wrists")
    assert stands(journal) == []
    session(journal, 4, "", facts=(Felt(1.0, 1, Part.WRISTS, Feel.HURTING),))
    assert stands(journal) == [(Part.WRISTS, "hurting")]


def test_what_was_sore_stands_until_it_feels_better(journal: Journal) -> None:
    session(journal, 0, "", facts=(Felt(1.0, 1, Part.SKIN, Feel.SORE),))
    session(journal, 1, "", facts=(Felt(1.0, 1, Part.SKIN, Feel.TIRED),))
    assert stands(journal) == [(Part.SKIN, "sore")]
    session(journal, 2, "", facts=(Felt(1.0, 1, Part.SKIN, Feel.FINE),))
    assert stands(journal) == []


def test_a_sign_is_cleared_by_its_own_claim_alone(journal: Journal) -> None:
    session(journal, 0, "", facts=(SignTold(1.0, 1, "pop", Part.FINGERS),))
    claim(journal, 1, "", "well:fingers")
    assert stands(journal) == [(Part.FINGERS, "pop")]
    claim(journal, 2, "", "cleared:fingers")
    assert stands(journal) == []


def test_what_another_told_does_not_stand_for_you(journal: Journal) -> None:
    session(journal, 0, "", "Tarn", facts=(Felt(1.0, 2, Part.BACK, Feel.HURTING),))
    assert stands(journal) == []
    assert stands(journal, "tarn") == [(Part.BACK, "hurting")]


def test_the_order_of_the_file_does_not_matter(tmp_path: Path) -> None:
    told = [
        (0.0, Felt(1.0, 1, Part.WRISTS, Feel.HURTING)),
        (1.0, Felt(1.0, 1, Part.BACK, Feel.SORE)),
        (2.0, Felt(1.0, 1, Part.BACK, Feel.FINE)),
    ]
    found = set()
    for n, order in enumerate(permutations(told)):
        with Journal.open(tmp_path / f"{n}.db", write=True) as journal:
            for day, fact in order:
                session(journal, day, "", facts=(fact,))
            found.add(tuple(stands(journal)))
    assert found == {((Part.WRISTS, "hurting"),)}


# --- the command line --------------------------------------------------------------------------


def test_people_on_the_command_line(journal: Journal, capsys: pytest.CaptureFixture[str]) -> None:
    session(journal, 0, "Lena", "Tarn", facts=(Felt(1.0, 2, Part.BACK, Feel.HURTING),))
    session(journal, 1, "")
    path = str(journal.path)
    journal.close()

    def typed(*line: str) -> tuple[ExitCode, str]:
        code = diagnostics.guarded(commands, ["people", *line, "--journal", path])
        return code, capsys.readouterr().out

    assert "Tarn" in typed("list")[1]
    assert "back: hurting" in typed("list")[1]
    assert typed("rename", "tarn", "Tarn Bo")[0] is ExitCode.OK
    assert "Tarn Bo" in typed("list")[1]
    assert typed("join", "own", "lena")[1] == "One person now: Lena, 2 sessions.\n"
    assert typed("join", "own", "lena")[0] is ExitCode.USAGE
    assert typed("apart", "Lena")[0] is ExitCode.OK
    assert "(you)" in typed("list")[1]
    assert typed("apart", "Nobody")[0] is ExitCode.USAGE
    assert typed("rename", "tarn bo", " ")[0] is ExitCode.USAGE
    assert datetime.now(UTC) > NOW
