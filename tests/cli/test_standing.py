"""What stands is read by every command, in any spelling of a name, and ends by key alone.

The journals are made by sessions that the real core ran; what may be done is judged by poses.
"""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from coach.cli import people as people_command
from coach.files.answers_file import read_answers
from coach.files.library import load_library
from coach.files.paths import paths
from coach.files.words import load_language
from coach.journal import Journal
from coach.journal.body_statements import stands_for
from coach.journal.persons import person_of
from coach.model.body import Feel, Part
from coach.model.facts import SignTold
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.runtime.beginning import begin
from coach.runtime.rehearsal import rehearse
from coach.session.events import Started
from coach.session.step import new_session
from coach.setup.choices import Choices
from coach.setup.settling import settle
from tests import poses
from tests.beginning import entry
from tests.cli.conftest import Coach
from tests.cli.test_start import Session
from tests.group.runs import group, library, run
from tests.record.rehearsed import Committed, _Keeper

#: What a day is made of: what is told beforehand, and the answers.
DAYS: dict[str, tuple[tuple[tuple[int, Part, Feel], ...], str]] = {
    "hurt": (
        (),
        "00:20 i got hurt\n00:35 no\n00:50 my wrist\n01:05 no\n01:20 finish here\n",
    ),
    "sign": (
        (),
        "00:20 i got hurt\n00:35 no\n00:50 my wrist\n01:05 yes it does\n01:20 finish here\n",
    ),
    "head": ((), "00:20 i hit my head\n00:40 no\n00:55 yes it does\n01:20 finish here\n"),
    "fever": ((), "00:20 i have a fever\n00:40 finish here\n"),
    "sore": (((1, Part.FINGERS, Feel.SORE),), "01:30 stop\n01:45 finish\n"),
    "birth": ((), "01:30 stop\n01:45 finish\n"),
    "plain": ((), "01:30 stop\n01:45 finish\n"),
    # the power goes before she has told where
    "cut off": ((), "00:20 i got hurt\n"),
}
NAMES = [("", ""), ("Lena", "lena"), ("", "Lena"), ("Lena", " Lena "), ("Lena", "")]


@cache
def ran(day: str, name: str) -> tuple[Options, tuple[Committed, ...], str]:
    hurting, script = DAYS[day]
    library = load_library("full", "tarnwick", ())
    language = load_language("en", library.movements, ())
    told = ((1, "break:birth"),) if day == "birth" else ()
    options = Options((Person(1, name, AgeBand.ADULT),), 90.0, hurting, True, told=told)
    keeper = _Keeper()
    with TemporaryDirectory() as folder:
        path = Path(folder) / "day.txt"
        path.write_text(script, "utf-8")
        items = read_answers(path, language.breath)
        done = rehearse(new_session(library, options), language, items, keeper)
    return options, tuple(keeper.committed), done.session.how or "done"


def put(days: Iterable[str], name: str = "", ago: int = 1) -> None:
    """These days into one's own journal, the last of them so many days ago."""
    library = load_library("full", "tarnwick", ())
    paths().journal.parent.mkdir(parents=True, exist_ok=True)
    every = list(days)
    with Journal.open(paths().journal, write=True) as journal:
        for before, day in zip(range(len(every) - 1, -1, -1), every, strict=True):
            options, committed, how = ran(day, name)
            began = datetime.now().astimezone() - timedelta(days=ago + before)
            session = journal.begin(entry(library, options, began))
            for event, facts, at in committed:
                journal.commit(session, event, facts, at)
                if day == "cut off" and any(isinstance(one, SignTold) for one in facts):
                    how = "closed"
                    break
            journal.close_session(session, how)


def standing(name: str = "") -> list[str]:
    with Journal.open(paths().journal, write=False) as journal:
        found = stands_for(journal, person_of(journal, Person(1, name)))
    return sorted({one.what for one in found})


def begun(kind: str, **told: object) -> Options:
    """What a session of the next moment really begins with."""
    choices = Choices(age=("adult",), routine="rests" if kind == "rests" else None, **told)  # type: ignore[arg-type]
    now = datetime.now().astimezone()
    setup = settle(choices, paths(), now)
    with Journal.open(paths().journal, write=True) as journal:
        session = begin(journal, setup, now, print)
        journal.close_session(session.id, "closed")
    options: Options = session.session.options
    return options


