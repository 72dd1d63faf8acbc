"""Minutes by number: asked once at the beginning, changed at any time, and never for ever.

What is judged stands in the plan's own clock: when the day ends, and what was said of it.
"""

import re

import pytest

from coach.files.words import load_language
from coach.model.answers import Meaning, parse
from coach.model.nature import Tendency
from coach.model.plan import StepKind
from coach.session import home_time
from coach.session.events import Answered, Source, Sureness
from coach.session.state import Phase
from tests.bench.minutes import silent_off, used
from tests.climber import Pace
from tests.session.stage import LIBRARY, Play

PACKS = {code: load_language(code, LIBRARY.movements) for code in ("en", "de")}
#: Said, and the minutes that it means: written by hand.
SAID = {
    "en": {
        "ten minutes": 10,
        "forty-five minutes": 45,
        "forty five minutes": 45,
        "an hour": 60,
        "seventy-five minutes": 75,
        "an hour and a quarter": 75,
        "an hour and a half": 90,
        "a hundred and five minutes": 105,
        "two and a half hours": 150,
        "three hours": 180,
    },
    "de": {
        "zehn Minuten": 10,
        "fünfundvierzig Minuten": 45,
        "eine Stunde": 60,
        "fünfundsiebzig Minuten": 75,
        "anderthalb Stunden": 90,
        "hundertfünf Minuten": 105,
        "zweieinhalb Stunden": 150,
        "drei Stunden": 180,
    },
}
#: The same of what changes the end.
CHANGES = {
    "en": {
        "ten minutes more": "longer:10",
        "fifteen more minutes": "longer:15",
        "ten minutes less": "fewer:10",
        "twenty minutes fewer": "fewer:20",
        "fewer minutes": "fewer",
        "twenty minutes left": "short-of-time:20",
    },
    "de": {
        "zehn Minuten mehr": "longer:10",
        "zehn Minuten weniger": "fewer:10",
        "weniger Minuten": "fewer",
        "noch zwanzig Minuten": "short-of-time:20",
    },
}


def asked() -> Play:
    """A session that waits for the minutes."""
    play = Play(minutes=None)
    for _ in range(10):
        if play.session.window is not None:
            return play
        play.next()
    raise AssertionError("nobody asked for the minutes")


def working() -> Play:
    """Alone, on the mat, an hour before her."""
    play = Play(minutes=60.0)
    play.until(Phase.WORK, StepKind.STAY)
    return play


def ends(play: Play) -> float:
    return float(play.session.day.ends_at)


def told(text: str) -> int:
    """The minutes that a sentence tells."""
    found = re.search(r"(\d+) minutes", text)
    assert found, text
    return int(found[1])


@pytest.mark.parametrize("code", PACKS)
def test_minutes_are_understood_by_their_words(code: str) -> None:
    found = {text: PACKS[code].find(text) for text in SAID[code]}
    assert {text: one and one.key for text, one in found.items()} == {
        text: f"minutes:{number}" for text, number in SAID[code].items()
    }


@pytest.mark.parametrize("code", PACKS)
def test_every_five_minutes_from_ten_to_three_hours_have_words(code: str) -> None:
    keys = {f"minutes:{number}" for number in range(10, 181, 5)}
    assert keys <= PACKS[code].answers.keys()


@pytest.mark.parametrize("code", PACKS)
def test_changes_by_number_are_understood_by_their_words(code: str) -> None:
    found = {text: PACKS[code].find(text) for text in CHANGES[code]}
    assert {text: one and one.key for text, one in found.items()} == CHANGES[code]


def test_a_few_are_shown_and_all_are_heard() -> None:
    window = asked().session.window
    assert 2 <= len(window.answers) <= 8
    heard = {*window.answers, *window.beside}
    assert {f"minutes:{number}" for number in range(10, 181, 5)} <= heard


@pytest.mark.parametrize("minutes", range(10, 181, 5))
@pytest.mark.parametrize("source", [Source.VOICE, Source.KEY])
def test_any_of_them_is_taken(minutes: int, source: Source) -> None:
    play = asked()
    play.say(f"minutes:{minutes}", source=source)
    assert play.session.options.minutes == minutes
    play.run(10.0)
    assert play.session.course.planned
    assert ends(play) <= play.session.began + minutes * 60.0


