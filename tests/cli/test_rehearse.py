"""`coach plan` and `coach rehearse`."""

import json
from pathlib import Path
from typing import Any

import pytest

from coach.errors import ExitCode
from coach.files.answers_file import read_answers
from coach.files.library import load_library
from coach.files.words import load_language
from coach.model.person import Person
from coach.model.start import Options
from coach.runtime.rehearsal import rehearse
from coach.session.step import new_session
from tests.cli.conftest import Coach, Ran

NORMAL = Path(__file__).parent / "normal-day.txt"
SHIPPED = Path(__file__).parents[2] / "routines" / "places"
EIGHT = Path(__file__).parent / "eight-tries.txt"
SETTLED = ("--minutes", "90", "--hurting", "no", "--same-place", "--age", "adult")


def document(ran: Ran) -> Any:
    assert ran.code == ExitCode.OK, ran.err
    return json.loads(ran.out)


@pytest.fixture
def normal_day(coach: Coach) -> Any:
    return document(coach("rehearse", *SETTLED, "--answers", str(NORMAL), "--json"))


def test_a_normal_day_asks_and_says_little(normal_day: Any) -> None:
    totals = normal_day["totals"]

    assert normal_day["unsaid"] == []
    assert normal_day["ended"] == "done"
    # of the last two tries nobody tells the end, so that it is waited for
    assert 75 <= totals["minutes"] <= 92
    assert totals["speech_seconds"] <= 7 * 60
    assert totals["questions"] <= 6
    assert totals["answers"] <= 30


def test_on_a_normal_day_little_is_said_to_who_hangs_or_climbs(normal_day: Any) -> None:
    totals = normal_day["totals"]

    assert totals["longest_on_the_move"] <= 2.5
    assert totals["most_words_on_the_move"] <= 9


def test_a_rehearsal_prints_what_is_said_heard_changed_and_recorded(coach: Coach) -> None:
    ran = coach("rehearse", *SETTLED, "--answers", str(NORMAL))

    kinds = {line.split()[1] for line in ran.out.splitlines() if line[:2].isdigit()}
    assert {"said", "heard", "changed", "recorded"} <= kinds
    assert "speech seconds" in ran.out


def test_until_counts_from_six_in_the_evening_at_any_hour(coach: Coach) -> None:
    ran = coach("rehearse", "--until", "19:10", "--hurting", "no", "--same-place", "--json")
    minutes = document(ran)["totals"]["minutes"]
    assert 55.0 <= minutes <= 72.0


def test_a_rehearsal_keeps_nothing(coach: Coach, home: Path) -> None:
    coach("rehearse", *SETTLED)

    assert not home.exists()


def test_a_rehearsal_comes_out_the_same_each_time(coach: Coach) -> None:
    lines = [coach("rehearse", *SETTLED, "--answers", str(NORMAL)).out for _ in range(2)]

    assert lines[0] == lines[1]


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("12:99 fresh", "is not 'MM:SS [who:] words'"),
        ("fresh", "is not 'MM:SS [who:] words'"),
        ("12:00 flying", "no answer is called 'flying'"),
    ],
)
def test_a_mistake_in_an_answers_file_is_told_with_its_line(
    coach: Coach, tmp_path: Path, line: str, told: str
) -> None:
    answers = tmp_path / "answers.txt"
    answers.write_text(f"# a day\n00:00 fresh\n{line}\n", encoding="utf-8")

    ran = coach("rehearse", "--answers", str(answers))

    assert ran.code == ExitCode.USAGE
    assert ran.out == ""
    assert f"{answers}:3:" in ran.err
    assert told in ran.err


@pytest.fixture
def weighing_hall(home: Path) -> str:
    """A place of the user's that has a scale."""
    places = home / "data" / "routines" / "places"
    places.mkdir(parents=True)
    text = (SHIPPED / "tarnwick.toml").read_text("utf-8").replace('"mat", ', '"mat", "scale", ')
    (places / "weighing.toml").write_text(text, "utf-8")
    return "weighing"