def titled() -> dict[str, str]:
    """The title of a movement, as the commands print it -> its name."""
    movements = load_library("full").movements
    return {one.title["en"]: name for name, one in movements.items()}


def moved(printed: str) -> set[str]:
    """The movements in a printed plan."""
    names = titled()
    return {name for title, name in names.items() if f"  {title}" in printed}


@pytest.mark.parametrize(("then", "now"), NAMES)
@pytest.mark.parametrize("day", ["hurt", "sign"])
@pytest.mark.usefixtures("home")
def test_a_hurt_and_a_sign_are_read_by_plan_suggest_start_and_rest(
    coach: Coach, day: str, then: str, now: str
) -> None:
    put([day], then)
    named = ("--name", now) if now else ()
    plan = coach("plan", "--age", "adult", *named)
    says = "hurt, not well yet" if day == "hurt" else "until a clinician clears it"
    assert says in plan.out.splitlines()[1]
    done = moved(plan.out)
    assert done
    assert [name for name in done if poses.uses(name, Part.WRISTS)] == []
    assert "Hard" not in plan.out
    suggested = coach("suggest").out
    assert "Leave out: any load on the wrists, hard tries" in suggested
    assert "Hard tries: none this time." in suggested
    for kind in ("solo", "rests"):
        options = begun(kind, called=now or None)
        assert [what for _, what in options.complaints] == (
            ["hurt:wrists"] if day == "hurt" else []
        )
        assert options.signs == (((1, Part.WRISTS),) if day == "sign" else ())
        assert [who for who, _ in options.stands] == [1]


@pytest.mark.usefixtures("home")
def test_a_hurt_that_nobody_placed_before_the_power_went_spares_every_part(coach: Coach) -> None:
    """It was lost once: the next plan was a full one."""
    put(["cut off"])
    assert standing() == ["hurt"]
    plan = coach("plan", "--age", "adult")
    done = moved(plan.out)
    assert [name for name in done for part in Part if poses.uses(name, part)] == []
    assert "Hard tries: none this time." in coach("suggest").out
    assert coach("people", "cleared", "hurt").code == 0
    assert standing() == []


@pytest.mark.usefixtures("home")
def test_the_sentence_comes_at_the_start_and_once() -> None:
    put(["hurt"])
    options = begun("solo", hurting="no", same_place=True)
    library = load_library("full", "tarnwick", ())
    done = rehearse(new_session(library, options), load_language("en", library.movements, ()), ())
    said = [one.text for one in done.transcript.entries if one.kind == "said"]
    assert said[1] == "Nothing on the wrists: hurt, not well yet."
    assert said.count(said[1]) == 1


@pytest.mark.usefixtures("home")
def test_repeated_soreness_is_told_by_plan_suggest_start_and_rest(coach: Coach) -> None:
    put(["sore", "plain", "sore", "sore"])
    told = "sore in 3 of the last 4 sessions"
    assert told in coach("plan", "--age", "adult").out
    assert told in coach("suggest").out
    for kind in ("solo", "rests"):
        assert [dict(one.values)["part"] for _, one in begun(kind).again] == ["fingers"]


@pytest.mark.usefixtures("home")
def test_a_single_soreness_is_told_in_one_sentence_for_two_weeks(coach: Coach) -> None:
    put(["sore"], "Lena", ago=14)
    told = "Sore the other day: fingers. Tell me if it still is."
    assert coach("plan", "--age", "adult", "--name", "lena").out.splitlines()[1] == told
    for kind in ("solo", "rests"):
        assert [(who, one.key) for who, one in begun(kind).stands] == [(1, "sore-before")]
    assert begun("solo", hurting="fingers sore").stands == (), "what was said is not told"


@pytest.mark.parametrize(("days", "ago"), [(["sore"], 15), (["sore", "sore", "sore"], 1)])
@pytest.mark.usefixtures("home")
def test_an_old_soreness_is_not_told_nor_one_that_is_told_of_otherwise(
    days: list[str], ago: int
) -> None:
    put(days, ago=ago)
    assert begun("solo").stands == ()


