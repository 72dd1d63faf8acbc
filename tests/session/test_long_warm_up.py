"""A longer warm-up is had by a word at the check-in, or by an option, before the hard tries."""

from coach.session.state import Phase
from tests.session.stage import Play


def first_try(play: Play) -> float:
    """Seconds from the plan to its first hard try, by its own steps."""
    steps = play.session.course.steps
    place = next(n for n, step in enumerate(steps) if step.kind.value == "try")
    return float(sum(one.lead + one.seconds for one in steps[:place]))


def planned(word: str = "") -> Play:
    play = Play(minutes=None)
    play.until(Phase.CHECK_IN, question="minutes")
    if word:
        assert word in play.session.window.beside
        play.say(word)
    play.say("minutes:90")
    while not play.session.course.planned:
        play.next()
    return play


def test_a_word_before_the_minutes_makes_the_warm_up_longer() -> None:
    longer = planned("long-warm-up")
    assert first_try(longer) >= first_try(planned()) + 6 * 60
    assert any("longer warm-up" in text.lower() for text in longer.said)


def test_once_the_plan_is_made_it_changes_nothing_and_is_shown_so() -> None:
    play = planned()
    before = play.session.course.steps
    play.say("long-warm-up", addressed=True)
    assert play.session.course.steps == before
