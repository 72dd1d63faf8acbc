"""The words of the field as values: answers and their keys, loads and caps, messages."""

import pytest

from coach.model.answers import ANYTIME, Answer, Meaning, parse
from coach.model.body import HIGHEST_LOAD, Cap, CapReason, Feel, Part, Tissue, ceiling, within
from coach.model.messages import message
from coach.model.nature import Tendency
from coach.model.plan import StepKind
from coach.model.questions import QUESTIONS, Question
from tests.planning.walker import Walker

CAPS = (
    Cap(1, Part.FINGERS, 1, CapReason.SORE, "sore"),
    Cap(1, Part.FINGERS, 2, CapReason.GATE, "gate-fingers"),
    Cap(2, Part.HIPS, 0, CapReason.SIGN, "warning-sign"),
)


def test_no_letter_has_more_than_two_answers() -> None:
    letters = [meaning.nature.letter for meaning in Meaning if meaning.nature.letter]
    assert {one for one in letters if letters.count(one) > 1} == {"p"}


def test_what_raises_ends_or_takes_apart_asks_when_unsure_or_raises() -> None:
    loose = {m for m in Meaning if m.nature.twice and not m.nature.asked_back}
    assert all(meaning.nature.tendency is Tendency.RAISING for meaning in loose)


def test_a_question_with_a_ninth_answer_cannot_be_made() -> None:
    with pytest.raises(ValueError, match="2 to 8"):
        Question("many", tuple(f"count:{n}" for n in range(1, 10)))


@pytest.mark.parametrize(
    "answer",
    [
        Answer(Meaning.DONE),
        Answer(Meaning.COUNT, number=3),
        Answer(Meaning.FEEL, Part.FINGERS, Feel.SORE),
        Answer(Meaning.TISSUE, tissue=Tissue.SKIN),
        Answer(Meaning.PART, Part.SKIN),
        Answer(Meaning.SIGN, sign="numb"),
    ],
)
def test_an_answer_is_found_by_its_key(answer: Answer) -> None:
    assert parse(answer.key) == answer


@pytest.mark.parametrize("key", ["", "fly", "feel:purple", "tissue:bone"])
def test_an_unknown_key_is_named(key: str) -> None:
    with pytest.raises(ValueError, match=repr(key)):
        parse(key)


@pytest.mark.parametrize(
    "key", ["go", "ready", "harder", "longer", "another", "rewarm", "back", "feel:fine"]
)
def test_what_can_raise_is_classified_as_raising(key: str) -> None:
    assert parse(key).tendency is Tendency.RAISING


@pytest.mark.parametrize("key", ["yes", "no", "silence", "done", "resume", "feel:sore", "stop"])
def test_a_bare_yes_silence_and_soreness_never_raise(key: str) -> None:
    assert parse(key).tendency is not Tendency.RAISING


def test_nothing_that_counts_at_any_time_raises() -> None:
    assert all(parse(key).tendency is not Tendency.RAISING for key in ANYTIME)


def test_a_window_takes_two_to_eight_answers() -> None:
    assert all(2 <= len(question.answers) <= 8 for question in QUESTIONS.values())


def test_the_lowest_cap_of_that_person_counts() -> None:
    assert ceiling(CAPS, 1, Part.FINGERS) == 1
    assert ceiling(CAPS, 2, Part.FINGERS) == HIGHEST_LOAD
    assert within({Part.FINGERS: 1, Part.HIPS: 3}, CAPS, 1)
    assert not within({Part.FINGERS: 2}, CAPS, 1)
    assert not within({Part.HIPS: 1}, CAPS, 2)


def test_a_message_is_equal_whatever_the_order_of_its_values() -> None:
    assert message("rest", a=1, b="x") == message("rest", b="x", a=1)
    assert message("rest", a=1).value("a") == 1
    assert message("rest").value("a") is None


def test_a_hang_and_a_hard_try_strain_and_nothing_else_does() -> None:
    """By the catalogue, which says what hangs: nothing may change under whoever strains."""
    day = Walker()
    seen = set()
    for step in day.steps:
        movements = [day.library.movements.get(one.movement) for one in step.forms]
        hung = any(one is not None and one.hang is not None for one in movements)
        tried = step.kind is StepKind.TRY
        assert step.strains == (hung or tried), step.name
        seen.add((hung, tried))
    assert {(True, False), (False, True), (False, False)} <= seen