@pytest.mark.parametrize("spelled", ["Lena", "lena", " LENA "])
def test_in_a_group_it_is_spared_and_only_the_sheet_says_whose(
    coach: Coach, home: Path, tmp_path: Path, spelled: str
) -> None:
    put(["hurt"], "Lena")
    roster = tmp_path / "group.toml"
    roster.write_text(f"""people = [{{name = "{spelled}", age = "adult"}},
        {{name = "Osk", age = "adult"}}, {{name = "Tarn", age = "adult"}}]""")
    line = ("group", "--roster", str(roster), "--minutes", "60")
    sheet = coach(*line, "--sheet").out
    lena = sheet[sheet.index(spelled.strip()) : sheet.index("Osk")]
    assert "Wrists hurting, told on" in lena
    assert "(hurt)" in lena
    assert "(hurt)" not in sheet[sheet.index("Osk") :]
    script = tmp_path / "nothing.txt"
    script.write_text("")
    ran_ = coach(*line, "--answers", str(script))
    assert ran_.code == 0
    said = [line for line in ran_.out.splitlines() if line.split()[1:2] == ["said"]]
    assert said
    assert not any("hurt" in line or "well" in line for line in said)


CARRIED_ON = "01:00 {}\n02:00 carry on\n"
NUMBERED = "01:00 i got hurt\n01:10 number two\n01:20 my wrist\n01:30 no\n02:00 carry on\n"


@pytest.mark.parametrize(
    ("words", "ends", "told"),
    [
        ("01:00 i got hurt\n", "hurt", True),
        (CARRIED_ON.format("i got hurt"), "done", True),
        (CARRIED_ON.format("chest pain"), "done", True),
        (NUMBERED, "done", True),
        (NUMBERED + "02:05 undo that\n", "done", False),
        ("01:00 number two\n01:05 fingers sore\n", "done", False),
        ("", "done", False),
    ],
)
@pytest.mark.usefixtures("home")
def test_a_leader_is_told_that_somebody_was_hurt_in_the_last_group(
    coach: Coach, tmp_path: Path, words: str, ends: str, told: bool
) -> None:
    """Nobody said who it was, or they had no name, so that it stands for none of them."""
    led, seen = run(group(minutes=15.0), words, tmp_path)
    assert led.session.how == ends
    paths().journal.parent.mkdir(parents=True, exist_ok=True)
    with Journal.open(paths().journal, write=True) as journal:
        began = entry(library(), led.session.options, datetime.now().astimezone())
        number = journal.begin(replace(began, kind="group"))
        journal.commit(number, Started(0.0), seen.facts, datetime.now().astimezone())
        journal.close_session(number, ends)
    sheet = coach("group", "--people", "4", "--minutes", "20", "--sheet")
    assert ("ask how they are" in sheet.err) is told


@pytest.mark.usefixtures("home")
def test_of_two_only_the_one_who_was_hurt_is_spared() -> None:
    put(["hurt"])
    options = begun("pair", called="Lena", companions=("Mira",))
    assert options.complaints == ((1, "hurt:wrists"),)


@pytest.mark.usefixtures("home")
def test_a_fever_stands_as_an_illness_until_it_is_well(coach: Coach) -> None:
    put(["fever"])
    assert (1, "break:illness") in begun("solo").told
    plan = coach("plan", "--age", "adult")
    seen = {pose for name in moved(plan.out) for pose in poses.SEEN[name]}
    assert seen <= {"lying still"}