def with_a_reading(tmp_path: Path, reading: str) -> str:
    answers = tmp_path / "answers.txt"
    answers.write_text(f"{NORMAL.read_text('utf-8')}18:00 {reading}\n", "utf-8")
    return str(answers)


@pytest.mark.parametrize("reading", ["42.5 kg", "42,5 kg"])
def test_a_reading_is_taken_at_the_edge_check(
    coach: Coach, weighing_hall: str, tmp_path: Path, reading: str
) -> None:
    answers = with_a_reading(tmp_path, reading)
    day = document(
        coach("rehearse", *SETTLED, "--place", weighing_hall, "--answers", answers, "--json")
    )
    told = [entry["text"] for entry in day["entries"]]

    assert day["unsaid"] == []
    assert "Noted: your hands held 42.5 kg." in told
    assert any(
        text.startswith(("EdgeChecked", "ScaleRead")) and "reading 42.5" in text for text in told
    )


def test_without_a_scale_a_reading_is_never_taken(coach: Coach, tmp_path: Path) -> None:
    answers = with_a_reading(tmp_path, "42.5 kg")
    ran = coach("rehearse", *SETTLED, "--answers", answers)

    assert "hands held" not in ran.out
    assert "'42.5 kg' was never said" in ran.err


@pytest.mark.parametrize("reading", ["0 kg", "-5 kg", "900 kg"])
def test_a_reading_out_of_range_tells_the_range(coach: Coach, tmp_path: Path, reading: str) -> None:
    ran = coach("rehearse", *SETTLED, "--answers", with_a_reading(tmp_path, reading))

    assert ran.code == ExitCode.USAGE
    assert f"{reading!r} is no reading of a scale" in ran.err
    assert "1 to 200 kg" in ran.err


def test_an_answer_that_no_window_took_is_told(coach: Coach, tmp_path: Path) -> None:
    answers = tmp_path / "answers.txt"
    answers.write_text("89:00 topped\n", encoding="utf-8")

    ran = coach("rehearse", *SETTLED, "--answers", str(answers))

    assert f"{answers}:1: 'topped' was never said" in ran.err


def test_a_plan_fits_the_minutes(coach: Coach) -> None:
    for minutes in ("50", "75", "90", "120"):
        plan = document(coach("plan", "--minutes", minutes, "--age", "adult", "--json"))

        assert plan["seconds"] <= 60 * int(minutes)
        assert [step["block"] for step in plan["steps"]].index("mat") > 0


def test_a_plan_tells_the_rules_that_shaped_it_and_how_sure_they_are(coach: Coach) -> None:
    ran = coach("plan", "--minutes", "60", "--hurting", "fingers sore", "--why")

    assert ran.code == ExitCode.OK
    assert any(sure in ran.out for sure in ("published", "common practice", "our choice"))


def test_a_plan_tells_which_circuits_are_easy_middle_and_hard(coach: Coach) -> None:
    day = ("plan", "--age", "adult", "--place", "tarnwick", "--comfortable", "sandstone")
    ran = coach(*day, "--best", "V5")

    assert "Easy: pumice (3 to 4), sandstone (4+ to 5+).\n" in ran.out
    assert "Middle: marble (6A to 6B).\n" in ran.out
    assert "Hard: slate (6B+ to 6C+).\n" in ran.out
    tiers = document(coach(*day, "--best", "V5", "--json"))["tiers"]
    assert tiers["hard"] == ["slate"]
    assert "Easy:" not in coach("plan", "--place", "tarnwick").out


def test_circuits_without_grades_work_by_their_order(coach: Coach) -> None:
    ran = coach("plan", "--comfortable", "middle", "--age", "adult")

    assert "Easy: easy.\nMiddle: middle.\n" in ran.out
    assert "Hard: hard.\n" in ran.out


