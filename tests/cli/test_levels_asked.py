"""Months of climbing and the comfortable circuit: asked once by voice, remembered, changeable."""

from datetime import UTC, datetime, timedelta

import pytest

from coach.files.paths import paths
from coach.files.settings import load_settings
from coach.journal import Journal
from coach.model.facts import ClimbedTold, ComfortableTold, Fact
from coach.model.person import CLIMBED
from coach.model.start import Options
from coach.runtime.beginning import begin
from coach.session.events import TimePassed
from coach.session.state import Phase
from coach.setup.choices import Choices
from coach.setup.settling import remember, settle
from tests.session.stage import Play

pytestmark = pytest.mark.usefixtures("home")
CLIMBED_FOR = "Climbing for a few months, about a year, or for years?"
FIRST = datetime(2026, 3, 3, 18, 30, tzinfo=UTC)


def begun(after: int = 0, fact: Fact | None = None, **choices: object) -> Options:
    """What a session begins with so many days after the first; what is told in it stays."""
    now = FIRST + timedelta(days=after)
    setup = settle(Choices(place="tarnwick", age=("adult",), **choices), paths(), now)  # type: ignore[arg-type]
    remember(paths(), setup.settings)
    paths().journal.parent.mkdir(parents=True, exist_ok=True)
    with Journal.open(paths().journal, write=True) as journal:
        session = begin(journal, setup, now, print)
        if fact is not None:
            journal.commit(session.id, TimePassed(5.0), [fact], now)
        journal.close_session(session.id, "done")
    options: Options = session.session.options
    return options


def test_each_is_asked_once_and_one_a_day() -> None:
    assert begun(0, ClimbedTold(0.0, 1, 6)).level_asked == "climbed"
    second = begun(1, ComfortableTold(0.0, 1, "marble"))
    assert (second.level_asked, second.people[0].months) == ("comfortable", 6)
    third = begun(2)
    assert (third.level_asked, third.people[0].comfortable) == ("", "marble")


def test_what_was_left_untold_is_not_asked_again() -> None:
    begun(0, ClimbedTold(0.0, 1, None))
    begun(1, ComfortableTold(0.0, 1, ""))
    last = begun(2)
    assert (last.level_asked, last.people[0].months, last.people[0].comfortable) == ("", None, "")


def test_of_a_pair_nobody_is_asked() -> None:
    assert begun(people=2).level_asked == ""


@pytest.mark.parametrize("typed", [True, False])
def test_months_become_more_with_time(typed: bool) -> None:
    """Of three months a new climber has a year and a quarter one year later."""
    if typed:
        begun(0, climbing=3)
    else:
        begun(0, ClimbedTold(0.0, 1, 3))
    assert begun(366).people[0].months == 15


def test_what_is_typed_counts_before_what_was_told_aloud() -> None:
    begun(0, ClimbedTold(0.0, 1, 0))
    changed = begun(1, climbing=40, comfortable="slate")
    assert (changed.people[0].months, changed.people[0].comfortable) == (40, "slate")
    assert changed.level_asked == ""
    later = begun(2)
    assert (later.people[0].months, later.people[0].comfortable) == (40, "slate")
    assert load_settings(paths().settings).climbing_on == "2026-03-04"


@pytest.mark.parametrize("span", CLIMBED)
def test_what_is_told_counts_at_once_and_is_kept(span: str) -> None:
    play = Play(minutes=60.0, level_asked="climbed")
    play.until(Phase.CHECK_IN, question="climbed")
    assert play.said[-1] == CLIMBED_FOR
    play.say(f"climbed:{span}")
    play.until(Phase.LEAD_IN)
    assert [one.months for one in play.found(ClimbedTold)] == [CLIMBED[span]]
    assert play.session.day.people[0].months == CLIMBED[span]
    new = "new-to-climbing" in [one.rule for one in play.session.course.fired]
    assert new == (span == "months")
    assert play.said.count(CLIMBED_FOR) == 1


@pytest.mark.parametrize("answer", ["no", ""])
def test_a_no_and_silence_change_nothing_and_go_on(answer: str) -> None:
    play = Play(minutes=60.0, level_asked="climbed")
    play.until(Phase.CHECK_IN, question="climbed")
    if answer:
        play.say(answer)
    play.until(Phase.LEAD_IN)
    assert [one.months for one in play.found(ClimbedTold)] == [None]
    assert play.session.day.people[0].months is None


def test_the_comfortable_circuit_is_told_by_its_name() -> None:
    play = Play(minutes=60.0, level_asked="comfortable", place="tarnwick")
    play.until(Phase.CHECK_IN, question="comfortable")
    assert "circuit:marble" in play.session.window.answers
    play.say("circuit:marble")
    play.until(Phase.LEAD_IN)
    assert [one.circuit for one in play.found(ComfortableTold)] == ["marble"]
    assert play.session.day.people[0].comfortable == "marble"
