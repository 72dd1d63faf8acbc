"""Every kind of session begins, is cut off and goes on by one way, each by its own command."""

import signal
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from coach.errors import ExitCode, JournalError
from coach.files.library import load_library
from coach.journal import Journal, codec
from coach.model.person import Person
from coach.model.start import Options
from coach.runtime.kind_registry import NAMES, kind_named, kind_of
from tests.beginning import entry
from tests.cli.conftest import Coach
from tests.cli.test_start import Session, journal_of, start

QUIET = ("--no-sound", "--plain")
SETTLED = ("mat-and-board", "--minutes", "30", "--age", "adult", "--hurting", "no", "--same-place")
#: What begins each kind, and what is printed once it runs.
BEGINNINGS = {
    "solo": (("start", *SETTLED), r"\bstay ·"),
    "pair": (("start", *SETTLED, "--age", "adult", "--with", "Osk"), r"\bstay ·"),
    "rests": (("rest", "--hurting", "no"), r"\[\w"),
    "group": (("group", "--people", "4", "--minutes", "40"), r"\bstay ·|\bmove ·"),
}


@pytest.fixture
def started() -> Iterator[list[Session]]:
    """Sessions to clean up."""
    sessions: list[Session] = []
    yield sessions
    for one in sessions:
        one.close()


def last(home: Path) -> tuple[int, str | None, int]:
    """How many sessions there are, how the last one ended, how many events it has."""
    with Journal.open(journal_of(home), write=False) as journal:
        rows = journal.sessions()
        return len(rows), rows[-1].how, len(list(journal.recorded(rows[-1].id)))


@pytest.mark.parametrize("name", BEGINNINGS)
def test_a_killed_session_goes_on_by_its_own_command_alone(
    name: str, started: list[Session], home: Path, coach: Coach
) -> None:
    line, runs = BEGINNINGS[name]
    session = start(started, *line, *QUIET)
    session.wait_for(runs)
    session.process.send_signal(signal.SIGKILL)
    session.rest()
    before = last(home)
    assert before[:2] == (1, None)
    right = f"coach {line[0]}"

    for other in {"coach start", "coach rest", "coach group"} - {right}:
        people = ("--people", "3") if other == "coach group" else ()
        for wish in (("--resume",), ()):
            told = coach(*other.split()[1:], *people, *QUIET, *wish)
            assert told.code == ExitCode.USAGE, told.err
            assert f"'{right} --resume' goes on with it" in told.err
            assert last(home) == before

    again = start(started, *line[:1], *QUIET, "--resume")
    again.wait_for("Here we are again|leader|[Tt]imers|resume|carry on")
    again.process.send_signal(signal.SIGTERM)
    assert f"'{right} --resume' goes on with it" in again.rest()
    assert again.process.returncode == ExitCode.INTERRUPTED
    count, how, events = last(home)
    assert (count, how) == (1, None)
    assert events > before[2]


def test_another_kind_that_was_given_up_makes_room(started: list[Session], home: Path) -> None:
    session = start(started, "group", "--people", "3", "--minutes", "40", *QUIET)
    session.wait_for(r"\bstay ·|\bmove ·")
    session.process.send_signal(signal.SIGKILL)
    session.rest()

    other = start(
        started, "start", "mat-and-board", "--minutes", "30", "--hurting", "no", *QUIET, "--new"
    )
    other.wait_for("is closed now")
    other.wait_for(r"·")
    assert last(home)[0] == 2


@pytest.mark.parametrize("name", NAMES)
def test_the_journal_keeps_the_kind_as_such(name: str, tmp_path: Path) -> None:
    given = replace(
        entry(load_library("full"), Options((Person(1),), 90.0), datetime(2026, 3, 3, tzinfo=UTC)),
        kind=name,
    )
    with Journal.open(tmp_path / "journal.db", write=True) as journal:
        assert kind_of(journal.start_of(journal.begin(given))) is kind_named(name)


@pytest.mark.parametrize(
    ("rules", "routine", "people", "kind"),
    [
        ("group 0123456789ab", "group", 4, "group"),
        ("0123456789ab", "rests", 2, "rests"),
        ("0123456789ab", "full", 2, "pair"),
        ("0123456789ab", "full", 1, "solo"),
    ],
)
def test_what_was_written_before_kinds_were_tells_its_own(
    rules: str, routine: str, people: int, kind: str
) -> None:
    library = load_library("full")
    everybody = tuple(Person(who) for who in range(1, people + 1))
    given = entry(library, Options(everybody, 90.0), datetime(2026, 3, 3, tzinfo=UTC))
    given = replace(given, rules_version=rules, routine=routine, kind="")
    old = codec.encode_start(given).replace(',"kind":""', "")
    assert '"kind"' not in old

    read = codec.decode_start(old, library)
    assert read.kind == kind
    assert read.rules_version == "0123456789ab"


def test_a_kind_of_a_newer_version_is_refused_by_name() -> None:
    given = entry(load_library("full"), Options((Person(1),)), datetime(2026, 3, 3, tzinfo=UTC))
    with pytest.raises(JournalError, match="'relay'"):
        kind_of(replace(given, kind="relay"))