class TestEnding:
    """'coach people well' and 'cleared': checks first, by key alone."""

    @pytest.fixture
    def types(self, monkeypatch: pytest.MonkeyPatch) -> list[str]:
        """What is typed, in order; nothing more is typed then."""
        answers: list[str] = []
        monkeypatch.setattr("click.prompt", lambda *_, **__: answers.pop(0) if answers else "")
        return answers

    @pytest.mark.parametrize("typed", [[], ["no"], ["no", "no"], ["no", "no", "yes"], ["", "", ""]])
    def test_well_needs_every_check(
        self, coach: Coach, home: Path, types: list[str], typed: list[str]
    ) -> None:
        put(["hurt"])
        types += typed
        out = coach("people", "well", "wrists")
        assert out.code != 0
        assert "it stays as it is" in out.err
        assert standing() == ["wrists"]

    def test_well_opens_gently_first(self, coach: Coach, home: Path, types: list[str]) -> None:
        put(["hurt"])
        types += ["no", "no", "no"]
        out = coach("people", "well", "wrists")
        assert "lean lightly on a table" in out.err
        assert "The next session stays gentle there and holds no hard tries" in out.out
        assert standing() == []
        first = coach("plan", "--age", "adult", "--minutes", "90").out
        assert "Hard tries: none this time." in coach("suggest").out
        assert moved(first) & {name for name in poses.SEEN if poses.uses(name, Part.WRISTS)}
        assert " hard " not in first
        put(["plain"], ago=0)
        assert " hard " in coach("plan", "--age", "adult", "--minutes", "90").out
        assert "Hard tries: from" in coach("suggest").out

    def test_a_sign_ends_by_a_clinician_alone(
        self, coach: Coach, home: Path, types: list[str]
    ) -> None:
        put(["sign"])
        types += ["no", "no", "no"]
        assert "it ends when a clinician has cleared it" in coach("people", "well", "wrists").err
        assert standing() == ["wrists"]
        assert coach("people", "cleared", "wrists").code == 0
        assert standing() == []

    def test_a_head_stays_careful_for_three_weeks(
        self, coach: Coach, home: Path, types: list[str]
    ) -> None:
        put(["head", "plain"], ago=19)
        assert standing() == ["head"]
        assert coach("people", "cleared", "head").code == 0
        put(["plain"], ago=-1)
        assert "Hard tries: none this time." in coach("suggest").out
        assert (1, "well:head") in begun("solo").told

    def test_after_three_weeks_and_a_clinicians_word_a_head_is_free(
        self, coach: Coach, home: Path, types: list[str]
    ) -> None:
        put(["head"], ago=21)
        assert coach("people", "cleared", "head").code == 0
        put(["plain"], ago=-1)
        assert (1, "well:head") not in begun("solo").told

    def test_a_fever_is_not_well_before_three_weeks(
        self, coach: Coach, home: Path, types: list[str]
    ) -> None:
        put(["fever"], ago=20)
        types += ["no", "no"]
        assert "not before" in coach("people", "well", "fever").err
        assert standing() == ["fever"]

    @pytest.mark.parametrize(
        ("days", "typed", "ends"),
        [
            (91, ["no", "no"], False),
            (92, ["no", "no"], True),
            (92, ["yes"], False),
            (92, ["no", "yes"], False),
            (200, [], False),
        ],
    )
    def test_a_birth_waits_for_three_months_and_for_every_symptom(
        self, coach: Coach, home: Path, types: list[str], days: int, typed: list[str], ends: bool
    ) -> None:
        """Day 91 and any symptom are refused: Goom T, Donnelly G, Brockwell E (2019)."""
        put(["birth"])
        assert standing() == ["after-birth"]
        born = datetime.now().astimezone().date() - timedelta(days=days)
        types += [born.isoformat(), *typed]
        assert (coach("people", "cleared", "after-birth").code == 0) is ends
        assert standing() == ([] if ends else ["after-birth"])

    def test_a_soreness_ends_after_its_checks_and_leaves_nothing_careful(
        self, coach: Coach, home: Path, types: list[str]
    ) -> None:
        put(["sore"])
        types += ["no", "no", "no"]
        assert "it is well again" in coach("people", "well", "fingers").out
        assert standing() == []
        assert begun("solo").stands == ()
        assert " hard " in coach("plan", "--age", "adult", "--minutes", "90").out

    def test_what_does_not_stand_does_not_end(self, coach: Coach, home: Path) -> None:
        put(["hurt"])
        assert "nothing stands that is called 'wrist'" in coach("people", "well", "wrist").err
        assert coach("people", "cleared", "knees").code != 0
        assert standing() == ["wrists"]

    def test_told_again_it_stands_again(self, coach: Coach, home: Path, types: list[str]) -> None:
        put(["hurt"])
        types += ["no", "no", "no"]
        coach("people", "well", "wrists")
        put(["hurt"], ago=-1)
        assert standing() == ["wrists"]

    def test_it_is_written_with_a_time_that_counts(self) -> None:
        assert people_command._now().tzinfo is not None


def test_at_the_start_a_key_ends_it_and_the_session_says_what_is_left(home: Path) -> None:
    """The real command in a terminal: told, left by Enter, ended after the checks."""
    put(["hurt"])
    line = ["start", "mat-and-board", "--no-sound", "--plain", "--minutes", "40", "--age", "adult"]
    line += ["--hurting", "no", "--same-place", "--new", "--place", "home"]
    session = Session(line, True, ())
    try:
        session.wait_for("Wrists hurting, told on")
        session.wait_for("Enter leaves it so")
        session.type("well wrists\n")
        for _ in range(3):
            session.wait_for(r"\(no, or yes\)")
            session.type("no\n")
        session.wait_for("On the record: it is well again")
        session.wait_for("Hello")
    finally:
        session.close()
    assert standing() == []
