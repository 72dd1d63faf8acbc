"""Fewer hard tries at the climber's own word; nobody else's change."""

import pytest

from tests.planning.walker import PAIR, Walker


def test_a_last_go_leaves_one_try() -> None:
    walker = Walker().to("hard").tell("last-go")
    assert walker.tries() == 1
    assert walker.fired == ["last-go"]
    assert walker.say == "last-go"


def test_a_last_go_before_the_last_try_changes_nothing() -> None:
    walker = Walker().to("hard").tell("last-go")
    steps = walker.steps
    walker.tell("last-go")
    assert walker.fired == []
    assert walker.steps == steps


def test_two_tries_are_enough_for_a_last_go_to_count() -> None:
    walker = Walker().to("hard")
    while walker.tries() > 2:
        walker.past()
    walker.tell("last-go")
    assert walker.tries() == 1


def test_enough_leaves_out_every_try() -> None:
    walker = Walker().to("hard").tell("enough")
    assert walker.tries() == 0
    assert walker.fired == ["enough-tries"]


def test_enough_without_a_try_left_changes_nothing() -> None:
    walker = Walker().to("hard").tell("enough")
    steps = walker.steps
    walker.tell("enough")
    assert walker.fired == []
    assert walker.steps == steps


def test_enough_of_the_goes_of_a_hang_leaves_the_tries() -> None:
    walker = Walker()
    tries = walker.tries()
    walker.tell("enough", "another")
    assert walker.tries() == tries > 0
    assert walker.fired == []


@pytest.mark.parametrize("key", ["last-go", "enough"])
def test_the_tries_of_the_other_stay(key: str) -> None:
    walker = Walker(PAIR).to("hard")
    others = walker.tries(2)
    walker.tell(key, who=1)
    assert walker.tries(2) == others > 1