@pytest.mark.parametrize("routine", ["outdoors", "outdoors-board", "technique-day"])
def test_too_few_minutes_end_kindly_after_the_least_was_told(routine: str) -> None:
    play = Play(minutes=None, routine=routine)
    for _ in range(400):
        if play.session.phase is Phase.OVER:
            break
        window = play.session.window
        if window is not None and "minutes:10" in window.beside:
            play.say("minutes:10")
        play.next()
    assert play.session.phase is Phase.OVER
    said = [text for text in play.said if "How many minutes" in text]
    assert len(said) == 2
    least = play.session.library.routine.least_minutes
    assert sum(f"{least} minutes" in text for text in play.said) == 2


@pytest.mark.parametrize("number", Meaning.FEWER.nature.numbers)
def test_fewer_minutes_by_number_bring_the_end_forward_and_say_what_is_left(number: int) -> None:
    play = working()
    before, said = ends(play), len(play.said)
    play.say(f"fewer:{number}")
    assert ends(play) <= before - number * 60.0 + 1.0
    last = next(text for text in play.said[said:] if "minutes" in text)
    assert told(last) <= round((ends(play) - play.now) / 60.0)


@pytest.mark.parametrize("number", Meaning.SHORT_OF_TIME.nature.numbers)
def test_minutes_left_by_number_are_the_most_that_are_left(number: int) -> None:
    play = working()
    before, now = ends(play), play.now
    play.say(f"short-of-time:{number}")
    assert ends(play) <= min(before, now + number * 60.0)


@pytest.mark.parametrize("number", Meaning.LONGER.nature.numbers)
def test_more_minutes_by_number_put_the_end_off_by_as_many(number: int) -> None:
    play = working()
    before = ends(play)
    play.say(f"longer:{number}")
    assert ends(play) == before + number * 60.0


def test_fewer_minutes_lower_and_more_of_them_raise() -> None:
    assert all(parse(key).tendency is Tendency.LOWERING for key in Meaning.FEWER.numbered)
    assert all(parse(key).tendency is Tendency.LOWERING for key in Meaning.SHORT_OF_TIME.numbered)
    assert all(parse(key).tendency is Tendency.RAISING for key in Meaning.LONGER.numbered)


def test_fewer_than_there_are_winds_down() -> None:
    play = working()
    play.say("short-of-time:15")
    play.say("fewer:10")
    assert {step.block.value for step in play.session.course.steps[1:]} <= {"cool-down"}
    assert any("wind down" in text for text in play.said)


def test_minutes_by_number_are_heard_in_a_step_and_never_on_the_wall() -> None:
    play = working()
    beside = play.session.window.beside
    assert {"longer:10", "fewer:10", "short-of-time:20"} <= set(beside)
    play = Play()
    play.until(Phase.WORK, StepKind.CLIMB)
    play.run(30.0)
    window = play.session.window
    assert not {"longer:10", "fewer:10", "short-of-time:20"} & {*window.answers, *window.beside}


def test_more_minutes_heard_unsurely_change_nothing_by_themselves() -> None:
    play = working()
    before, window = ends(play), play.session.window
    play.send(
        Answered(
            play.now, parse("longer:30"), 1, play.now, window.number, Source.VOICE, Sureness.UNSURE
        )
    )
    assert ends(play) == before


def test_minutes_that_were_heard_unsurely_are_asked_back() -> None:
    """Fifteen and a hundred and fifteen differ by little sound and a whole session."""
    play = Play(minutes=None)
    play.until(Phase.CHECK_IN, question="minutes")
    play.say("minutes:115", sure=Sureness.UNSURE)
    assert play.session.options.minutes is None
    play.until(Phase.ASK, question="confirm")
    assert play.said[-1] == "Did you mean a hundred and fifteen minutes?"
    play.say("no")
    play.until(Phase.CHECK_IN, question="minutes")
    play.say("minutes:45", sure=Sureness.UNSURE)
    play.until(Phase.ASK, question="confirm")
    play.say("yes")
    assert play.session.options.minutes == 45.0


def test_minutes_that_nobody_confirms_are_not_taken() -> None:
    play = Play(minutes=None)
    play.until(Phase.CHECK_IN, question="minutes")
    play.say("minutes:180", sure=Sureness.UNSURE)
    play.run(90.0)
    assert play.session.options.minutes == LIBRARY.routine.minutes


