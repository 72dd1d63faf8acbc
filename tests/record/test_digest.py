"""What counts as what."""

from hypothesis import given
from hypothesis import strategies as st

from coach.model.body import Feel, Part
from coach.model.doses import DOSES
from coach.model.facts import (
    Climbed,
    Decided,
    EdgeChecked,
    Fact,
    Felt,
    Finished,
    Rested,
    RuleFired,
    ScaleRead,
    SignTold,
    StepEnded,
    Tried,
)
from coach.record.digest import HEIGHTS, digest
from tests.journal.made import any_fact
from tests.record.invented import library


def step(movement: str, block: str, seconds: float = 30.0, amount: float = 1.0) -> StepEnded:
    return StepEnded(9.0, 1, f"{block}.1", movement, "stay", block, amount, seconds, 30.0, "done")


def test_doses_are_counted_by_the_family_of_the_movement() -> None:
    facts = [
        step("cat-arch", "mat"),
        step("wall-slides", "mat"),
        step("palm-stretch", "cool-down"),
        step("edge-check", "board"),
        step("quiet-feet", "easy", 100.0),
        step("hard-try", "hard"),
        step("unheard-of", "mat"),
        step("unheard-of", "board"),
        step("unheard-of", "pulse"),
    ]
    made = digest(facts, 1, library().movements)
    assert made.doses == {"mobility": 120.0, "hangs": 60.0, "focus": 100.0}
    assert made.focuses == {"quiet-feet": 100.0}
    assert made.blocks["mat"] == 90.0


def test_what_was_not_done_does_not_count() -> None:
    made = digest([step("cat-arch", "mat", 12.0, amount=0.0)], 1, library().movements)
    assert made.doses == {}
    assert made.blocks == {}


def test_the_facts_of_others_do_not_count() -> None:
    mine, theirs = Climbed(1.0, 1, "easy", 5, 60.0), Climbed(1.0, 2, "easy", 7, 60.0)
    everybody = Finished(600.0, 0, 600.0, 4, "done")
    assert digest([mine, theirs, everybody], 1, {}).boulders == {"easy": 5}
    assert digest([mine, theirs, everybody], 2, {}).boulders == {"easy": 7}
    assert digest([mine, theirs, everybody], 2, {}).effort == 4


def test_a_reading_joins_the_edge_check_before_it() -> None:
    first, second = (
        EdgeChecked(at, 1, "medium", "edge-check", "off", Feel.FINE) for at in (5.0, 9.0)
    )
    facts = [
        ScaleRead(1.0, 1, 30.0),
        first,
        ScaleRead(6.0, 1, 41.0),
        second,
        ScaleRead(9.5, 2, 50.0),
    ]
    made = digest([*facts, ScaleRead(10.0, 1, 42.0), ScaleRead(11.0, 1, 42.5)], 1, {})
    assert [check.reading for check in made.edges] == [41.0, 42.5]


def test_the_best_try_of_each_boulder_counts() -> None:
    results = ["start", "top", "middle", "untold"]
    tries = [Tried(1.0, 1, "slate 4", n, result, 9.0) for n, result in enumerate(results, 1)]
    made = digest([*tries, Tried(2.0, 1, "slate 5", 5, "topped", 9.0)], 1, {})
    assert made.tries == {"slate 4": 4, "slate 5": 1}
    assert made.highest == {"slate 4": "top", "slate 5": "topped"}
    assert made.tops == ("slate 5",)
    assert made.hard_tries == 5


def test_the_worst_feel_of_a_part_stays() -> None:
    feels = [Feel.FINE, Feel.SORE, Feel.STIFF]
    facts = [Felt(float(n), 1, Part.FINGERS, feel) for n, feel in enumerate(feels)]
    assert digest(facts, 1, {}).felt == {Part.FINGERS: Feel.SORE}


def test_signs_rules_and_go_aheads() -> None:
    facts = [
        SignTold(1.0, 1, "pop", Part.FINGERS),
        SignTold(1.0, 1, "faint", None),
        RuleFired(1.0, 0, "sore", "our choice"),
        RuleFired(2.0, 0, "sore", "our choice"),
        Decided(3.0, 1, True),
        Decided(4.0, 1, False),
    ]
    made = digest(facts, 1, {})
    assert made.signs == ("pop (fingers)", "faint")
    assert made.rules == {"sore": 2}
    assert (made.gone_for, made.go_aheads) == (1, 2)


def test_a_session_without_an_end_is_as_long_as_its_last_fact() -> None:
    made = digest([Rested(75.0, 0, 60.0, 60.0, "hard.1.1")], 1, {})
    assert (made.seconds, made.effort, made.how) == (75.0, None, "")
    assert digest([], 1, {}).seconds == 0.0


@given(st.lists(any_fact, max_size=12), st.integers(1, 3))
def test_any_facts_make_a_digest(facts: list[Fact], who: int) -> None:
    made = digest(facts, who, library().movements)
    assert set(made.doses) <= set(DOSES)
    assert set(made.highest.values()) <= set(HEIGHTS)
