"""A proposal is started as it was told: by one option, or by the line that it names."""

import shlex
import shutil
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from coach.cli.arguments import HELP, choices
from coach.cli.start import command
from coach.errors import ExitCode
from coach.files.paths import paths
from coach.files.settings import Settings, save_settings
from coach.journal import Journal
from coach.journal.entries import entries
from coach.journal.persons import person_of
from coach.model.person import AgeBand, Person
from coach.model.plan import StepKind
from coach.runtime.beginning import begin
from coach.runtime.rehearsal import TextWorld
from coach.runtime.runner import NoKeeper, Runner
from coach.session.events import Started
from coach.setup.choices import Choices
from coach.setup.settling import Setup, settle
from coach.setup.suggested import chosen, known_of, proposal
from tests.cli.conftest import Coach
from tests.record import real

PERSON = Person(1, "", AgeBand.ADULT)


LAST = real.FIRST + timedelta(days=15)


@pytest.fixture(scope="module", params=range(2))
def made(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Six real sessions of somebody alone, of seeds of their own."""
    path = tmp_path_factory.mktemp("six") / "journal.db"
    with Journal.open(path, write=True) as journal:
        for n in range(6):
            begun = real.FIRST + timedelta(days=3 * n)
            real.put(journal, real.day(100 * request.param + n, "alone"), begun, f"{n:08}")
    return path


@pytest.fixture
def last(made: Path, home: Path) -> datetime:
    """A journal of one's own with them; when the last one began."""
    save_settings(paths().settings, Settings(age=AgeBand.ADULT, place="tarnwick"))
    paths().journal.parent.mkdir(parents=True, exist_ok=True)
    shutil.copy(made, paths().journal)
    return LAST


def typed(line: str) -> Choices:
    """A line of the command as its options are read."""
    context = command.make_context("start", shlex.split(line)[2:], None, **HELP)
    return choices(context.params)


def told(now: datetime) -> tuple[str, int | None]:
    """The line that the proposal names, and the hard tries that it holds at most."""
    with Journal.open(paths().journal, write=False) as journal:
        person = person_of(journal, PERSON)
        known = known_of(journal, person, entries(journal, PERSON), now.date(), paths())
        made = proposal(journal, person, known, paths())
    return made.command(now.date()), made.tries(now.date())


def hard_tries(setup: Setup, now: datetime) -> int:
    """Hard tries of the plan of the session that really begins."""
    with Journal.open(paths().journal, write=True) as journal:
        session = begin(journal, setup, now, print).session
    runner = Runner(session, TextWorld(setup.language, ()), NoKeeper(), lambda: now)
    runner.take(Started(0.0))
    while not runner.session.course.planned and runner.session.ended is None:
        runner.take(runner.next())
    return sum(step.kind is StepKind.TRY for step in runner.session.course.steps)


def test_one_option_starts_what_the_line_says(last: datetime) -> None:
    for days in (1, 2, 4, 30):
        now = last + timedelta(days=days)
        line, most = told(now)
        by_option = settle(chosen(Choices(), paths(), now.date()), paths(), now)
        by_line = settle(typed(line), paths(), now)
        assert by_option.options == by_line.options
        assert by_option.library.routine == by_line.library.routine
        assert most is None or hard_tries(by_option, now) <= most


def test_what_is_typed_wins_and_what_is_left_out_stays_out(last: datetime) -> None:
    today = (last + timedelta(days=1)).date()
    made = chosen(Choices(minutes=50, today="crowded"), paths(), today)
    assert made.minutes == 50
    assert (made.today or "").startswith("crowded")
    usual = chosen(Choices(), paths(), today).today
    assert usual is None or (made.today or "").endswith(usual)


def test_easier_and_not_today_are_full_answers(last: datetime, coach: Coach) -> None:
    day = f"{last + timedelta(days=4):%Y-%m-%d}"
    before = coach("suggest", "--until", day)
    easier = coach("suggest", "--until", day, "--easier")
    again = coach("suggest", "--until", day)
    assert "You asked for an easier day." in easier.out
    assert again.out == easier.out != before.out
    no = coach("suggest", "--until", day, "--not-today")
    assert no.code == ExitCode.OK
    assert no.out.startswith("Not today, then.")
    assert len(no.out.splitlines()) == 1
    tomorrow = coach("suggest", "--until", f"{last + timedelta(days=5):%Y-%m-%d}")
    assert "Not today" not in tomorrow.out
    assert "easier day" not in tomorrow.out


def test_a_calendar_takes_the_next_usual_day(last: datetime, coach: Coach, tmp_path: Path) -> None:
    pytest.importorskip("icalendar")
    day = f"{last + timedelta(days=1):%Y-%m-%d}"
    to = tmp_path / "next.ics"
    assert coach("suggest", "--until", day, "--calendar", str(to)).code == ExitCode.USAGE
    ran = coach("suggest", "--until", day, "--calendar", str(to), "--at", "18:30")
    assert ran.code == ExitCode.OK
    text = to.read_text()
    assert "T183000" in text
    assert "coach start" in text.replace("\r\n ", "")


def test_nothing_is_suggested_of_no_record(home: Path, coach: Coach) -> None:
    ran = coach("start", "--suggested", "--plain", "--no-sound")
    assert ran.code == ExitCode.USAGE
    assert "'coach start' begins the first session." in ran.err
