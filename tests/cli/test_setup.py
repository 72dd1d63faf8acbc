"""From the options of a day to what a session begins with."""

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from coach.errors import FileError, UsageError
from coach.files.paths import paths
from coach.model.body import Feel, Part
from coach.model.person import AgeBand
from coach.setup.choices import Choices
from coach.setup.settling import Setup, remember, settle

NOW = datetime(2026, 3, 3, 18, 30, tzinfo=UTC)
TOLD = Choices(minutes=90, hurting="no", same_place=True)


def settled(**told: object) -> Setup:
    return settle(replace(TOLD, **told), paths(), NOW)  # type: ignore[arg-type]


@pytest.mark.usefixtures("home")
class TestMinutes:
    def test_until_counts_from_now(self) -> None:
        assert settled(minutes=None, until="19:45").options.minutes == 75.0

    def test_until_after_midnight_is_tomorrow(self) -> None:
        late = NOW.replace(hour=22, minute=45)
        setup = settle(Choices(until="0:15"), paths(), late)

        assert setup.options.minutes == 90.0

    @pytest.mark.parametrize("until", ["18:30", "12:00", "25:00", "18:61", "late", "1910"])
    def test_until_must_be_a_time_that_comes_soon(self, until: str) -> None:
        with pytest.raises(UsageError, match="--until"):
            settled(minutes=None, until=until)

    def test_minutes_and_until_exclude_each_other(self) -> None:
        with pytest.raises(UsageError, match="same thing"):
            settled(until="19:45")

    def test_fewer_than_the_floors_need_are_refused_with_what_works(self) -> None:
        with pytest.raises(UsageError) as refused:
            settled(minutes=5)

        assert "at least 10 minutes" in refused.value.do

    def test_not_told_they_are_left_to_the_session(self) -> None:
        assert settled(minutes=None).options.minutes is None


@pytest.mark.usefixtures("home")
class TestHurting:
    @pytest.mark.parametrize("text", ["no", "No", "nothing", ""])
    def test_nothing(self, text: str) -> None:
        assert settled(hurting=text).options.hurting == ()

    def test_parts_with_how_they_feel(self) -> None:
        told = settled(hurting="fingers sore, left shoulder stiff and elbow").options.hurting

        assert told == (
            (1, Part.FINGERS, Feel.SORE),
            (1, Part.SHOULDERS, Feel.STIFF),
            (1, Part.ELBOWS, Feel.HURTING),
        )

    def test_what_nobody_knows_is_kept_as_a_complaint(self) -> None:
        told = settled(hurting="weird clicky thing, chest pain, knee severe pain").options

        assert told.hurting == ()
        assert [key for _, key in told.complaints] == [
            "sign:weird-clicky-thing", "sign:chest-pain", "feel:knees:hurting:8",
        ]  # fmt: skip


@pytest.mark.usefixtures("home")
class TestPeople:
    def test_an_age_that_is_not_told_is_unknown(self) -> None:
        people = settled(people=2, age=("adult",)).options.people

        assert [person.age for person in people] == [AgeBand.ADULT, AgeBand.UNKNOWN]

    def test_more_ages_than_people_are_refused(self) -> None:
        with pytest.raises(UsageError, match="2 ages for 1 people"):
            settled(age=("adult", "adult"))


