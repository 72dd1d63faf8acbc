"""A warning sign stands across sessions until it is declared cleared, clocks wrong or not."""

from datetime import UTC, datetime
from pathlib import Path

from coach.journal import Journal, body_statements, migrations
from coach.journal.journal_checks import verify
from coach.journal.store import SessionId
from coach.journal.transfer import wholes
from coach.model.body import Part
from coach.model.facts import SignTold
from coach.model.person import Person
from coach.session.events import KeyClaimed, TimePassed
from tests.journal import older
from tests.journal.made import start

NOW = datetime(2026, 3, 3, 18, 0, tzinfo=UTC)
ME = Person(1)


def _told(journal: Journal, session: SessionId, sign: SignTold) -> None:
    journal.commit(session, TimePassed(sign.at), [sign], NOW)


def _claimed(journal: Journal, session: SessionId, claim: str, who: int = 1) -> None:
    journal.commit(session, KeyClaimed(0.0, claim, who), [], NOW)


def test_no_sign_no_cap(journal: Journal) -> None:
    journal.begin(start())
    assert journal.standing_signs(ME) == ()


def test_a_sign_stands_until_its_part_is_cleared(journal: Journal) -> None:
    sign = SignTold(5.0, 1, "pop", Part.FINGERS)
    _told(journal, journal.begin(start("2026-03-03T18:00:00+01:00")), sign)
    later = journal.begin(start("2026-03-05T18:00:00+01:00"))
    assert journal.standing_signs(ME) == (sign,)
    _claimed(journal, later, "cleared:shoulders")
    _claimed(journal, later, "age:adult")
    _claimed(journal, later, "cleared:fingers", who=2)
    assert journal.standing_signs(ME) == (sign,)
    _claimed(journal, later, "cleared:fingers")
    assert journal.standing_signs(ME) == ()
    again = SignTold(9.0, 1, "swelling", Part.FINGERS)
    _told(journal, later, again)
    assert journal.standing_signs(ME) == (again,)


def test_a_sign_without_a_part_is_cleared_by_its_name(journal: Journal) -> None:
    session = journal.begin(start())
    sign = SignTold(5.0, 1, "chest-pain", None)
    _told(journal, session, sign)
    _claimed(journal, session, "cleared:fingers")
    assert journal.standing_signs(ME) == (sign,)
    _claimed(journal, session, "cleared:chest-pain")
    assert journal.standing_signs(ME) == ()


def test_signs_belong_to_a_person_by_name(journal: Journal) -> None:
    ada, bo = Person(1, "Ada"), Person(2, "Bo")
    first = journal.begin(start(people=(ada, bo)))
    sign = SignTold(5.0, 2, "pop", Part.ELBOWS)
    _told(journal, first, sign)
    assert journal.standing_signs(ada) == ()
    assert journal.standing_signs(bo) == (sign,)
    assert journal.standing_signs(ME) == ()
    alone = journal.begin(start("2026-03-05T18:00:00+01:00", people=(Person(1, "Bo"),)))
    _claimed(journal, alone, "cleared:elbows", who=1)
    assert journal.standing_signs(bo) == ()


def test_a_clock_set_back_between_sign_and_claim(journal: Journal) -> None:
    _told(
        journal,
        journal.begin(start("2031-01-01T00:00:00+00:00")),
        SignTold(5.0, 1, "pop", Part.FINGERS),
    )
    between = journal.begin(start("2026-03-03T18:00:00+01:00"))
    assert len(journal.standing_signs(ME)) == 1
    journal.close_session(between, "done")
    _claimed(journal, journal.begin(start("2026-03-05T18:00:00+01:00")), "cleared:fingers")
    assert journal.standing_signs(ME) == ()


def test_a_claim_of_before_does_not_clear(journal: Journal) -> None:
    _claimed(journal, journal.begin(start("2026-03-03T18:00:00+01:00")), "cleared:fingers")
    sign = SignTold(5.0, 1, "pop", Part.FINGERS)
    _told(journal, journal.begin(start("2026-03-05T18:00:00+01:00")), sign)
    assert journal.standing_signs(ME) == (sign,)


def test_they_are_found_without_reading_everything_else(journal: Journal) -> None:
    plan = [row[-1] for row in journal.rows(f"EXPLAIN QUERY PLAN {body_statements._TOLD}")]

    tables = [step for step in plan if step.startswith("SCAN ")]
    assert len(tables) == 4
    assert [step for step in tables if "INDEX" not in step] == []


def test_they_stand_in_a_journal_of_before_the_index(path: Path) -> None:
    with Journal.open(path, write=True) as journal:
        sign = SignTold(5.0, 1, "pop", Part.FINGERS)
        _told(journal, journal.begin(start()), sign)
        old = path.with_name("older.db")
        older.write(old, wholes(journal), steps=1)

    with Journal.open(old, write=False) as journal:
        assert journal.standing_signs(ME) == (sign,)
        assert "0002-signs-and-claims-by-index" in migrations.applied(journal.db)
    assert verify(old).whole