@pytest.mark.parametrize("word", ["more-tries", "silence"])
@pytest.mark.parametrize(
    ("minutes", "pace"),
    [(45.0, Pace(70, 45)), (60.0, Pace(30, 80)), (75.0, Pace(20, 95)), (90.0, Pace(55, 60))],
)
def test_what_is_left_is_two_minutes_off_at_most_where_no_try_fits_the_gain(
    minutes: float, pace: Pace, word: str
) -> None:
    """Minutes that hold no further try are filled with what is gentle, as far as there is some."""
    one = used(minutes, pace, word)
    assert max(one.off, one.before) <= 2.0
    assert one.minutes == pytest.approx(minutes, abs=2.0)


def test_a_middle_pace_that_nobody_knows_yet_moves_the_end_by_two_minutes_at_most() -> None:
    assert used(120.0, Pace(20, 95), "silence").before <= 2.0


@pytest.mark.parametrize("minutes", [20.0, 30.0, 60.0, 90.0])
def test_who_never_says_a_word_is_told_when_it_ends(minutes: float) -> None:
    """From the first silent batch on it is the end of silence, hard tries still ahead or not."""
    ended, off, _ = silent_off(minutes)
    assert off <= 2.0
    assert ended <= minutes + 1.0


def test_both_ends_are_told_where_one_word_decides() -> None:
    """Nobody told the end of a batch: home early in silence, later with the hard tries."""
    play = Play(minutes=90.0)
    play.until(Phase.WORK, StepKind.CLIMB)
    while play.session.phase is not Phase.REST:
        play.run(5.0)
    play.run(6.0)
    both = re.compile(r"(\d+) minutes left, (\d+) with \d+ hard tries\.")
    found = [told for text in play.said if (told := both.fullmatch(text))]
    silent, later = (int(one) for one in found[0].groups())
    assert later >= silent + 10
    assert home_time.minutes_left(play.session) == pytest.approx(silent, abs=1)
    play.say("count:5")
    assert home_time.minutes_left(play.session) == pytest.approx(later, abs=4)


@pytest.mark.parametrize("after", [5.0, 60.0, 200.0])
@pytest.mark.parametrize("told", [45, 120])
def test_minutes_told_after_their_question_are_hers_all_the_same(after: float, told: int) -> None:
    """They count from the beginning, whether the plan stands by then or not."""
    for settled in (True, False):
        play = Play(minutes=None) if settled else Play(minutes=None, hurting=None, same_place=None)
        play.until(Phase.CHECK_IN)
        while play.session.questions.asking.question == "minutes":
            play.next()
            if play.session.questions.asking is None:
                break
        play.run(after)
        play.say(f"minutes:{told}")
        play.until(Phase.ASK, question="gate-body")
        assert play.session.day.ends_at == pytest.approx(told * 60.0, abs=31.0)


def test_late_minutes_are_those_of_both_whoever_tells_them() -> None:
    play = Play(minutes=None, people=2)
    play.run(45.0)
    play.say("minutes:45", who=2)
    assert play.session.day.ends_at == pytest.approx(45 * 60.0, abs=31.0)


def test_long_after_the_beginning_a_bare_number_of_minutes_changes_nothing() -> None:
    play = Play(minutes=None)
    play.until(Phase.ASK, question="gate-body")
    play.run(60.0)
    ends = play.session.day.ends_at
    play.say("minutes:45")
    assert play.session.day.ends_at == ends


def test_minutes_told_over_what_is_left_still_tell_the_tries() -> None:
    """Nobody told a batch, so tries went; she asks for more before that was said."""
    play = Play(minutes=60.0)
    play.until(Phase.WORK, StepKind.CLIMB)
    play.run(60.0)  # who climbs longer than that and tells nothing
    while not any(one.what.key == "left" for one in play.session.speech.queue):
        play.next()
    said = len(play.said)
    play.say("longer")
    play.run(20.0)
    tries = sum(step.kind is StepKind.TRY for step in play.session.course.steps)
    (more,) = (text for text in play.said[said:] if text.startswith("More time"))
    (left,) = (text for text in play.said[said:] if f", {tries} hard tries" in text)
    assert tries > 1
    assert told(more) == told(left)