@pytest.mark.usefixtures("home")
class TestRemembered:
    def test_what_was_told_is_known_the_next_time(self) -> None:
        first = settled(
            age=("adult",), place="tarnwick", comfortable="marble", edge="medium", voice="brisk"
        )
        remember(paths(), first.settings)

        (person,) = settled().options.people

        assert (person.age, person.comfortable, person.edge) == (AgeBand.ADULT, "marble", "medium")
        assert settled().library.place.name == "tarnwick"
        assert settled().voice.name == "brisk"

    def test_what_is_typed_wins_over_what_is_remembered(self) -> None:
        remember(paths(), settled(age=("adult",), place="tarnwick", edge="medium").settings)

        (person,) = settled(age=("under-16",), edge="large").options.people

        assert (person.age, person.edge) == (AgeBand.UNDER_16, "large")

    def test_circuit_and_edge_belong_to_their_place(self) -> None:
        remember(paths(), settled(place="tarnwick", comfortable="marble").settings)

        assert settled(place="any-hall").options.people[0].comfortable == ""

    def test_circuits_make_a_place_of_ones_own(self) -> None:
        first = settled(circuits="pumice, slate, flint", comfortable="slate")
        remember(paths(), first.settings)

        place = settled().library.place

        assert [circuit.name for circuit in place.circuits] == ["pumice", "slate", "flint"]
        assert place.boards

    def test_a_new_place_is_known_by_its_name_from_then_on(self) -> None:
        first = settled(place="Cold Quarry", circuits="pumice 3 to 4, slate 5 to 6A, jade")
        remember(paths(), first.settings)

        for name in (None, "Cold Quarry", "cold-quarry"):
            place = settled(place=name).library.place
            assert (place.name, place.title) == ("cold-quarry", "Cold Quarry")
            assert [circuit.grades for circuit in place.circuits] == [("3", "4"), ("5", "6A"), ()]

    def test_a_place_described_anew_forgets_a_circuit_that_is_gone(self) -> None:
        told = settled(circuits="pumice, slate, jade", comfortable="slate", best="jade")
        remember(paths(), told.settings)

        (person,) = settled(circuits="pumice, flint, jade").options.people
        assert (person.comfortable, person.best) == ("", "jade")

    @pytest.mark.parametrize(
        ("circuits", "told"),
        [
            ("pumice 3 to 6D, slate", "no boulder grade is called '6D'"),
            ("pumice 3 to 6a, slate", "is a route grade"),
            ("pumice 6A to 5, slate", "'5' is easier than '6A'"),
            ("pumice 6A to 6B, slate 4 to 5", "'slate' begins easier than 'pumice'"),
        ],
    )
    def test_wrong_grades_are_refused_and_nothing_is_written(
        self, circuits: str, told: str, home: Path
    ) -> None:
        with pytest.raises(UsageError, match=told):
            settled(place="quarry", circuits=circuits)
        assert not list(home.rglob("*.toml"))

    def test_the_best_boulder_is_remembered_as_a_grade_everywhere(self) -> None:
        remember(paths(), settled(place="tarnwick", best="v5").settings)
        assert settled().options.people[0].best == "V5"
        assert settled(place="umbershaw").options.people[0].best == "V5"

        remember(paths(), settled(place="tarnwick", best="marble").settings)
        pair = settled(people=2).options.people
        assert [person.best for person in pair] == ["marble", ""]
        assert settled(place="umbershaw").options.people[0].best == ""

    def test_a_best_that_is_no_grade_is_refused_with_the_nearest(self, home: Path) -> None:
        with pytest.raises(UsageError, match="route grade") as refused:
            settled(place="tarnwick", best="6c")
        assert "6C" in refused.value.do
        config = home / "config" / "config.toml"
        config.parent.mkdir(parents=True)
        config.write_text('place = "tarnwick"\nbest = "6D"\n', encoding="utf-8")
        with pytest.raises(FileError, match=r"config.toml:2: best: no boulder grade"):
            settled()

    @pytest.mark.parametrize("circuits", ["", "pumice", "pumice, pumice"])
    def test_circuits_are_at_least_two_different_ones(self, circuits: str) -> None:
        with pytest.raises(UsageError, match="--circuits"):
            settled(circuits=circuits)

    def test_nothing_is_written_for_a_plan(self, home: Path) -> None:
        settled(age=("adult",))

        assert not (home / "config").exists()


@pytest.mark.usefixtures("home")
class TestNames:
    def test_a_wrong_circuit_is_told_the_near_one(self) -> None:
        with pytest.raises(UsageError, match="--comfortable") as refused:
            settled(place="tarnwick", comfortable="marbel")

        assert "Did you mean 'marble'?" in refused.value.do

    @pytest.mark.parametrize(
        "wrong", [{"routine": "ful"}, {"place": "tarnwik"}, {"voice": "staedy"}]
    )
    def test_a_wrong_file_is_told_the_near_one(self, wrong: dict[str, str]) -> None:
        with pytest.raises(FileError) as refused:
            settled(**wrong)

        assert "Did you mean" in refused.value.do
