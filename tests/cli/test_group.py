"""`coach group`, its sheet and mistakes; `coach large` and `coach journal page` of it."""

import socket
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from coach.cli import group
from coach.errors import ExitCode
from coach.files.paths import Paths, paths
from coach.journal import Journal
from coach.model.person import Person
from coach.runtime import name_voices
from coach.setup.settling import Setup
from tests.cli.conftest import Coach
from tests.cli.test_start import journal_of

ROSTER = """
[[people]]
name = "Runa"
age = "adult"
[[people]]
name = "Osk"
age = "under-16"
notes = "first time"
[[people]]
name = "Tarn"
[[people]]
age = "adult"
"""


@pytest.fixture
def roster(tmp_path: Path) -> str:
    path = tmp_path / "roster.toml"
    path.write_text(ROSTER, encoding="utf-8")
    return str(path)


def test_the_sheet_tells_the_leader_ages_reasons_notes_and_the_rota(
    coach: Coach, roster: str
) -> None:
    ran = coach("group", "--roster", roster, "--minutes", "45", "--boards", "1", "--sheet")

    assert ran.code == ExitCode.OK, ran.err
    assert "Osk (under-16)" in ran.out
    assert "note: first time" in ran.out
    assert "instead (under 16)" in ran.out
    assert "Tarn (age not told: as under 18)" in ran.out
    assert "board 1, place 1" in ran.out
    assert "at the least" in ran.out


def test_the_sheet_tells_who_gets_which_boulders_and_what_the_boards_have(
    coach: Coach, tmp_path: Path
) -> None:
    path = tmp_path / "roster.toml"
    path.write_text(
        """
people = [{ name = "Runa", age = "adult", best = "marble" }, { name = "Osk" }]
boards = [
  { name = "left board", edges = [{ name = "large", depth_mm = 30 }, { name = "rim" }] },
  { name = "beam" },
]
""",
        encoding="utf-8",
    )
    line = ("group", "--roster", str(path), "--minutes", "60", "--place", "tarnwick")
    ran = coach(*line, "--sheet")
    assert ran.code == ExitCode.OK, ran.err
    assert ran.out.count("boulders, easy: ") == 1
    assert "boulders, easy: pumice; middle: sandstone" in ran.out
    assert "left board: large 30 mm, rim\n" in ran.out
    assert "beam: " not in ran.out
    assert "left board" not in coach(*line, "--boards", "1", "--sheet").out


def test_the_sheet_tells_who_may_more_than_is_said_aloud(coach: Coach, tmp_path: Path) -> None:
    path = tmp_path / "roster.csv"
    path.write_text("name,age\nRuna,adult\nOsk,\nTarn,\n", encoding="utf-8")
    line = ("group", "mat-and-board", "--roster", str(path), "--place", "tarnwick")
    ran = coach(*line, "--minutes", "90", "--sheet")
    assert ran.out.count("may take the Largest-hold hang if you agree") == 1


def test_in_a_moment_with_answers(coach: Coach, roster: str, tmp_path: Path) -> None:
    answers = tmp_path / "said.txt"
    answers.write_text("14:00 runa\n14:03 is out\n15:00 let them in\n", encoding="utf-8")

    ran = coach("group", "--roster", roster, "--minutes", "45", "--answers", str(answers))

    assert ran.code == ExitCode.OK, ran.err
    assert "One of us rests to the side." in ran.out
    assert "'let them in' was never said" in ran.err
    said = [line for line in ran.out.splitlines() if " said " in line]
    assert not any("under" in line or "first time" in line for line in said)


def test_a_name_that_the_ear_could_not_know_is_told_with_its_number(
    coach: Coach, tmp_path: Path
) -> None:
    path = tmp_path / "names.csv"
    path.write_text("name,age\nPaus,adult\nRuna,adult\n", encoding="utf-8")

    ran = coach("group", "--roster", str(path), "--minutes", "45", "--boards", "1", "--sheet")

    assert "'Paus': an answer sounds like it. Say 'number 1' instead." in ran.err


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (["--minutes", "45"], "nobody is told"),
        (["--people", "2", "--boards", "3", "--minutes", "45"], "3 places at boards are more"),
        (["--people", "12", "--minutes", "3"], "3 minutes are too few for the mat"),
        (["--roster", "none.toml"], "can't be read"),
        (["--people", "31"], "--people"),
        (["--people", "4", "--place", "nowhere"], "nowhere"),
    ],
)
def test_what_is_wrong_is_said_before_anything_starts(
    coach: Coach, line: list[str], words: str
) -> None:
    ran = coach("group", *line)

    assert ran.code == ExitCode.USAGE
    assert words in ran.err


