"""By when it is to be over, told as a time of day: judged by the calendar's own arithmetic."""

from datetime import datetime, timedelta

import pytest

from coach.files.words import load_language
from coach.model.answers import parse
from coach.model.facts import Planned
from coach.session.events import ClockJumped
from coach.session.state import Phase
from tests.session.stage import LANGUAGE, LIBRARY, Play

BEGUN = datetime.fromisoformat("2026-03-03 18:00")
WALL = f"{BEGUN:%Y-%m-%d %H:%M:%S}"


def over_at(play: Play) -> datetime:
    """The time of day at which the minutes end."""
    return BEGUN + timedelta(seconds=play.session.day.ends_at)


def key(time: str) -> str:
    """The answer that a time of day is told by: its minutes after twelve."""
    hours, minutes = map(int, time.split(":"))
    return f"until:{60 * (hours % 12) + minutes}"


@pytest.mark.parametrize("time", ["18:30", "19:10", "20:55"])
def test_it_answers_how_many_minutes(time: str) -> None:
    play = Play(minutes=None, wall=WALL)
    play.until(Phase.CHECK_IN, question="minutes")
    play.say(key(time))
    assert abs(over_at(play) - datetime.fromisoformat(f"2026-03-03 {time}")) < timedelta(minutes=1)


@pytest.mark.parametrize(("time", "word"), [("19:10", "About"), ("20:10", "More time")])
def test_in_a_pause_it_takes_minutes_or_adds_them(time: str, word: str) -> None:
    play = Play(minutes=90.0, wall=WALL)
    play.until(Phase.WORK)
    play.run(300.0)
    play.say("pause")
    play.run(3.0)
    play.say(key(time))
    assert abs(over_at(play) - datetime.fromisoformat(f"2026-03-03 {time}")) < timedelta(minutes=1)
    assert any(text.startswith(word) for text in play.said)


def test_the_time_that_the_machine_slept_has_passed_on_the_wall_too() -> None:
    play = Play(minutes=90.0, wall=WALL)
    play.until(Phase.WORK)
    play.send(ClockJumped(play.now, 1200.0))
    play.say(key("19:10"))
    left = timedelta(seconds=play.session.day.ends_at - play.now + play.now + 1200.0)
    assert abs(BEGUN + left - datetime.fromisoformat("2026-03-03 19:10")) < timedelta(minutes=1)


def test_only_times_of_the_next_three_hours_count() -> None:
    play = Play(minutes=None, wall=WALL)
    play.until(Phase.CHECK_IN, question="minutes")
    told = [one for one in play.session.window.beside if one.startswith("until:")]
    ahead = [(parse(one).number or 0) for one in told]
    assert ahead == list(range(6 * 60 + 10, 9 * 60 + 5, 5))


@pytest.mark.parametrize("minutes", [None, 90.0])
def test_without_a_clock_none_counts(minutes: float | None) -> None:
    play = Play(minutes=minutes)
    play.run(5.0)
    play.say("pause")
    assert not [one for one in play.session.window.beside if one.startswith("until")]


@pytest.mark.parametrize(
    ("code", "time", "phrase"),
    [
        ("en", "19:00", "until seven o'clock"),
        ("en", "19:10", "until ten past seven"),
        ("en", "19:45", "until quarter to eight"),
        ("en", "12:35", "until twenty five to one"),
        ("de", "19:00", "bis um sieben"),
        ("de", "19:10", "bis zehn nach sieben"),
        ("de", "19:30", "bis halb acht"),
        ("de", "12:25", "bis fünf vor halb eins"),
    ],
)
def test_each_language_tells_it_in_its_own_words(code: str, time: str, phrase: str) -> None:
    found = load_language(code, LIBRARY.movements).find(phrase)
    assert found is not None
    assert found.key == key(time)


def test_every_five_minutes_have_a_phrase_of_their_own() -> None:
    phrases = [one for some in LANGUAGE.times.values() for one in some]
    assert len(set(phrases)) == 144
    assert not set(phrases) & {one for some in LANGUAGE.answers.values() for one in some}


def test_a_time_that_is_the_end_already_changes_nothing_and_says_what_is_left() -> None:
    play = Play(minutes=90.0, wall=WALL)
    play.until(Phase.WORK)
    before, facts, steps = over_at(play), len(play.facts), play.session.course.steps
    play.say(key(f"{before:%H:%M}"))
    play.run(3.0)
    assert over_at(play) == before
    assert play.session.course.steps == steps
    assert [fact for fact in play.facts[facts:] if isinstance(fact, Planned)] == []