def test_sore_fingers_take_hangs_out_of_the_plan(coach: Coach) -> None:
    def hung(hurting: str) -> set[str]:
        plan = document(
            coach("plan", "--minutes", "90", "--age", "adult", "--hurting", hurting, "--json")
        )
        return {
            form["movement"]
            for step in plan["steps"]
            for form in step["meant"]
            if form["load"].get("fingers", 0) >= 2
        }

    assert hung("no") > hung("fingers sore")


def test_a_plan_of_a_day_with_something_sore_is_a_plan(coach: Coach) -> None:
    ran = coach("plan", "--minutes", "75", "--hurting", "fingers sore", "--age", "adult", "--json")

    plan = document(ran)
    assert plan["seconds"] > 10 * 60
    assert all(step["kind"] != "try" for step in plan["steps"])


@pytest.mark.parametrize(
    ("told", "rule"),
    [
        ("hard yesterday", "hard-yesterday"),
        ("crowded, Short of  sleep", "short-of-sleep"),
        ("break: illness", "back-after-illness"),
        ("break:holiday", "back-after-holiday"),
    ],
)
def test_what_else_is_told_of_the_day_changes_the_plan(coach: Coach, told: str, rule: str) -> None:
    plain = document(coach("plan", *SETTLED, "--json"))
    ran = coach("plan", *SETTLED, "--today", told, "--why")

    assert f"\n{rule}: " in ran.out
    assert document(coach("plan", *SETTLED, "--today", told, "--json")) != plain


def test_an_unknown_word_for_the_day_names_the_nearest(coach: Coach) -> None:
    ran = coach("plan", *SETTLED, "--today", "crowdd")

    assert ran.code == ExitCode.USAGE
    assert "Did you mean 'crowded'?" in ran.err


def test_what_hurts_in_unknown_words_counts_as_hurting_and_is_said_back(coach: Coach) -> None:
    ran = coach("plan", "--hurting", "weird clicky thing", "--age", "adult")

    assert ran.code == ExitCode.OK
    session, _, _ = ran.out.partition("first try")
    for loading in ("Hard try", "hang", "boulders", "pull-ups"):
        assert loading not in session


def test_eight_tries_cost_at_most_sixteen_answers_and_three_minutes_of_speech(coach: Coach) -> None:
    """Each with two answers, and questions of every kind; the go-ahead and the end are no tries."""
    told = ("rests", "--minutes", "120", *SETTLED[2:])
    eight = document(coach("rehearse", *told, "--answers", str(EIGHT), "--json"))
    heard = [entry["text"] for entry in eight["entries"] if entry["kind"] == "heard"]
    others = {"let's try", "i have to go", "quite hard"}

    assert eight["unsaid"] == []
    assert any(entry["text"].startswith("8 hard tries") for entry in eight["entries"])
    assert len([words for words in heard if words not in others]) <= 16
    assert eight["totals"]["speech_seconds"] <= 180
    # nothing has to be asked twice
    assert eight["totals"]["questions"] <= 8 + 2


def test_somebody_who_told_nothing_says_the_minutes_and_comes_to_a_hard_try() -> None:
    script = Path(__file__).parent / "forty-five-minutes.txt"
    library = load_library("full", "tarnwick", ())
    language = load_language("en", library.movements, ())
    first = Options((Person(1),), same_place=False, ageless=(1,), level_asked="climbed")
    lines = read_answers(script, language.breath)
    found = rehearse(new_session(library, first), language, lines)

    said = [entry for entry in found.transcript.entries if entry.kind == "said"]
    asked = next(entry for entry in said if "How many minutes" in entry.text)
    first_try = next(entry for entry in said if entry.text.startswith("Try 1."))
    assert not found.unsaid
    assert asked.at < 10.0
    assert 10 * 60.0 < first_try.at <= 30 * 60.0