def test_where_there_is_time_for_the_mat_alone_it_is_said_what_more_would_do(coach: Coach) -> None:
    line = ("group", "--people", "30", "--boards", "0", "--wall-places", "5", "--minutes", "10")

    ran = coach(*line, "--sheet")

    assert ran.code == 0
    assert "There is time for the mat alone. Boards and wall in that time are for" in ran.err


@pytest.mark.parametrize(
    "line", [("group", "--people", "3", "--minutes", "30"), ("rest", "--hurting", "no")]
)
def test_a_port_that_is_taken_leaves_no_session_behind(
    coach: Coach, home: Path, line: tuple[str, ...]
) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        ran = coach(*line, "--no-sound", "--plain", "--share", port)
    assert ran.code == ExitCode.USAGE
    assert f"port {port} is in use" in ran.err
    with Journal.open(journal_of(home), write=False) as journal:
        assert journal.sessions() == []


def test_nothing_to_look_at_or_to_print_yet(coach: Coach) -> None:
    assert "No session" in coach("large", "--once").out
    assert coach("journal", "page").code == ExitCode.JOURNAL


def test_a_group_is_kept_under_its_name_and_asked_who_is_missing(
    coach: Coach, tmp_path: Path
) -> None:
    folder = paths().user_dirs[0] / "rosters"
    folder.mkdir(parents=True)
    (folder / "monday-youth.csv").write_text("name;age\nRuna;15\nOsk;17\n", "latin-1")
    said = tmp_path / "said.txt"
    said.write_text("00:06 number two\n00:12 no\n", encoding="utf-8")

    ran = coach(
        "group", "--roster", "monday-youth", "--minutes", "30", "--boards", "1", "--roll-call",
        "--no-cool-down", "--answers", str(said),
    )  # fmt: skip

    assert ran.code == ExitCode.OK, ran.err
    assert "Who isn't here yet?" in ran.out
    assert "Osk: joining later." in ran.out
    assert "Walk about slowly" not in ran.out


def test_the_example_runs_at_the_default_place(coach: Coach, tmp_path: Path) -> None:
    shown = Path("docs/group.md").read_text("utf-8")
    example = shown.partition("```toml\n")[2].partition("```")[0]
    path = tmp_path / "tuesday.toml"
    path.write_text(example, encoding="utf-8")

    ran = coach("group", "--roster", str(path), "--minutes", "20", "--sheet")

    assert ran.code == ExitCode.OK, ran.err
    assert "Runa" in ran.out


def test_a_name_that_the_ear_misses_is_told_with_its_number_and_kept_with_the_session(
    coach: Coach, roster: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Names are tried before the session, and only where there is an ear at all."""
    tried: list[list[str]] = []
    started: list[Setup] = []

    def missed(
        setup: Setup, people: Sequence[Person], known: Paths, tell: object
    ) -> frozenset[int]:
        tried.append([person.name for person in people])
        assert "runa" in setup.language.answers["person:1"]
        return frozenset({3})

    def run(command: Sequence[str], settled: Callable[[None], Setup], *rest: object) -> str:
        started.append(settled(None))
        return ""

    monkeypatch.setattr(name_voices, "missed", missed)
    monkeypatch.setattr(group, "run_session", run)
    line = ("group", "--roster", roster, "--minutes", "45", "--boards", "1")
    ran = coach(*line)
    coach(*line, "--no-sound")
    coach(*line, "--sheet")

    assert "'Tarn': the ear can't tell it. Say 'number 3' instead." in ran.err
    assert tried == [["Runa", "Osk", "Tarn"]]
    heard, silent = started
    assert dict(heard.arrangement)["by-number"] == "3"
    assert heard.language.names == {1: "Runa", 2: "Osk"}
    assert "tarn" not in heard.language.answers["person:3"]
    assert silent.language.names[3] == "Tarn"
