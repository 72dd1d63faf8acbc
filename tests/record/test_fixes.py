"""Corrections of a day that the core ran, and what stands in words."""

from dataclasses import replace
from datetime import date, timedelta
from functools import cache

import pytest

from coach.model.body import Feel, Part
from coach.model.facts import Felt, SignTold
from coach.record.digest import Digest, digest
from coach.record.fixes import Fix, amended
from coach.record.people import Attendance, Statement, people
from coach.record.standing import JournalPlace, Stands, Told, eased, standing
from tests.record import real

DAY = date(2026, 3, 2)


@cache
def ran() -> Digest:
    """A day of rests alone, with tries."""
    day = real.day(20, "rests")
    facts = [fact for _, caused, _ in day.committed for fact in caused]
    return digest(facts, 1, day.start.library.movements)


def test_only_what_is_corrected_changes_and_the_last_correction_counts() -> None:
    made = ran()
    assert len(made.tried) > 1
    fixes = [
        Fix("effort", 1, value=4), Fix("effort", 1, value=9), Fix("effort", 2, value=1),
        Fix("try", 1, 2, "topped"),
    ]  # fmt: skip
    found = amended(made, 1, fixes)
    tried = (made.tried[0], (made.tried[1][0], "topped"), *made.tried[2:])
    assert found == replace(made, effort=9, tried=tried)
    assert amended(found, 1, [Fix("effort", 1, value=None)]).effort is None


@pytest.mark.parametrize(
    "fix",
    [
        Fix("effort", 1, value="much"), Fix("try", 1, 0, "topped"), Fix("try", 1, 999, "topped"),
        Fix("place", 1, value="Old Sluice"),
    ],
)  # fmt: skip
def test_what_can_not_be_corrected_stays(fix: Fix) -> None:
    assert amended(ran(), 1, [fix]) == ran()


def test_two_joined_twice_and_apart_again_are_two() -> None:
    took_part = [Attendance("own", "", False), Attendance("name:tarn", "Tarn", False, beside=True)]
    join = Statement("join", "own", "name:tarn")
    assert len(people(took_part, [join, join]).people) == 1
    assert len(people(took_part, [join, Statement("apart", "name:tarn")]).people) == 2
    assert len(people(took_part, [Statement("more", "own", "name:tarn")]).people) == 2


def at(days: int, what: SignTold | Felt | str, session: int = 0) -> Told:
    """Told so many days after a Monday, in a session of its own."""
    number = session or days + 1
    return Told(JournalPlace(number, 1, 86400.0 * days), DAY + timedelta(days=days), what)


def before(first: JournalPlace, second: JournalPlace) -> bool:
    return first.instant < second.instant


POP = SignTold(1.0, 1, "pop", Part.FINGERS)
WRISTS = Felt(1.0, 1, Part.WRISTS, Feel.HURTING)


@pytest.mark.parametrize(
    ("stands", "told", "typed", "until"),
    [
        (
            Stands(DAY, Part.FINGERS, "pop"),
            "Fingers, a warning sign (pop), told on 02 March 2026",
            "cleared fingers",
            "a clinician has cleared it",
        ),
        (
            Stands(DAY, None, "faint"),
            "Faint, told on 02 March 2026",
            "cleared faint",
            "a clinician has cleared it",
        ),
        (
            Stands(DAY, Part.WRISTS, "", Feel.HURTING),
            "Wrists hurting, told on 02 March 2026",
            "well wrists",
            "it is well",
        ),
    ],
)
def test_what_stands_says_what_it_is_and_how_it_ends(
    stands: Stands, told: str, typed: str, until: str
) -> None:
    assert (stands.told, stands.typed) == (told, typed)
    assert stands.until == f"It stands until {until}: then type 'coach people {typed}'."


def test_what_feels_sore_ends_by_feeling_fine_or_by_a_claim_and_leaves_nothing_careful() -> None:
    sore = Stands(DAY, Part.SKIN, "", Feel.SORE)
    assert (sore.ends_by, sore.typed) == ("well:skin", "well skin")
    assert "until it feels fine, or you type 'coach people well skin'" in sore.until
    told = [at(0, Felt(1.0, 1, Part.SKIN, Feel.SORE)), at(1, "well:skin")]
    assert standing(told, before) == ()
    assert eased(told, before, None, DAY + timedelta(days=2)) == ()


def test_what_a_claim_ended_stays_careful_until_the_next_session() -> None:
    told = [at(0, WRISTS), at(1, POP), at(3, "well:wrists"), at(4, "cleared:fingers")]
    assert standing(told, before) == ()
    today = DAY + timedelta(days=5)
    assert eased(told, before, None, today) == ("wrists", "fingers")
    assert eased(told, before, at(2, WRISTS).place, today) == ("wrists", "fingers")
    assert eased(told, before, at(3, WRISTS, 99).place, today) == ("wrists", "fingers")
    assert eased(told, before, at(5, WRISTS).place, today) == ()
    assert eased([at(0, "well:wrists")], before, None, today) == (), "it ended nothing"


@pytest.mark.parametrize(("days", "careful"), [(1, True), (20, True), (21, False)])
def test_a_head_stays_careful_for_three_weeks(days: int, careful: bool) -> None:
    told = [at(0, SignTold(1.0, 1, "dazed", Part.HEAD)), at(1, "cleared:head")]
    later = at(2, WRISTS).place
    assert eased(told, before, later, DAY + timedelta(days=days)) == ("head",) * careful
