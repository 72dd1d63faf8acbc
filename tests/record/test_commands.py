"""The commands about the record, as they are typed."""

import json
import shutil
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from coach.cli import commands, diagnostics
from coach.errors import ExitCode
from coach.journal import Journal, entries
from coach.journal.entries import number_of
from coach.journal.transfer import put_all
from coach.model.body import Feel, Part
from coach.model.facts import Felt, Filmed
from coach.model.person import Person
from coach.session.events import KeyClaimed, TimePassed
from tests.journal.made import start
from tests.record.days import MONDAY, ended, write
from tests.record.invented import sessions

Type = Callable[..., tuple[ExitCode, str, str]]


@pytest.fixture(scope="module")
def year(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A journal of an invented quarter."""
    path = tmp_path_factory.mktemp("year") / "journal.db"
    with Journal.open(path, write=True) as journal:
        put_all(journal, sessions(13))
    return path


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where a journal may be made."""
    return tmp_path / "journal.db"


@pytest.fixture
def file(year: Path, tmp_path: Path) -> Path:
    """A copy of it that may be changed."""
    return Path(shutil.copy(year, tmp_path / "copy.db"))


@pytest.fixture
def few(tmp_path: Path) -> Path:
    """A journal of three weeks, for what looks at each session whole."""
    path = tmp_path / "few.db"
    with Journal.open(path, write=True) as journal:
        put_all(journal, sessions(3))
    return path


@pytest.fixture
def typed(capsys: pytest.CaptureFixture[str]) -> Type:
    """Run a command line: exit code, stdout, stderr."""

    def run(*line: object) -> tuple[ExitCode, str, str]:
        code = diagnostics.guarded(commands, [str(word) for word in line])
        out = capsys.readouterr()
        return code, out.out, out.err

    return run


def document(typed: Type, *line: object) -> Any:
    code, out, _ = typed(*line, "--json")
    assert code is ExitCode.OK
    return json.loads(out)


def test_without_a_journal_it_says_how_to_get_one(typed: Type) -> None:
    for line in (["history"], ["trends"], ["suggest"], ["journal", "verify"]):
        code, out, err = typed(*line)
        assert code is ExitCode.JOURNAL
        assert "there is no journal yet" in err
        assert "coach start" in err
        assert out == ""


def test_history_lists_the_latest(typed: Type, year: Path) -> None:
    code, out, err = typed("history", "--journal", year)
    assert code is ExitCode.OK
    assert len(out.splitlines()) == 20
    assert "The latest 20 of " in err
    everything = document(typed, "history", "--all", "--journal", year)
    assert len(everything) > 20
    some = typed("history", "--since", "2025-03-01", "--journal", year)[1]
    assert 0 < len(some.splitlines()) < len(everything)
    none = typed("history", "--since", "2030-01-01", "--journal", year)[2]
    assert none == "No session in those days.\n"


def test_history_tells_one_and_compares_two(typed: Type, year: Path) -> None:
    out = typed("history", "2", "--journal", year)[1]
    assert "Edge check, medium edge" in out
    assert "Cat arch" in out
    assert document(typed, "history", "2", "--journal", year)["story"]
    both = typed("history", "2", "3", "--journal", year)[1]
    assert both.splitlines()[1].split() == ["routine", "full", "full"]
    assert len(document(typed, "history", "2", "3", "--journal", year)) == 2
    code, _, err = typed("history", "999", "--journal", year)
    assert code is ExitCode.USAGE
    assert "there is no session 999" in err


def test_a_person_nobody_knows(typed: Type, file: Path) -> None:
    with Journal.open(file, write=True) as journal:
        theirs = journal.begin(start(people=(Person(1, "Ada"), Person(2, "Bo"))))
    code, _, err = typed("history", "--person", "Cleo", "--journal", file)
    assert code is ExitCode.USAGE
    assert "The journal knows Ada, Bo." in err
    assert typed("history", "--person", "Ada", "--journal", file)[0] is ExitCode.OK
    code, _, err = typed("history", str(theirs), "--journal", file)
    assert code is ExitCode.USAGE
    assert f"you took no part in session {theirs}" in err
    assert f"'coach history {theirs} --person Ada' tells it." in err


def test_trends_on_a_terminal(typed: Type, year: Path) -> None:
    out = typed("trends", "--journal", year, "--by", "week")[1]
    for title in ("Small doses by week", "Weekly load (Foster)", "Boulders, from the floor up"):
        assert title in out
    one = typed("trends", "load", "--table", "--journal", year, "--until", "2025-07-07")[1]
    assert "Small doses" not in one
    assert "2025-W02" in one


def test_trends_begin_ten_years_before_this_one(typed: Type, path: Path) -> None:
    """Unless more is asked for, or nothing is so late; what is left out is told."""
    days = [MONDAY.replace(year=year) for year in (1990, 2015, 2016, 2026)]
    write(path, [(day, [ended(60)]) for day in days])
    asked = ("trends", "doses", "--journal", path)
    until = ("--until", "2026-12-31")
    _, out, err = typed(*asked, *until)
    assert "2 sessions since 2016-Q1" in out
    assert "Without 2 sessions before 2016: --since" in err
    _, out, err = typed(*asked, *until, "--since", "1980-01-01")
    assert "4 sessions since 1990" in out
    assert err == ""
    assert "1 session since 1990" in typed(*asked, "--until", "2012-01-01")[1]


def test_some_sessions_are_those_of_all(path: Path) -> None:
    write(path, [(MONDAY + timedelta(hours=31 * n), [ended(60)]) for n in range(40)])
    with Journal.open(path, write=False) as journal:
        every = entries.entries(journal, Person(1))
        assert entries.entries(journal, Person(1), 7) == every[-7:]
        for day in {entry.day for entry in every}:
            late = [entry for entry in every if entry.day >= day]
            assert entries.since(journal, Person(1), day) == late
            assert entries.number_before(journal, Person(1), day) == len(every) - len(late)


def test_trends_of_nothing(typed: Type, tmp_path: Path) -> None:
    Journal.open(tmp_path / "new.db", write=True).close()
    out = typed("trends", "--journal", tmp_path / "new.db")[1]
    assert "No session yet." in out
    assert typed("suggest", "--journal", tmp_path / "new.db")[0] is ExitCode.OK


def test_a_year_without_a_session_and_one_to_come(typed: Type, year: Path) -> None:
    code, out, _ = typed("year", "1980", "--journal", str(year))
    assert code == ExitCode.OK
    assert out.splitlines() == ["1980", "No session."]
    code, _, err = typed("year", "2199", "--journal", str(year))
    assert code == ExitCode.USAGE
    assert "2199 is still to come" in err


def test_trends_in_a_file(typed: Type, year: Path, tmp_path: Path) -> None:
    code, out, err = typed("trends", "load", "--out", tmp_path / "load.svg", "--journal", year)
    assert code is ExitCode.OK
    assert out == ""
    assert "Wrote" in err
    assert (tmp_path / "load.svg").stat().st_size > 1000


@pytest.mark.parametrize("value", ["50", "50,", "a,b", "50,0", "50,-1", "50,nan", "inf,1", "1,2,3"])
def test_a_baseline_that_is_none(typed: Type, year: Path, value: str) -> None:
    code, _, err = typed("trends", "--baseline", value, "--journal", year)
    assert code is ExitCode.USAGE
    assert f"--baseline {value}" in err


def hurt_last(file: Path) -> None:
    """One more session in that journal, in which the shoulders hurt."""
    with Journal.open(file, write=True) as journal:
        session = journal.begin(start("2025-04-04T18:00:00+02:00"))
        told = Felt(60.0, 1, Part.SHOULDERS, Feel.HURTING)
        journal.commit(session, TimePassed(60.0), [told], MONDAY)
        journal.close_session(session, "hurt")


def test_suggest_gives_reasons(typed: Type, file: Path) -> None:
    """What was hurt and was never said to be well again stands."""
    hurt_last(file)
    out = typed("suggest", "--until", "2025-04-05", "--journal", file)[1]
    assert out.startswith("An easy day")
    assert "any load on the shoulders" in out
    assert "Because: " in out
    assert "Hard tries: none this time.\n" in out
    made = document(typed, "suggest", "--until", "2025-04-05", "--journal", file)
    assert made["suggestion"]["minutes"]
    assert typed("suggest", "--journal", file)[1].startswith("An easy day")


def test_suggest_gives_a_day_for_hard_tries_once_nothing_stands(typed: Type, file: Path) -> None:
    hurt_last(file)
    with Journal.open(file, write=True) as journal:
        session = journal.begin(start("2025-04-05T18:00:00+02:00"))
        journal.commit(session, KeyClaimed(0.0, "well:shoulders", 1), [], MONDAY)
        journal.close_session(session, "done")
    first = typed("suggest", "--until", "2025-04-06", "--journal", file)[1]
    assert "First day back after shoulders" in first
    assert "Hard tries: none this time.\n" in first
    with Journal.open(file, write=True) as journal:
        session = journal.begin(start("2025-04-05T20:00:00+02:00"))
        journal.commit(session, TimePassed(3600.0), [ended(60, None)], MONDAY)
        journal.close_session(session, "done")
    out = typed("suggest", "--until", "2025-04-06", "--journal", file)[1]
    assert "shoulders" not in out
    assert "Hard tries: from " in out
    assert typed("suggest", "--journal", file)[1].startswith("A first day back")


def test_suggest_asks_for_films_until_a_session_came_after_them(typed: Type, path: Path) -> None:
    with Journal.open(path, write=True) as journal:
        session = journal.begin(start("2026-03-03T18:00:00+01:00"))
        films = [Filmed(9.0, who, "slate 4", who + 2, "18:42") for who in (1, 2)]
        journal.commit(session, TimePassed(9.0), films, MONDAY)
        journal.close_session(session, "done")
    out = typed("suggest", "--until", "2026-03-05", "--journal", path)[1]
    assert "Watch: the film of try 3, slate 4, 18:42.\n" in out
    assert "try 4" not in out
    with Journal.open(path, write=True) as journal:
        journal.begin(start("2026-03-06T18:00:00+01:00"))
    assert "Watch" not in typed("suggest", "--until", "2026-03-08", "--journal", path)[1]


def test_aims_are_kept_listed_and_dropped(typed: Type, file: Path) -> None:
    aim = ("journal", "aim")
    at = ("--journal", file)
    year = datetime.now().astimezone().year + 1
    assert typed(*aim, *at)[1] == ""
    typed(*aim, "dose", "mobility", "--minutes", "40", *at)
    out = typed(*aim, "boulder", "slate 4", "--by", f"{year}-06-01", *at)[1].splitlines()
    assert out[:2] == [
        f"1  boulder  slate 4 by 01 Jun {year}",
        "2  dose     mobility 40 min a week",
    ]
    # the route of what was added: where it stands, and weeks that are no fuller than usual
    assert out[2].startswith(f"slate 4 by 01 Jun {year}: ")
    told = typed("suggest", "--until", "2025-04-05", *at)[1]
    assert f"Aim: boulder slate 4 by 01 Jun {year}" in told
    assert "of 40 min this week" in told
    kept = typed(*aim, "--drop", "2", *at)[1].splitlines()
    assert kept == [f"1  boulder  slate 4 by 01 Jun {year}"]
    for line in (
        ["--drop", "9"],
        ["boulder"],
        ["boulder", "slte 4"],
        ["boulder", "slate 4", "--count", "3"],
        ["grade", "slte", "--count", "5"],
        ["grade", "slate", "--by", "2025-06-01"],
        ["dose", "sleep", "--minutes", "9"],
        ["dose", "hangs"],
        ["dose", "hangs", "--times", "2", "--minutes", "9"],
    ):
        assert typed(*aim, *line, *at)[0] is ExitCode.USAGE


def test_exports_and_back(typed: Type, few: Path, tmp_path: Path) -> None:
    out = tmp_path / "all.jsonl"
    assert typed("export", out, "--journal", few)[0] is ExitCode.OK
    new = tmp_path / "new.db"
    assert "added" in typed("journal", "import", out, "--journal", new)[1]
    assert "there already" in typed("journal", "import", out, "--journal", new)[1]
    assert "there already" in typed("journal", "merge", few, "--journal", new)[1]
    assert typed("history", "--all", "--journal", new) == typed(
        "history", "--all", "--journal", few
    )
    assert typed("export", out, "--journal", few)[0] is ExitCode.FAILED


def test_export_of_some_days(typed: Type, file: Path, tmp_path: Path) -> None:
    some = ("--since", "2025-03-01", "--journal", file)
    _, _, err = typed("export", tmp_path / "some.jsonl", *some)
    shown = document(typed, "history", *some)
    assert f": {len(shown)} sessions." in err
    events = (tmp_path / "some.jsonl").read_text("utf-8").splitlines()
    uids = [one["uid"] for one in map(json.loads, events) if one["line"] == "session"]
    assert uids == [one["uid"] for one in shown]


def test_export_without_days_holds_everybody_and_with_a_name_that_one(
    typed: Type, file: Path, tmp_path: Path
) -> None:
    with Journal.open(file, write=True) as journal:
        journal.begin(start(people=(Person(1, "Ada"), Person(2, "Bo"))))
        own, every = number_of(journal, Person(1)), len(journal.sessions())
    assert own < every
    assert f": {every} sessions." in typed("export", tmp_path / "a.jsonl", "--journal", file)[2]
    ada = typed("export", tmp_path / "b.jsonl", "--person", "Ada", "--journal", file)[2]
    assert ": 1 session." in ada
    long_ago = ("--since", "2001-01-01", "--journal", file)
    assert f": {every} sessions." in typed("export", tmp_path / "c.jsonl", *long_ago)[2]


@pytest.mark.parametrize(
    ("name", "kind"), [("x.csv", None), ("folder", "parquet"), ("x.ics", None)]
)
def test_exports_for_others(
    typed: Type, year: Path, tmp_path: Path, name: str, kind: str | None
) -> None:
    out = tmp_path / name
    line = ["export", out, "--journal", year, "--pseudonym", "c7", "--consent", "yes"]
    assert typed(*line, *(["--format", kind] if kind else []))[0] is ExitCode.OK
    assert out.exists()


def test_a_pseudonym_stands_for_the_name(typed: Type, year: Path, tmp_path: Path) -> None:
    typed("export", tmp_path / "x.csv", "--pseudonym", "c7", "--journal", year)
    rows = (tmp_path / "x.csv" / "sessions.csv").read_text().splitlines()
    assert all(row.startswith("c7,") for row in rows[1:])


def test_a_plan_takes_the_usual_length_and_place(typed: Type, year: Path, tmp_path: Path) -> None:
    plan = ("--plan", "2025-04-10T18:30", "--weeks", "4")
    typed("export", tmp_path / "x.ics", *plan, "--journal", year)
    made = (tmp_path / "x.ics").read_text()
    assert "DTSTART:20250410T183000" in made
    assert "RRULE:FREQ=WEEKLY;COUNT=4" in made


def test_an_unknown_format_is_refused(typed: Type, year: Path, tmp_path: Path) -> None:
    code, _, err = typed("export", tmp_path / "x.doc", "--journal", year)
    assert code is ExitCode.USAGE
    assert "jsonl|csv|parquet|ics" in err


def test_backup_restore_and_verify(typed: Type, few: Path, tmp_path: Path) -> None:
    copy, back = tmp_path / "copy2.db", tmp_path / "back.db"
    assert typed("journal", "backup", copy, "--journal", few)[0] is ExitCode.OK
    assert typed("journal", "restore", copy, "--journal", back)[0] is ExitCode.OK
    code, out, _ = typed("journal", "verify", "--journal", back)
    assert code is ExitCode.OK
    assert "All of it is whole." in out
    assert typed("journal", "restore", copy, "--journal", back)[0] is ExitCode.JOURNAL


def test_a_damaged_journal_is_told_and_rescued(typed: Type, few: Path, tmp_path: Path) -> None:
    with Journal.open(few, write=True) as journal:
        journal.db.execute("UPDATE seal SET body = x'0011' WHERE session = 3")
    code, out, err = typed("journal", "verify", "--journal", few)
    assert code is ExitCode.JOURNAL
    assert "session 3 of 2025-" in out
    assert "its seal does not match its checksum" in out
    assert "Not whole." in out
    assert "rescue" in err
    assert document_of_verify(typed, few)["findings"]
    code, out, _ = typed("journal", "rescue", few, tmp_path / "saved.db")
    assert code is ExitCode.OK
    assert "lost: session 3" in out
    assert typed("journal", "rescue", few, tmp_path / "saved.db")[0] is ExitCode.FAILED


def document_of_verify(typed: Type, file: Path) -> Any:
    return json.loads(typed("journal", "verify", "--json", "--journal", file)[1])


@pytest.mark.parametrize("text", [None, "", "hello\n", '{"line":"head","format":"other"}\n'])
def test_a_foreign_import_makes_no_journal(typed: Type, tmp_path: Path, text: str | None) -> None:
    source = tmp_path / "other.txt"
    if text is not None:
        source.write_text(text)
    code, _, err = typed("journal", "import", source, "--journal", tmp_path / "mine" / "new.db")
    assert code is ExitCode.JOURNAL
    assert "other.txt: " in err
    assert not (tmp_path / "mine").exists()


def test_a_cut_import_says_what_was_taken(typed: Type, few: Path, tmp_path: Path) -> None:
    out = tmp_path / "all.jsonl"
    typed("export", out, "--journal", few)
    whole = out.read_text()
    out.write_text(whole[: len(whole) // 2])
    code, told, err = typed("journal", "import", out, "--journal", tmp_path / "new.db")
    assert (code, told) == (ExitCode.JOURNAL, "")
    assert "column" in err
    assert "Nothing of it was taken" in err
    line = ("journal", "import", out, "--partly", "--journal", tmp_path / "new.db")
    code, told, err = typed(*line)
    assert code is ExitCode.JOURNAL
    assert "added" in told
    assert "line " in err
    assert "What stands before that is in the journal now." in err


def test_delete_asks_and_deletes(typed: Type, file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with Journal.open(file, write=True) as journal:
        shared = journal.begin(start(people=(Person(1, "Ada"), Person(2, "Bo"))))
        journal.commit(shared, TimePassed(1.0), [], MONDAY)
    at = ("--journal", file)
    monkeypatch.setattr("click.confirm", lambda *_, **__: False)
    assert typed("journal", "delete", "--session", "1", *at)[0] is ExitCode.FAILED
    assert typed("history", "1", *at)[0] is ExitCode.OK
    code, out, err = typed("journal", "delete", "--session", "1", "-f", *at)
    assert code is ExitCode.OK
    assert out == "Session 1 is gone.\n"
    assert "Copies and exports" in err
    assert typed("history", "1", *at)[0] is ExitCode.USAGE
    assert "Bo" in typed("people", "list", *at)[1]
    out = typed("journal", "delete", "--person", "Bo", "-f", *at)[1]
    assert out == "Gone: 0 sessions. Kept for others, without the name: 1.\n"
    assert "Bo" not in typed("people", "list", *at)[1]
    for line in ([], ["--session", "1", "--person", "Ada"]):
        assert typed("journal", "delete", *line, *at)[0] is ExitCode.USAGE
