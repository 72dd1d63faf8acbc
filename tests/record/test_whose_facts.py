"""Whose a fact is, what was told anew, and which rest lies between two tries of one person."""

import pytest

from coach.model.body import Feel, Part
from coach.model.facts import Fact, Felt, Finished, Rested, Retold, RuleFired, StepEnded, Tried
from coach.record.attribution import attributed
from coach.record.digest import digest
from coach.record.retelling import as_last_told

RULE = RuleFired(5.0, 0, "sore", "our choice")
SORE = {who: Felt(5.0, who, Part.FINGERS, Feel.SORE) for who in (1, 2)}
END = Finished(600.0, 0, 600.0, 4, "done")
UNTOLD_END = Finished(600.0, 0, 600.0, None, "done")


def whose(*caused: tuple[Fact, ...], people: tuple[int, ...] = (2, 1)) -> list[tuple[str, int]]:
    """Name and person of each fact."""
    return [(type(fact).__name__, fact.who) for fact in attributed(caused, people)]


def test_a_rule_belongs_to_whose_answer_it_stands_beside() -> None:
    assert whose((SORE[1], RULE)) == [("Felt", 1), ("RuleFired", 1)]
    assert whose((RULE, SORE[2])) == [("RuleFired", 2), ("Felt", 2)]
    # of both, or of nobody: it is everybody's
    assert whose((SORE[1], RULE, SORE[2]))[1] == ("RuleFired", 0)
    assert whose((RULE,), (SORE[1],))[0] == ("RuleFired", 0)


def test_the_effort_is_that_of_whoever_was_asked() -> None:
    made = list(attributed([(END,)], (2, 1)))
    assert made == [UNTOLD_END, Finished(600.0, 2, 600.0, 4, "done")]
    assert list(attributed([(UNTOLD_END,)], (2, 1))) == [UNTOLD_END]
    told = Finished(600.0, 1, 600.0, 4, "done")
    assert list(attributed([(told,)], (2, 1))) == [told]


def test_of_somebody_alone_everything_is_theirs_anyway() -> None:
    assert list(attributed([(SORE[1], RULE), (END,)], (1,))) == [SORE[1], RULE, END]


def test_a_try_has_the_end_that_was_told_last() -> None:
    first, second, other = (
        Tried(9.0, who, "slate 4", number, "untold", 9.0)
        for who, number in ((1, 1), (1, 2), (2, 2))
    )
    anew = Retold(12.0, 1, "slate 4", 2, "middle", 4)
    last = Retold(15.0, 1, "slate 4", 2, "topped", 9)
    assert [(one.who, one.number, one.result, one.move) for one in tried(first, second, other)] == [
        (1, 1, "untold", 0), (1, 2, "untold", 0), (2, 2, "untold", 0)
    ]  # fmt: skip
    told = tried(first, second, other, anew, last)
    assert [(one.result, one.move) for one in told] == [("untold", 0), ("topped", 9), ("untold", 0)]
    # what nobody tried is told of nothing, and what is told before a try is not of that try
    assert tried(anew, second)[0].result == "untold"
    assert tried(first, anew)[0].result == "untold"


def tried(*facts: Fact) -> list[Tried]:
    return [fact for fact in as_last_told(facts) if isinstance(fact, Tried)]


def on_the_wall(who: int, seconds: float = 20.0, amount: float = 1.0) -> StepEnded:
    name = f"hard.{who}.1"
    return StepEnded(9.0, who, name, "", "try", "hard", amount, seconds, 30.0, "done")


EASY = StepEnded(9.0, 1, "easy.1", "", "climb", "easy", 6.0, 240.0, 300.0, "done")


def rest(who: int, seconds: float, suggested: float = 180.0) -> Rested:
    return Rested(9.0, who, seconds, suggested, "hard.1.1")


@pytest.mark.parametrize(
    ("facts", "rests"),
    [
        ([on_the_wall(1), rest(0, 150.0), on_the_wall(1)], [(180.0, 150.0)]),
        # the last rest is between no tries, nor is one before the first, nor none at all
        ([rest(0, 9.0), on_the_wall(1), rest(0, 150.0)], []),
        ([on_the_wall(1), on_the_wall(1)], []),
        # twice, and the time of another on the wall, is one rest; hers alone is none of mine
        (
            [on_the_wall(1), rest(0, 60.0), on_the_wall(2), rest(1, 90.0, 100.0), on_the_wall(1)],
            [(300.0, 170.0)],
        ),
        ([on_the_wall(1), rest(2, 60.0), on_the_wall(1)], []),
        ([on_the_wall(2), rest(0, 60.0), on_the_wall(1), rest(0, 70.0), on_the_wall(1)],
         [(180.0, 70.0)]),
        # neither a try that was left out nor easy boulders between two tries are a try
        (
            [on_the_wall(1), rest(0, 60.0), EASY, rest(0, 90.0, 90.0), on_the_wall(1)],
            [(270.0, 150.0)],
        ),
        (
            [on_the_wall(1), rest(0, 60.0), on_the_wall(1, amount=0.0), rest(0, 5.0, 5.0),
             on_the_wall(1)],
            [(185.0, 65.0)],
        ),
    ],
)  # fmt: skip
def test_the_rest_between_two_tries(facts: list[Fact], rests: list[tuple[float, float]]) -> None:
    assert list(digest(facts, 1, {}).rests) == rests
