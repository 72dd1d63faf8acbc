"""An age band: asked once by voice and key, remembered for the person, changed by a command."""

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from coach.files.paths import paths
from coach.files.words import load_language
from coach.journal import Journal
from coach.journal.persons import person_of
from coach.journal.told_ages import age_of
from coach.model.facts import AgeTold
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.runtime.beginning import begin
from coach.session.events import TimePassed
from coach.session.state import Phase
from coach.setup.choices import Choices
from coach.setup.settling import remember, settle
from tests.cli.conftest import Coach
from tests.session.stage import Play

QUESTION = "Are you under sixteen, under eighteen, or grown up?"

NOW = datetime(2026, 3, 3, 18, 30, tzinfo=UTC)


def begun(told: AgeBand | None = None, who: int = 1, **choices: object) -> Options:
    """What a session begins with; an age told in it stays on the record."""
    now = datetime.now().astimezone()
    setup = settle(Choices(**choices), paths(), now)  # type: ignore[arg-type]
    paths().journal.parent.mkdir(parents=True, exist_ok=True)
    with Journal.open(paths().journal, write=True) as journal:
        session = begin(journal, setup, now, print)
        if told is not None:
            journal.commit(session.id, TimePassed(5.0), [AgeTold(0.0, who, told)], now)
        journal.close_session(session.id, "done")
    options: Options = session.session.options
    return options


@pytest.mark.parametrize("band", [band for band in AgeBand if band is not AgeBand.UNKNOWN])
def test_it_is_asked_first_and_counts_at_once(band: AgeBand) -> None:
    play = Play(age=AgeBand.UNKNOWN, ageless=(1,))
    play.until(Phase.CHECK_IN, question="age")
    assert play.said[-1] == QUESTION
    play.say(f"age:{band}")
    play.until(Phase.LEAD_IN)
    assert [(one.who, one.band) for one in play.found(AgeTold)] == [(1, band)]
    assert play.session.options.people[0].age is band
    assert play.session.day.people[0].age is band
    assert play.said.count(QUESTION) == 1


def test_untold_the_careful_rules_hold_and_that_is_said() -> None:
    play = Play(age=AgeBand.UNKNOWN, ageless=(1,))
    play.until(Phase.LEAD_IN)
    assert play.said.count(QUESTION) == 2
    assert "I don't know your age: large holds, feet on." in play.said
    assert play.found(AgeTold) == []


def test_of_two_only_the_one_whose_age_nobody_told_is_asked() -> None:
    play = Play(people=2, names=("Ada", "Mira", ""), ageless=(2,))
    play.until(Phase.CHECK_IN, question="age")
    assert play.said[-1] == f"Mira: {QUESTION}"
    play.say("age:under-16", who=2)
    play.until(Phase.LEAD_IN)
    assert [person.age for person in play.session.options.people][1] is AgeBand.UNDER_16


def test_every_phrase_is_known_in_both_languages() -> None:
    for code in ("en", "de"):
        known = load_language(code, {}, ()).answers
        assert all(known[f"age:{band}"] for band in ("under-16", "under-18", "adult"))


@pytest.mark.usefixtures("home")
class TestRemembered:
    def test_the_first_start_asks_and_the_next_one_knows(self) -> None:
        assert begun(AgeBand.ADULT).ageless == (1,)
        for name in (None, "Lena", "lena "):
            again = begun(called=name)
            assert (again.ageless, again.people[0].age) == ((), AgeBand.ADULT)

    def test_who_comes_along_is_remembered_by_name(self) -> None:
        first = begun(AgeBand.UNDER_16, 2, age=("adult",), called="Lena", companions=("Mira",))
        assert first.ageless == (2,)
        again = begun(companions=("mira",))
        assert again.people[1].age is AgeBand.UNDER_16
        assert again.ageless == (1,)

    def test_the_remembered_age_is_not_that_of_another_person(self, coach: Coach) -> None:
        begun(AgeBand.UNDER_16, 2, age=("adult",), called="Lena", companions=("Mira",))
        begun(called="Lena")
        coach("people", "age", "adult", "--person", "Lena")
        alone = begun(called="Mira")
        assert alone.people[0].age is AgeBand.UNDER_16

    def test_an_age_typed_for_somebody_by_name_is_not_kept_for_the_owner(self) -> None:
        """Else a grown guest would lift what holds for the young owner of the machine."""
        for typed in (Choices(age=("under-16",), climbing=3), Choices(age=("adult",), called="Bo")):
            told = replace(typed, climbing=typed.climbing or 90)
            remember(paths(), settle(told, paths(), NOW).settings)
        owner = settle(Choices(), paths(), NOW).options.people[0]
        assert (owner.age, owner.months) == (AgeBand.UNDER_16, 3)

    def test_a_command_changes_it(self, coach: Coach) -> None:
        begun(AgeBand.ADULT)
        assert coach("people", "age", "under-18").code == 0
        assert begun().people[0].age is AgeBand.UNDER_18
        assert coach("people", "age", "unknown").code == 0
        assert begun().ageless == (1,)

    def test_what_was_typed_counts_before_what_is_remembered(self) -> None:
        begun(AgeBand.ADULT)
        assert begun(age=("under-16",)).people[0].age is AgeBand.UNDER_16
        assert begun(age=("unknown",)).ageless == ()

    def test_a_roster_without_ages_takes_those_that_were_told(
        self, coach: Coach, tmp_path: Path
    ) -> None:
        begun(AgeBand.UNDER_16, called="Lena")
        roster = tmp_path / "group.toml"
        roster.write_text('people = [{name = "lena"}, {name = "Osk"}, {name = "Tarn"}]')
        sheet = coach("group", "--roster", str(roster), "--minutes", "60", "--sheet").out
        assert "lena (under-16)" in sheet
        assert "Osk (age not told: as under 18)" in sheet

    def test_it_is_sealed_and_travels(self, tmp_path: Path) -> None:
        begun(AgeBand.ADULT)
        with Journal.open(paths().journal, write=False) as journal:
            assert age_of(journal, person_of(journal, Person(1))) is AgeBand.ADULT


def test_a_first_session_is_not_asked_about_a_last_time(home: Path) -> None:
    assert begun().same_place is False
    assert begun(same_place=True).same_place is True
